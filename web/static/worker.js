// Keeps the look of the shop, and the last pages that were opened, for times without signal. Never answers a change.
const SHELL = "shell-1", PAGES = "pages-1", MOST_PAGES = 40;
const STATIC = ["shop.css", "start.js", "keep.js", "queue.js", "pad.js", "outline.js", "side.js", "tag.js", "measure.js", "scan.js", "suggest.js", "reveal.js", "zoom.js", "mark.svg"].map((name) => `/static/${name}`);

addEventListener("install", (event) => event.waitUntil(caches.open(SHELL).then((cache) => cache.addAll([...STATIC, "/away"])).then(() => self.skipWaiting())));
addEventListener("activate", (event) => event.waitUntil(
  caches.keys().then((names) => Promise.all(names.filter((name) => ![SHELL, PAGES].includes(name)).map((name) => caches.delete(name)))).then(() => self.clients.claim())));

addEventListener("fetch", (event) => {
  const asked = event.request, address = new URL(asked.url);
  if (asked.method !== "GET" || address.origin !== location.origin) return;
  if (address.pathname.startsWith("/static/")) event.respondWith(fetch(asked).then((answer) => kept(SHELL, asked, answer)).catch(() => caches.match(asked)));
  else if (asked.mode === "navigate" && !/^\/(link|sign|me|people)/.test(address.pathname)) event.respondWith(page(asked));
});

async function page(asked) {
  try {
    return kept(PAGES, asked, await fetch(asked));
  } catch {
    return (await caches.match(asked)) || caches.match("/away");
  }
}

async function kept(name, asked, answer) {
  if (answer.ok && !answer.redirected) {
    const cache = await caches.open(name);
    await cache.put(asked, answer.clone());
    if (name === PAGES) for (const old of (await cache.keys()).slice(0, -MOST_PAGES)) await cache.delete(old);
  }
  return answer;
}
