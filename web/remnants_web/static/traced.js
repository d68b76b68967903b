// Corners on carpet that was made flat: one tap in the damage finds them, or each is set; then each is moved under a magnifier, by
// finger or by keyboard, and snaps to an edge. It only fills in the form's own field; how long and how far off the server says.
import { make, node } from "./marks.js";
import { PER_MM, readMm } from "./measure.js";

const LOUPE = 150, NEARER = 3, STEP = 1.6, ROUND = 2.2, SNAP = 9, LEAST_EDGE = 14, SLOW = 0.35, FAST = 0.5, STILL = 8, ROOM = 56, LABELLED = 64, WAIT_MS = 350;
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const FIND = "Tap in the middle of the damage, and its outline is found. Or set corners yourself.";
const SET = "Tap each corner, once round. Two make a length.";
const ROWS = "Tap sound carpet, 6 cm and more from the page and from the edge: its rows are found.";
const MOVE = "Drag a corner: slowly for a finer hand. By keyboard: arrows, with Shift ten times as far; S snaps, Delete takes it out.";

export function place() {
  for (const spot of document.querySelectorAll(".traced")) new Tracing(spot);
}

class Tracing {
  constructor(spot) {
    this.form = spot.closest("form");
    this.field = this.form.elements.namedItem("corners");
    this.unit = spot.dataset.unit;
    this.scale = Number(spot.dataset.scale);
    this.drawing = spot.querySelector("svg");
    [this.wide, this.high] = ["width", "height"].map((side) => Number(this.drawing.getAttribute(side)));
    this.drawn = this.drawing.querySelector(".trace");
    this.sides = [...this.drawn.querySelectorAll("text")].map((text) => text.textContent);
    this.hint = this.form.querySelector(".trace-hint");
    this.lines = this.form.querySelector(".trace-lines");
    this.corners = this.read();
    this.before = [];
    this.view = [0, 0, this.wide];
    this.bar(spot);
    this.loupe = Object.assign(document.createElement("canvas"), { width: LOUPE, height: LOUPE, className: "loupe", hidden: true });
    this.loupe.setAttribute("aria-hidden", "true");
    spot.append(this.loupe);
    this.look(spot.querySelector("image").getAttribute("href"));
    this.drawing.addEventListener("click", (event) => this.tap(event));
    this.drawing.addEventListener("pointerdown", (event) => this.pull(event));
    this.field.addEventListener("input", () => { this.corners = this.read(); this.show(); this.ask(); });
    this.near();
  }

  bar(spot) {
    const row = make("div", { class: "row no-print" }), find = this.button("Find it by one tap", () => this.setting(false)), set = this.button("Set corners", () => this.setting(true));
    this.modes = [find, set];
    this.back = this.button("Undo", () => { this.corners = this.before.pop() ?? this.corners; this.write(); });
    const clear = this.button("Clear", () => this.change([]));
    const label = make("label", { class: "tick" });
    this.snaps = make("input", { type: "checkbox", checked: "" });
    label.append(this.snaps, " Corners snap to edges");
    this.rows = this.form.elements.namedItem("rows");
    row.append(find, set, this.button("Rows", () => { this.wants = true; this.hint.textContent = ROWS; }), this.back, clear, this.button("Nearer", () => this.zoom(1 / STEP)), this.button("Farther", () => this.zoom(STEP)), this.button("Whole", () => this.see([0, 0, this.wide])), label);
    spot.after(row);
    this.setting(this.corners.length > 0);
  }

  button(words, does) {
    const made = make("button", { type: "button" }, words);
    made.addEventListener("click", does);
    return made;
  }

  setting(on) {
    this.sets = on;
    this.wants = false;
    this.modes.forEach((button, at) => button.setAttribute("aria-pressed", String(Boolean(at) === on)));
    this.hint.textContent = this.corners.length > 2 ? MOVE : on ? SET : FIND;
  }

  // The picture's own pixels, for the magnifier and for edges.
  async look(address) {
    const image = new Image();
    image.src = address;
    try { await image.decode(); } catch { return; }
    const sheet = Object.assign(document.createElement("canvas"), { width: this.wide, height: this.high });
    this.ink = sheet.getContext("2d", { willReadFrequently: true });
    this.ink.drawImage(image, 0, 0);
  }

