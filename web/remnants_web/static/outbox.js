// What waits on this device to be sent: each entry is its maker's, and sealed (AES-GCM) with what only their pages carry.
// Without a secure connection the browser has no seals; then an entry is kept open.
const NAME = "remnants-waiting", VERSION = 2;

const { person = "", seal = "" } = document.body.dataset;
export const me = person;

// Every entry by its maker and the time it was made; what one's own hold too, each as { id, address, what, body, type, ... }.
export async function waiting() {
  if (!("indexedDB" in window)) return [];
  const all = await step("readonly", (store) => store.getAll());
  return Promise.all(all.map((one) => (mine(one) ? unsealed(one) : { id: one.id, person: one.person, own: false })));
}

export async function add(entry, form) {
  const packed = new Response(form), type = packed.headers.get("Content-Type");
  await write(undefined, { ...entry, type }, await packed.arrayBuffer());
}

// Keeps what became of an own entry: what was asked about it, or why it was refused.
export async function keep({ id, body, ...told }) {
  await write(id, told, body);
}

export function drop(id) {
  return step("readwrite", (store) => store.delete(id));
}

// Makes an entry from before entries had makers one's own.
export async function claim(id) {
  const one = await step("readonly", (store) => store.get(id)), form = new FormData();
  for (const [name, value] of one.parts) form.append(name, value);
  await add({ address: one.address, what: one.what }, form);
  await drop(id);
}

export async function formOf(one) {
  return new Response(one.body, { headers: { "Content-Type": one.type } }).formData();
}

function mine(one) { return Boolean(person) && one.person === person; }

async function unsealed(one) {
  try {
    const told = JSON.parse(new TextDecoder().decode(await opened(one.told)));
    return { id: one.id, person, own: true, ...told, body: await opened(one.body) };
  } catch { return { id: one.id, person, own: true, broken: true }; }
}

async function write(id, told, body) {
  const row = { person, at: Date.now(), told: await sealed(new TextEncoder().encode(JSON.stringify({ ...told, own: undefined, person: undefined }))), body: await sealed(body) };
  await step("readwrite", (store) => store.put(id === undefined ? row : { ...row, id }));
}

function cipher() {
  return crypto.subtle.importKey("raw", Uint8Array.from(atob(seal), (letter) => letter.charCodeAt(0)), "AES-GCM", false, ["encrypt", "decrypt"]);
}

async function sealed(bytes) {
  if (!crypto.subtle) return { bytes };
  const iv = crypto.getRandomValues(new Uint8Array(12));
  return { iv, bytes: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, await cipher(), bytes) };
}

async function opened({ iv, bytes }) {
  return iv ? crypto.subtle.decrypt({ name: "AES-GCM", iv }, await cipher(), bytes) : bytes;
}

function open() {
  return new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      if (!asked.result.objectStoreNames.contains("waiting")) asked.result.createObjectStore("waiting", { keyPath: "id", autoIncrement: true });
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
}

async function step(mode, work) {
  const base = await open();
  try {
    return await new Promise((done, fail) => {
      const turn = base.transaction("waiting", mode), asked = work(turn.objectStore("waiting"));
      turn.oncomplete = () => done(asked.result);
      turn.onerror = () => fail(turn.error);
    });
  } finally { base.close(); }
}
