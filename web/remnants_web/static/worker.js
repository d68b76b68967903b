// Keeps the look of the shop, and the last pages that were opened, for times without signal. A change is only ever answered by the shop.
// The pages belong to the session in which they were opened, and go when it is over or another begins.
const SHELL = "shell-1", PAGES = "pages-", MOST_PAGES = 40;
const STATIC = ["shop.css", "start.js", "keep.js", "queue.js", "pressed.js", "outbox.js", "pad.js", "last.js", "keypad.js", "handles.js", "floor.js", "marks.js", "room.js", "outline.js", "side.js", "tag.js", "measure.js", "photo.js", "scan.js", "suggest.js", "reveal.js", "copy.js", "pace.js", "zoom.js", "mark.svg"].map((name) => `/static/${name}`);

addEventListener("install", (event) => event.waitUntil(caches.open(SHELL).then((cache) => cache.addAll([...STATIC, "/away"])).then(() => self.skipWaiting())));
addEventListener("activate", (event) => event.waitUntil(
  caches.keys().then((names) => Promise.all(names.filter((name) => name !== SHELL && !name.startsWith(PAGES)).map((name) => caches.delete(name)))).then(() => self.clients.claim())));

addEventListener("fetch", (event) => {
  const asked = event.request, address = new URL(asked.url);
  if (address.origin !== location.origin) return;
  if (asked.method === "POST" && asked.mode === "navigate") event.respondWith(fetch(asked).catch(() => caches.match("/away")));
  else if (asked.method !== "GET") return;
  else if (address.pathname.startsWith("/static/")) event.respondWith(fetch(asked).then((answer) => kept(SHELL, asked, answer)).catch(() => caches.match(asked)));
  else if (asked.mode === "navigate" && mayKeep(address)) event.respondWith(page(asked));
});

// A page tells what to keep beside itself: a job its sheets and the way to it. It is told once all of that lies in the store, and not before.
addEventListener("message", (event) => {
  const wanted = (event.data?.keep || []).map((one) => new URL(one, location.origin)).filter((one) => one.origin === location.origin && mayKeep(one));
  event.waitUntil(keepAll(wanted).then((all) => event.ports[0]?.postMessage({ kept: all })));
});

async function keepAll(wanted) {
  await Promise.all(wanted.map((one) => fetch(one, { headers: { Accept: "text/html, */*", "Remnants-Keep": "yes" } }).then((answer) => keptOf(one.href, answer)).catch(() => {})));
  const there = await Promise.all(wanted.map((one) => caches.match(one.href)));
  return there.every(Boolean);
}

function mayKeep(address) { return !/^\/(link|for|sign|me|people|door-book|job-photos)|(preview|-seams)\.jpg$/.test(address.pathname); }

async function page(asked) {
  let answer;
  try { answer = await fetch(asked); } catch { return (await caches.match(asked)) || caches.match("/away"); }
  if (answer.status === 401) await only("");
  return keptOf(asked, answer);
}

// A page tells whose session it is of; one of no session, as the door, is never kept.
async function keptOf(asked, answer) {
  const session = answer.headers.get("Remnants-Session");
  return session ? kept(await only(session), asked, answer) : answer;
}

// The store of this session's pages; those of any other are gone.
async function only(session) {
  for (const name of await caches.keys()) if (name.startsWith(PAGES) && name !== PAGES + session) await caches.delete(name);
  return PAGES + session;
}

async function kept(name, asked, answer) {
  // Not a page that waits for its answer (202), nor one that the shop alone keeps: a photograph of a home is erased there.
  if (answer.status === 200 && !answer.redirected && answer.headers.get("Remnants-Keep") !== "no") {
    const cache = await caches.open(name);
    await cache.put(asked, answer.clone());
    if (name !== SHELL) for (const old of (await cache.keys()).slice(0, -MOST_PAGES)) await cache.delete(old);
  }
  return answer;
}