  read() {
    const lines = this.field.value.split(/[;\n]+/).filter((line) => line.trim());
    const told = lines.map((line) => line.split(",").map((part) => readMm(part, this.unit)));
    return told.every((point) => point.length === 2 && point.every(Number.isFinite)) ? told.map(([x, y]) => [x * this.scale, this.high - y * this.scale]) : [];
  }

  change(corners) {
    this.before.push(this.corners);
    this.corners = corners;
    this.write();
  }

  write() {
    const plain = (px) => String(Number((px / this.scale / PER_MM[this.unit]).toFixed(3)));
    this.field.value = this.corners.map(([x, y]) => `${plain(x)}, ${plain(this.high - y)}`).join("\n");
    this.setting(this.sets);
    this.show();
    this.ask();
  }

  at(event) {
    const box = this.drawing.getBoundingClientRect();
    return [this.view[0] + (event.clientX - box.left) * this.perPixel, this.view[1] + (event.clientY - box.top) * this.perPixel];
  }

  get perPixel() { return this.view[2] / this.drawing.getBoundingClientRect().width; }

  // What of the picture is seen: its upper left corner and its width, never more than there is.
  see([x, y, w]) {
    const wide = Math.min(this.wide, Math.max(this.wide / 30, w)), high = wide * this.high / this.wide;
    this.view = [Math.min(this.wide - wide, Math.max(0, x)), Math.min(this.high - high, Math.max(0, y)), wide];
    this.drawing.setAttribute("viewBox", [this.view[0], this.view[1], wide, high].join(" "));
    this.drawing.classList.toggle("near", wide < this.wide);
    this.show();
  }

  zoom(times) {
    const [x, y, w] = this.view, half = this.high / this.wide / 2;
    this.see([x + w / 2 * (1 - times), y + w * half * (1 - times), w * times]);
  }

  // As near as the corners allow.
  near() {
    if (this.corners.length < 2) { this.see([0, 0, this.wide]); return; }
    const ends = [0, 1].map((axis) => this.corners.map((point) => point[axis])).map((all) => [Math.min(...all), Math.max(...all)]), shape = this.wide / this.high;
    const w = ROUND * Math.max(ends[0][1] - ends[0][0], (ends[1][1] - ends[1][0]) * shape);
    this.see([(ends[0][0] + ends[0][1] - w) / 2, (ends[1][0] + ends[1][1] - w / shape) / 2, w]);
  }

  // The picture is pulled about where it is seen from near.
  pull(event) {
    this.pulled = false;
    if (event.target.closest(".grip, .middle") || this.view[2] >= this.wide) return;
    const from = [event.clientX, event.clientY], [x, y, w] = this.view;
    const move = (now) => {
      const by = [now.clientX - from[0], now.clientY - from[1]];
      if (!this.pulled && Math.hypot(...by) < STILL) return;
      this.pulled = true;
      this.see([x - by[0] * this.perPixel, y - by[1] * this.perPixel, w]);
    };
    const over = () => { removeEventListener("pointermove", move); removeEventListener("pointerup", over); removeEventListener("pointercancel", over); };
    addEventListener("pointermove", move);
    addEventListener("pointerup", over);
    addEventListener("pointercancel", over);
  }

  async tap(event) {
    if (this.pulled || event.target.closest(".grip, .middle")) return;
    const [x, y] = this.at(event);
    if (this.wants) {
      this.rows.disabled = false;
      this.rows.value = `${x.toFixed(1)},${y.toFixed(1)}`;
      this.form.submit();
      return;
    }
    if (this.sets) { this.change([...this.corners, this.snapped([x, y])]); return; }
    this.hint.textContent = "Looking for its edge …";
    const told = await this.fetched({ tap: `${x.toFixed(1)},${y.toFixed(1)}` });
    if (!told) return;
    this.form.elements.namedItem("edge").value = told.edge;
    this.before.push(this.corners);
    this.field.value = told.corners;
    this.corners = this.read();
    this.setting(true);
    this.near();
    this.ask();
  }

  // What stands beside the picture is the server's: until it is there, no length is shown.
  ask() {
    this.sides = [];
    this.lines.replaceChildren();
    this.label();
    clearTimeout(this.waits);
    const asked = this.field.value;
    if (this.corners.length > 1) this.waits = setTimeout(async () => {
      const told = await this.fetched({ corners: asked, edge: this.form.elements.namedItem("edge").value });
      if (!told || this.field.value !== asked) return;
      this.sides = told.sides;
      this.lines.replaceChildren(...told.lines.map((line) => make("li", {}, line.charAt(0).toUpperCase() + line.slice(1) + ".")));
      this.label();
    }, WAIT_MS);
  }

