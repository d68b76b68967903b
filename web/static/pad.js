// The pad: the outline as typed, drawn. Drag a corner, tap a side to change its finish, turn the pile arrow; by keyboard too.
// It only fills in the form's own fields, so nothing that it does is out of reach without it.
import { PER_MM, readMm, write } from "./measure.js";

const SVG = "http://www.w3.org/2000/svg", SIZE = 400, ROOM = 62;
const FINISHES = ["seam", "wall", "transition", "free"];

export function place() {
  for (const spot of document.querySelectorAll(".pad-place")) new Pad(spot.closest("form"), spot);
}

class Pad {
  constructor(form, spot) {
    this.form = form;
    this.unit = spot.dataset.unit;
    this.step = this.unit === "in" ? 25.4 / 2 : 10;
    this.told = make("p", { class: "unseen", "aria-live": "polite" });
    this.box = make("div", { class: "pad" });
    this.drawing = node("svg", { viewBox: `0 0 ${SIZE} ${SIZE}`, role: "group", "aria-label": "Outline. Corners, sides and the pile arrow can be moved with the arrow keys." });
    this.box.append(this.drawing);
    this.draw_own = make("button", { type: "button" }, "Draw it with corners");
    this.more = make("button", { type: "button", hidden: "" }, "Add a corner");
    this.less = make("button", { type: "button", hidden: "" }, "Drop the last corner");
    const bar = make("div", { class: "row no-print" });
    bar.append(this.draw_own, this.more, this.less);
    spot.append(this.box, bar, this.told);
    this.draw_own.addEventListener("click", () => { this.toCorners(this.ring() || [[0, 0], [1000, 0], [1000, 700], [0, 700]]); });
    this.more.addEventListener("click", () => this.change((ring) => { const [a, b] = [ring.at(-1), ring[0]]; ring.push([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2 + this.step]); }));
    this.less.addEventListener("click", () => this.change((ring) => ring.length > 3 && ring.pop()));
    form.addEventListener("input", (event) => event.isTrusted !== false && !this.moving && this.show());
    form.addEventListener("change", () => !this.moving && this.show());
    this.show();
  }

  field(name) { return this.form.elements.namedItem(name); }
  get kind() { return this.form.querySelector("[name=shape]:checked")?.value || "rectangle"; }
  mm(name) { return readMm(this.field(name)?.value || "", this.unit); }

  ring() {
    let ring;
    if (this.kind === "rectangle") { const [w, l] = [this.mm("width"), this.mm("length")]; ring = [[0, 0], [w, 0], [w, l], [0, l]]; }
    else if (this.kind === "ell") {
      const [w, l, x, y] = ["ell_width", "ell_length", "out_width", "out_length"].map((name) => this.mm(name));
      ring = [[0, 0], [w, 0], [w, l - y], [w - x, l - y], [w - x, l], [0, l]];
    } else if (this.kind === "round") {
      const r = this.mm("across") / 2;
      ring = Array.from({ length: 48 }, (_, i) => [r + r * Math.cos(i * Math.PI / 24), r + r * Math.sin(i * Math.PI / 24)]);
    } else ring = (this.field("corners").value || "").split(/[;\n]+/).filter((line) => line.trim()).map((line) => line.split(",").map((part) => readMm(part, this.unit)));
    return ring.length > 2 && ring.every((point) => point.length === 2 && point.every(Number.isFinite)) ? ring : null;
  }

  toCorners(ring) {
    this.field("corners").value = ring.map(([x, y]) => `${this.plain(x)}, ${this.plain(y)}`).join("\n");
    const choice = this.form.querySelector("[name=shape][value=corners]");
    if (!choice.checked) choice.checked = true;
    this.field("corners").dispatchEvent(new Event("input", { bubbles: true }));
    this.show();
  }

  plain(mm) { return String(Number((mm / PER_MM[this.unit]).toFixed(this.unit === "mm" ? 0 : 3))); }
  change(work) { const ring = this.ring(); if (ring) { work(ring); this.toCorners(ring); } }

