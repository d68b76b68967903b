// Each page loads this; it brings only what the page asks for. Every form works without it.
import { forget, forgetAll, keep } from "./keep.js";
import { waiting } from "./outbox.js";
import { queue } from "./queue.js";

document.documentElement.classList.add("scripted");

for (const done of document.querySelectorAll("[data-done]")) forget(done.dataset.done);
for (const form of document.querySelectorAll("form[data-draft]")) keep(form);
queue(document.querySelectorAll("form[data-queue]"), document.getElementById("waiting"));

for (const form of document.querySelectorAll("form[data-leaving]")) form.addEventListener("submit", (event) => leave(event, form));

bring(".pad-place", "./pad.js", (pad) => pad.place());
bring(".floor-place", "./floor.js", (floor) => floor.place());
bring("input.measure", "./keypad.js", (keypad) => keypad.all());
bring("[data-tag]", "./tag.js", (tag) => tag.all(document.querySelectorAll("[data-tag]")));
bring("[data-told]", "./last.js", (last) => last.remember(document.querySelector("[data-told]").dataset.told));
bring("form[data-draft=patch] [data-suggest]", "./last.js", (last) => last.offer(document.querySelector("form[data-draft=patch]")));
bring("[data-suggest]", "./suggest.js", (suggest) => suggest.watch());
bring("form[data-dock]", "./dock.js", (dock) => dock.watch(document.querySelector("form[data-dock]")));
bring(".scan-place", "./scan.js", (scan) => scan.count(document.querySelector(".scan-place")));
bring("input[type=file][capture], [data-photo]", "./photo.js", (photo) => photo.all(document.querySelectorAll("input[type=file][capture], [data-photo]")));
bring(".traced", "./traced.js", (traced) => traced.place());
bring("form[data-flatten]", "./flatten.js", (flatten) => flatten.watch(document.querySelector("form[data-flatten]")));
bring("form[data-phone]", "./phone.js", (phone) => phone.watch(document.querySelector("form[data-phone]")));
bring(".zoomable", "./zoom.js", (zoom) => zoom.all());
bring("#place[data-again]", "./place.js", (place) => place.watch(document.getElementById("place")));
bring("button[name=look]", "./layers.js", (layers) => layers.watch(document.querySelector("button[name=look]")));
bring(".drawn-rooms", "./rooms.js", (rooms) => rooms.all());
bring("[data-copy]", "./copy.js", (copy) => copy.all(document.querySelectorAll("[data-copy]")));
bring("[type=password]", "./reveal.js", (reveal) => reveal.all(document.querySelectorAll("[type=password]")));

function bring(wanted, module, use) {
  if (document.querySelector(wanted)) import(module).then(use, () => { /* without signal the form does without it */ });
}

document.getElementById("faults")?.focus();

// Whoever leaves leaves nothing here to be read: kept pages and what was typed go. What waits to be sent stays, sealed, for its maker.
async function leave(event, form) {
  event.preventDefault();
  forgetAll();
  const [waits] = await Promise.all([waiting().catch(() => []), dropPages()]);
  if (waits.length) form.append(Object.assign(document.createElement("input"), { type: "hidden", name: "waits", value: "yes" }));
  form.submit();
}

async function dropPages() {
  for (const name of "caches" in window ? await caches.keys() : []) if (name.startsWith("pages")) await caches.delete(name);
}

if (!document.body.dataset.reader) dropPages();
if ("serviceWorker" in navigator && document.body.dataset.reader) navigator.serviceWorker.register("/worker.js").then(keepPages).catch(() => {});

// A job is kept with its sheets and the way to it; the first page opened here, as nobody kept it yet.
async function keepPages() {
  const beside = [...document.querySelectorAll("a[data-keep]")].map((link) => link.href);
  const wanted = [...(navigator.serviceWorker.controller ? [] : [location.href]), ...(beside.length ? ["/", "/jobs", location.href, ...beside] : [])];
  const { active } = await navigator.serviceWorker.ready;
  const sign = document.getElementById("kept"), channel = new MessageChannel();
  channel.port1.onmessage = ({ data }) => { if (sign) sign.hidden = !data.kept; };
  if (wanted.length) active.postMessage({ keep: wanted }, [channel.port2]);
}