  async fetched(fields) {
    try {
      const answer = await fetch(`${this.form.getAttribute("action")}?${new URLSearchParams(fields)}`, { headers: { Accept: "application/json" } });
      const told = await answer.json();
      if (answer.ok) { this.setting(this.sets); return told; }
      const faults = (told.faults || []).map((fault) => fault.what).join(". ");
      this.hint.textContent = `${(faults || told.detail).charAt(0).toUpperCase()}${(faults || told.detail).slice(1)}.`;
    } catch { this.hint.textContent = "No signal, so it is not measured. Your corners are still here."; }
    return null;
  }

  show() {
    const focus = this.drawn.contains(document.activeElement) ? document.activeElement.dataset.at : null;
    const ring = node("polygon", { class: "ring", points: this.corners.map((point) => point.join(",")).join(" ") });
    const middles = this.corners.length > 2 ? this.corners.flatMap((point, i) => this.middle(point, i)) : [];
    this.drawn.replaceChildren(ring, ...middles, ...this.corners.map((point, i) => this.grip(point, i)));
    this.back.disabled = !this.before.length;
    this.label();
    if (focus) this.drawn.querySelector(`[data-at="${focus}"]`)?.focus();
  }

  label() {
    for (const text of this.drawn.querySelectorAll("text")) text.remove();
    this.sides.forEach((told, i) => {
      const a = this.corners[i], b = this.corners[(i + 1) % this.corners.length];
      if (!a || !b || Math.hypot(b[0] - a[0], b[1] - a[1]) < LABELLED * this.perPixel) return;
      const text = node("text", { x: (a[0] + b[0]) / 2, y: (a[1] + b[1]) / 2, "font-size": 15 * this.perPixel });
      text.textContent = told;
      this.drawn.append(text);
    });
  }

  // Half way along a side that is long enough for it: a new corner there.
  middle(point, i) {
    const next = this.corners[(i + 1) % this.corners.length];
    if (Math.hypot(next[0] - point[0], next[1] - point[1]) < ROOM * this.perPixel) return [];
    const at = [(point[0] + next[0]) / 2, (point[1] + next[1]) / 2];
    const made = node("circle", { class: "middle", cx: at[0], cy: at[1], r: 7 * this.perPixel });
    made.addEventListener("click", () => this.change([...this.corners.slice(0, i + 1), at, ...this.corners.slice(i + 1)]));
    return [made];
  }

  grip(point, i) {
    const made = node("g", { class: "grip", tabindex: 0, role: "button", "data-at": i, "aria-label": `Corner ${i + 1}` });
    made.append(node("circle", { class: "reach", cx: point[0], cy: point[1], r: 20 * this.perPixel }), node("circle", { class: "corner", cx: point[0], cy: point[1], r: 8 * this.perPixel }), node("circle", { class: "spot", cx: point[0], cy: point[1], r: 1.5 * this.perPixel }));
    made.addEventListener("pointerdown", (event) => this.drag(event, made, i));
    made.addEventListener("keydown", (event) => this.key(event, i));
    made.addEventListener("focus", () => made.matches(":focus-visible") && this.magnify(this.corners[i]));
    made.addEventListener("blur", () => { this.loupe.hidden = true; });
    return made;
  }

