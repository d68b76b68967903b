// A lost signal loses nothing: what can't be sent waits on this device and goes out later, with the key that makes it count once.
const NAME = "remnants-waiting";

const PATIENCE_MS = 30_000;

export function queue(forms, sign) {
  for (const form of forms) form.addEventListener("submit", (event) => send(event, form, sign));
  for (const form of document.querySelectorAll("form[data-draft]:not([data-queue])")) form.addEventListener("submit", (event) => hold(event, sign));
  addEventListener("online", () => drain(sign));
  drain(sign);
}

// A question needs an answer now: without signal it stays where it was typed.
function hold(event, sign) {
  if (navigator.onLine) return;
  event.preventDefault();
  say(sign, "No signal, so nothing was sent. What you typed is kept on this device: send it again when there is signal.");
}

async function send(event, form, sign) {
  event.preventDefault();
  const address = (event.submitter?.hasAttribute("formaction") && event.submitter.formAction) || form.action, body = new FormData(form, event.submitter);
  if (navigator.onLine) {
    say(sign, "Sending …");
    const answer = await fetch(address, { method: "POST", body, headers: { Accept: "text/html" }, signal: AbortSignal.timeout(PATIENCE_MS) }).catch(() => null);
    if (answer) {
      if (answer.ok) {
        form.dispatchEvent(new Event("sent"));
        await settle(body.get("key"));
      }
      if (answer.ok && answer.redirected) location.assign(answer.url);
      else resend(form, address, event.submitter);
      return;
    }
  }
  const parts = [...body].filter(([, value]) => typeof value === "string" || value.size);
  await change((store) => store.add({ address, what: form.dataset.queue, parts, at: Date.now() }));
  form.dispatchEvent(new Event("sent"));
  form.reset();
  const key = form.querySelector("[name=key]");
  if (key) key.value = crypto.randomUUID();
  await tell(sign);
}

// What was refused changed nothing: the browser sends it once more by itself, to show the page that says why.
function resend(form, address, submitter) {
  if (submitter?.name) form.append(Object.assign(document.createElement("input"), { type: "hidden", name: submitter.name, value: submitter.value }));
  form.action = address;
  form.submit();
}

function say(sign, text) {
  sign.hidden = false;
  sign.replaceChildren(Object.assign(document.createElement("p"), { textContent: text }));
  sign.scrollIntoView({ block: "nearest" });
}

async function drain(sign) {
  if (!("indexedDB" in window) || !document.body.dataset.reader) return;
  const waiting = await read();
  if (navigator.onLine) {
    for (const one of waiting.filter((other) => !other.choices?.length)) {
      const body = new FormData();
      for (const [name, value] of one.parts) body.append(name, value);
      let answer;
      try { answer = await fetch(one.address, { method: "POST", body, headers: { Accept: "application/json, text/html;q=0.5" } }); } catch { break; }
      if (answer.ok) await change((store) => store.delete(one.id));
      else if (answer.status === 401 || answer.status >= 500) break;
      else {
        const problem = await answer.json().catch(() => ({}));
        one.refused = problem.detail || `refused (${answer.status})`;
        one.choices = problem.choices || [];
        await change((store) => store.put(one));
      }
    }
  }
  await tell(sign);
}

async function tell(sign) {
  const waiting = await read();
  sign.hidden = !waiting.length;
  sign.replaceChildren();
  if (!waiting.length) return;
  const head = document.createElement("p");
  const what = [...new Set(waiting.map((one) => one.what))].join(", ");
  head.textContent = waiting.every((one) => one.choices?.length)
    ? `Kept on this device, not booked yet: ${waiting.length} (${what}). It waits for your answer.`
    : `Kept on this device until there is signal: ${waiting.length} (${what}). Not booked yet; it is sent by itself, once.`;
  sign.append(head);
  for (const one of waiting.filter((other) => other.refused)) sign.append(refusal(one, sign));
}

// What was refused waits on: to be dropped, or where the shop asks something, to be answered here or looked at in its form.
function refusal(one, sign) {
  const box = document.createElement("div"), row = Object.assign(document.createElement("div"), { className: "row" });
  const asked = one.choices || [];
  box.append(Object.assign(document.createElement("p"), { textContent: `${asked.length ? "Asked about" : "Not taken,"} ${one.what}: ${one.refused}` }), row);
  for (const choice of asked) row.append(button(choice.word, () => choose(one, choice, sign)));
  if (asked.length) row.append(Object.assign(document.createElement("a"), { className: "button", href: filled(one), textContent: "Look at it first" }));
  row.append(button("Drop it", async () => { await change((store) => store.delete(one.id)); await tell(sign); }));
  return box;
}

function button(word, act) {
  const made = Object.assign(document.createElement("button"), { type: "button", textContent: word });
  made.addEventListener("click", act);
  return made;
}

async function choose(one, choice, sign) {
  const { refused, choices, ...rest } = one;
  rest.parts = [...one.parts.filter(([name]) => name !== choice.name), [choice.name, choice.value]];
  await change((store) => store.put(rest));
  await drain(sign);
}

// The form as it was typed, a photograph aside: logged there under the same key, it waits here no more.
function filled(one) {
  const typed = one.parts.filter(([, value]) => typeof value === "string" && value);
  const waited = one.parts.some(([, value]) => typeof value !== "string") ? "photo" : "yes";
  return `${new URL(one.address).pathname}?${new URLSearchParams([...typed, ["waited", waited]])}`;
}

async function settle(key) {
  if (!key || !("indexedDB" in window)) return;
  const same = (one) => one.parts.some(([name, value]) => name === "key" && value === key);
  for (const one of (await read()).filter(same)) await change((store) => store.delete(one.id));
}

function open() {
  return new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("waiting", { keyPath: "id", autoIncrement: true });
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
}

async function change(work) {
  const base = await open();
  await new Promise((done, fail) => {
    const step = base.transaction("waiting", "readwrite");
    work(step.objectStore("waiting"));
    step.oncomplete = done;
    step.onerror = () => fail(step.error);
  });
  base.close();
}

async function read() {
  const base = await open();
  const all = await new Promise((done, fail) => {
    const asked = base.transaction("waiting").objectStore("waiting").getAll();
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
  base.close();
  return all;
}
