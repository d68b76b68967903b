// Each page loads this; it brings only what the page asks for. Every form works without it.
import { keep } from "./keep.js";
import { queue } from "./queue.js";

document.documentElement.classList.add("scripted");

for (const form of document.querySelectorAll("form[data-draft]")) keep(form);
queue(document.querySelectorAll("form[data-queue]"), document.getElementById("waiting"));

if (document.querySelector(".pad-place")) import("./pad.js").then((pad) => pad.place());
if (document.querySelector("[data-suggest]")) import("./suggest.js").then((suggest) => suggest.watch());
if (document.querySelector(".zoomable")) import("./zoom.js").then((zoom) => zoom.all());

document.getElementById("faults")?.focus();

if ("serviceWorker" in navigator && document.body.dataset.reader) navigator.serviceWorker.register("/worker.js").catch(() => {});
