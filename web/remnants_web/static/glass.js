// The customer's page loads this alone: nothing of the shop's own pages is touched on a device that was handed over.
// A field to draw one's name in, with a finger, a pen or a mouse. What is sent are points, never a picture. Without it a tick does.
import { all as zoom } from "./zoom.js";

const WIDTH = 600, HEIGHT = 200, NEAR = 3, THICK = 4;

const place = document.querySelector(".glass-place");
document.documentElement.classList.add("scripted");
zoom();
if (place) begin(place);
document.getElementById("faults")?.focus();

function begin(place) {
  const form = place.closest("form"), sent = hidden(form), lines = [];
  const most = { lines: Number(place.dataset.lines), points: Number(place.dataset.points) };
  const glass = Object.assign(document.createElement("canvas"), { width: WIDTH, height: HEIGHT, className: "glass" });
  glass.setAttribute("role", "img");
  glass.setAttribute("aria-label", "Field to draw your name in; by keyboard, tick the box below instead");
  const clear = Object.assign(document.createElement("button"), { type: "button", textContent: "Clear it" });
  const told = Object.assign(document.createElement("p"), { className: "hint", textContent: "Draw your name with a finger, or tick the box below." });
  place.append(told, glass, clear);
  const ink = glass.getContext("2d");
  let drawing = null;

  glass.addEventListener("pointerdown", (event) => {
    if (drawing || lines.length >= most.lines) return;
    drawing = event.pointerId;
    glass.setPointerCapture(drawing);
    lines.push([point(event)]);
    show();
  });
  glass.addEventListener("pointermove", (event) => {
    if (event.pointerId !== drawing) return;
    for (const each of event.getCoalescedEvents?.() || [event]) add(each);
    show();
  });
  // A finger's way here is a line and no gesture: else the browser takes it for a flick, and the next tap for what stops that.
  glass.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
  for (const over of ["pointerup", "pointercancel"]) glass.addEventListener(over, () => { drawing = null; keep(); });
  clear.addEventListener("click", () => { lines.length = 0; drawing = null; keep(); show(); });

  function point(event) {
    const box = glass.getBoundingClientRect();
    const along = (at, from, size, most) => Math.min(most, Math.max(0, Math.round((at - from) / size * most)));
    return [along(event.clientX, box.left, box.width, WIDTH), along(event.clientY, box.top, box.height, HEIGHT)];
  }

  function add(event) {
    const line = lines.at(-1), next = point(event), last = line.at(-1);
    if (Math.hypot(next[0] - last[0], next[1] - last[1]) < NEAR) return;
    line.push(next);
    if (count() > most.points) thin();
  }

  function count() { return lines.reduce((sum, line) => sum + line.length, 0); }

  // Every other point goes, but for the ends of each line.
  function thin() { lines.forEach((line, at) => { lines[at] = line.filter((_, index) => index % 2 === 0 || index === line.length - 1); }); }

  function keep() { sent.value = lines.length ? JSON.stringify(lines.map((line) => line.flat())) : ""; }

  function show() {
    ink.clearRect(0, 0, WIDTH, HEIGHT);
    ink.lineWidth = THICK;
    ink.lineCap = ink.lineJoin = "round";
    ink.strokeStyle = getComputedStyle(glass).color;
    for (const line of lines) {
      ink.beginPath();
      ink.moveTo(...line[0]);
      for (const to of line.length > 1 ? line.slice(1) : line) ink.lineTo(...to);
      ink.stroke();
    }
  }
}

function hidden(form) {
  const field = Object.assign(document.createElement("input"), { type: "hidden", name: "strokes" });
  form.append(field);
  return field;
}