  show() {
    const now = JSON.stringify([...new FormData(this.form)].filter(([, value]) => typeof value === "string"));
    if (now === this.shown) return;
    this.shown = now;
    const ring = this.ring();
    const own = this.kind === "corners";
    this.box.hidden = !ring;
    this.more.hidden = this.less.hidden = !own || !ring;
    this.draw_own.hidden = own && ring;
    this.sides(ring ? (this.kind === "round" ? 1 : ring.length) : 4);
    if (!ring) return;
    const focus = document.activeElement?.dataset?.at;
    this.fit(ring);
    const spots = ring.map((point) => this.at(point));
    const parts = [node("polygon", { class: "area", points: spots.join(" ") })];
    spots.forEach((spot, i) => parts.push(...this.edge(ring, spots, i)));
    parts.push(...this.arrow());
    if (own) spots.forEach((spot, i) => parts.push(this.corner(ring, spot, i)));
    this.drawing.replaceChildren(...parts);
    if (focus) this.drawing.querySelector(`[data-at="${focus}"]`)?.focus();
  }

  fit(ring) {
    if (this.moving) return;
    const [xs, ys] = [ring.map((p) => p[0]), ring.map((p) => p[1])];
    const [left, bottom] = [Math.min(...xs), Math.min(...ys)];
    const most = Math.max(Math.max(...xs) - left, Math.max(...ys) - bottom) || 1;
    this.scale = (SIZE - 2 * ROOM) / most;
    this.zero = [SIZE / 2 - (left + Math.max(...xs)) / 2 * this.scale, SIZE / 2 + (bottom + Math.max(...ys)) / 2 * this.scale];
  }

  at([x, y]) { return [this.zero[0] + x * this.scale, this.zero[1] - y * this.scale]; }

  edge(ring, spots, i) {
    const many = this.kind === "round";
    if (many && i) return [line("edge " + this.finish(0), spots[i], spots[(i + 1) % spots.length])];
    const next = (i + 1) % spots.length, [a, b] = [spots[i], spots[next]], finish = this.finish(i);
    const length = many ? 2 * Math.PI * this.mm("across") / 2 : Math.hypot(ring[next][0] - ring[i][0], ring[next][1] - ring[i][1]);
    const out = [(b[1] - a[1]), (a[0] - b[0])], far = Math.hypot(...out) || 1, turn = area(ring) > 0 ? -1 : 1;
    const label = node("text", { x: (a[0] + b[0]) / 2 + out[0] / far * 27 * turn, y: (a[1] + b[1]) / 2 + out[1] / far * 20 * turn });
    label.textContent = write(length, this.unit);
    const parts = [line("edge " + finish, a, b), label];
    if (this.field("edge_0")) {
      const off = out.map((way) => way / far * 14);
      const around = [[a[0] + off[0], a[1] + off[1]], [b[0] + off[0], b[1] + off[1]], [b[0] - off[0], b[1] - off[1]], [a[0] - off[0], a[1] - off[1]]];
      const reach = node("polygon", { class: "reach", points: around.join(" "), tabindex: 0, role: "button", "data-at": `edge${i}`, "aria-label": `Side ${i + 1}, ${write(length, this.unit)}: ${finish}. Press to change.` });
      const turnOn = () => { this.setFinish(i, FINISHES[(FINISHES.indexOf(this.finish(i)) + 1) % FINISHES.length]); this.say(`Side ${i + 1}: ${this.finish(i)}`); };
      reach.addEventListener("click", turnOn);
      reach.addEventListener("keydown", (event) => { if (["Enter", " "].includes(event.key)) { event.preventDefault(); turnOn(); } });
      parts.push(reach);
    }
    return parts;
  }

  finish(i) {
    let last = "seam";
    for (let at = 0; at <= i; at++) last = this.field(`edge_${at}`)?.value || last;
    return last;
  }

  setFinish(i, finish) {
    const after = this.field(`edge_${i + 1}`), then = this.finish(i + 1);
    if (!this.field(`edge_${i}`)) return;
    if (after && !after.value) after.value = then;
    this.field(`edge_${i}`).value = finish;
    this.field(`edge_${i}`).dispatchEvent(new Event("input", { bubbles: true }));
    this.show();
  }