  // A slow hand moves it less than the finger goes, so that a thumb can set what it covers.
  drag(event, grip, i) {
    event.preventDefault();
    this.before.push(this.corners);
    this.lines.replaceChildren();
    let last = [event.clientX, event.clientY, event.timeStamp], moved = 0, at = this.corners[i];
    this.magnify(at);
    const move = (now) => {
      const by = [now.clientX - last[0], now.clientY - last[1]], far = Math.hypot(...by), share = far / Math.max(1, now.timeStamp - last[2]) > FAST ? 1 : SLOW;
      moved += far;
      last = [now.clientX, now.clientY, now.timeStamp];
      at = this.within([at[0] + by[0] * share * this.perPixel, at[1] + by[1] * share * this.perPixel]);
      this.corners = this.corners.map((point, k) => (k === i ? at : point));
      for (const circle of grip.children) { circle.setAttribute("cx", at[0]); circle.setAttribute("cy", at[1]); }
      this.drawn.querySelector(".ring").setAttribute("points", this.corners.map((point) => point.join(",")).join(" "));
      this.sides = [];
      this.label();
      this.magnify(at);
    };
    const up = () => {
      for (const [kind, does] of heard) grip.removeEventListener(kind, does);
      this.loupe.hidden = true;
      if (moved < STILL / 4) { this.before.pop(); grip.focus(); this.ask(); return; }
      this.corners = this.corners.map((point, k) => (k === i ? this.snapped(at) : point));
      this.write();
    };
    const heard = [["pointermove", move], ["pointerup", up], ["pointercancel", up]];
    grip.setPointerCapture(event.pointerId);
    for (const [kind, does] of heard) grip.addEventListener(kind, does);
  }

  key(event, i) {
    const way = WAYS[event.key], put = (at) => { this.change(this.corners.map((point, k) => (k === i ? at : point))); this.magnify(at); };
    if (way) put(this.within(this.corners[i].map((part, axis) => part + way[axis] * (event.shiftKey ? 10 : 1))));
    else if (event.key.toLowerCase() === "s") put(this.snapped(this.corners[i], true));
    else if (event.key === "Delete" || event.key === "Backspace") { this.change(this.corners.filter((_, k) => k !== i)); this.loupe.hidden = true; }
    else return;
    event.preventDefault();
  }

  within([x, y]) { return [Math.min(this.wide, Math.max(0, x)), Math.min(this.high, Math.max(0, y))]; }

  magnify([x, y]) {
    if (!this.ink) return;
    const glass = this.loupe.getContext("2d"), side = LOUPE / NEARER, far = (y - this.view[1]) * this.wide / this.high < this.view[2] / 2;
    this.loupe.hidden = false;
    this.loupe.classList.toggle("low", far);
    glass.fillStyle = "#fff";
    glass.fillRect(0, 0, LOUPE, LOUPE);
    glass.drawImage(this.ink.canvas, x - side / 2, y - side / 2, side, side, 0, 0, LOUPE, LOUPE);
    for (const [width, ink] of [[3, "#fff"], [1, "#000"]]) {
      glass.lineWidth = width;
      glass.strokeStyle = ink;
      glass.beginPath();
      for (const [a, b] of [[0, 0.42], [0.58, 1]]) { glass.moveTo(LOUPE / 2, a * LOUPE); glass.lineTo(LOUPE / 2, b * LOUPE); glass.moveTo(a * LOUPE, LOUPE / 2); glass.lineTo(b * LOUPE, LOUPE / 2); }
      glass.stroke();
    }
  }

  // To where the picture changes most nearby, the nearer the rather; where it hardly changes it stays.
  snapped(at, always = false) {
    if (!this.ink || !(always || this.snaps.checked)) return at;
    const size = 2 * SNAP + 5, [left, top] = [Math.round(at[0]) - SNAP - 2, Math.round(at[1]) - SNAP - 2];
    if (left < 0 || top < 0 || left + size > this.wide || top + size > this.high) return at;
    const { data } = this.ink.getImageData(left, top, size, size), light = (x, y) => data[4 * (y * size + x)] + 2 * data[4 * (y * size + x) + 1] + data[4 * (y * size + x) + 2];
    const even = (x, y) => { let sum = 0; for (let k = -1; k <= 1; k += 1) for (let l = -1; l <= 1; l += 1) sum += light(x + k, y + l); return sum / 36; };
    let best = 0, found = at;
    for (let y = 2; y < size - 2; y += 1) for (let x = 2; x < size - 2; x += 1) {
      const far = Math.hypot(x - SNAP - 2, y - SNAP - 2);
      if (far > SNAP) continue;
      const change = Math.hypot(even(Math.min(x + 1, size - 2), y) - even(Math.max(x - 1, 1), y), even(x, Math.min(y + 1, size - 2)) - even(x, Math.max(y - 1, 1)));
      const worth = change * (1 - far / (2 * SNAP));
      if (change > LEAST_EDGE && worth > best) [best, found] = [worth, [left + x + 0.5, top + y + 0.5]];
    }
    return found;
  }
}