  corner(ring, spot, i) {
    const mark = node("circle", { class: "corner", cx: spot[0], cy: spot[1], r: 13, tabindex: 0, role: "button", "data-at": `corner${i}`, "aria-label": `Corner ${i + 1}: ${write(ring[i][0], this.unit)} right, ${write(ring[i][1], this.unit)} up. Move with the arrow keys.` });
    const move = ([x, y]) => { this.change((all) => { all[i] = [x, y]; }); };
    mark.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (!way) return;
      event.preventDefault();
      const step = this.step * (event.shiftKey ? 12 : 1), now = this.ring()[i];
      move([now[0] + way[0] * step, now[1] + way[1] * step]);
      const after = this.ring()[i];
      this.say(`${write(after[0], this.unit)} right, ${write(after[1], this.unit)} up`);
    });
    this.drag(mark, (point) => {
      const snap = (mm) => Math.round(mm / this.step) * this.step;
      move([snap((point.x - this.zero[0]) / this.scale), snap((this.zero[1] - point.y) / this.scale)]);
    });
    return mark;
  }

  arrow() {
    const choices = [...this.form.querySelectorAll("[name=pile]")];
    if (!choices.length) return [];
    const held = choices.find((choice) => choice.checked), degrees = Number(held?.value || 0), middle = SIZE / 2;
    const turn = `rotate(${degrees} ${middle} ${middle})`;
    const shape = node("path", { class: "pile", transform: turn, d: `M${middle} ${middle + 34}V${middle - 34}m-11 13 11-13 11 13` });
    const reach = node("circle", { class: "pile-reach", cx: middle, cy: middle, r: 40, tabindex: 0, role: "slider", "data-at": "pile", "aria-label": "Pile lays towards", "aria-valuemin": 0, "aria-valuemax": 315, "aria-valuenow": degrees, "aria-valuetext": `${degrees} degrees from up` });
    const set = (wanted) => {
      const nearest = (Math.round(wanted / 45) * 45 + 360) % 360, choice = choices.find((one) => Number(one.value) === nearest);
      if (choice && !choice.checked) { choice.checked = true; choice.dispatchEvent(new Event("input", { bubbles: true })); this.show(); }
    };
    reach.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: -45, ArrowDown: -45, ArrowRight: 45, ArrowUp: 45 }[event.key];
      if (way) { event.preventDefault(); set(degrees + way); }
    });
    this.drag(reach, (point) => set(Math.atan2(point.x - middle, middle - point.y) * 180 / Math.PI));
    return [shape, reach];
  }

  drag(mark, moved) {
    mark.addEventListener("pointerdown", (start) => {
      start.preventDefault();
      mark.focus();
      const on = (event) => {
        const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.drawing.getScreenCTM().inverse());
        this.moving = true;
        moved(point);
      };
      const off = () => { removeEventListener("pointermove", on); removeEventListener("pointerup", off); removeEventListener("pointercancel", off); this.moving = false; this.shown = null; this.show(); };
      addEventListener("pointermove", on);
      addEventListener("pointerup", off);
      addEventListener("pointercancel", off);
    });
  }

  sides(count) {
    for (const field of this.form.querySelectorAll(".edges .field")) {
      const number = Number(field.className.match(/edge-(\d+)/)[1]);
      field.hidden = number >= count;
    }
  }

  say(words) { this.told.textContent = words; }
}

function area(ring) {
  return ring.reduce((sum, [x, y], i) => { const [a, b] = ring[(i + 1) % ring.length]; return sum + x * b - a * y; }, 0);
}

function line(kind, a, b, more = {}) { return node("line", { class: kind, x1: a[0], y1: a[1], x2: b[0], y2: b[1], ...more }); }
function node(name, given) { const made = document.createElementNS(SVG, name); for (const [key, value] of Object.entries(given)) made.setAttribute(key, value); return made; }
function make(name, given, text = "") { const made = document.createElement(name); for (const [key, value] of Object.entries(given)) made.setAttribute(key, value); made.textContent = text; return made; }
