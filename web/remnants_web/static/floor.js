// The floor: the room as it is told, and the damage in it. Tap two corners or drag over it, then pull a corner; by keyboard too. It
// only fills in the form's own fields, so nothing that it does is out of reach without it.
import { readMm, write } from "./measure.js";
import { area, line, make, node, words } from "./marks.js";
import { Outline } from "./outline.js";
import { doorsOf, lanesOf, pileOf, standing } from "./room.js";

const WIDE = 480, HIGH = 470, REACH = 320, GRIP = 33, APART = 68, LEAST = 44, STILL = 9, MOST = 4;
const ASK = "Tap one corner of the damage and then the opposite one, or drag over it.";
const SECOND = "Now tap the opposite corner.";
const PULL = "Pull a corner, or type the figures. Tap beside it for another damaged place.";
const FULL = "No more places can be told; pull a corner, or clear one below.";
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

export function place() {
  for (const spot of document.querySelectorAll(".floor-place")) new Floor(spot.closest("form"), spot);
}

class Floor {
  constructor(form, spot) {
    this.form = form;
    this.spot = spot;
    this.unit = spot.dataset.unit;
    this.sent = spot.dataset.rooms ? JSON.parse(spot.dataset.rooms) : null;
    this.outline = this.sent ? null : new Outline(form, this.unit);
    this.step = this.unit === "in" ? 12.7 : 10;
    this.hint = make("p", { class: "hint pad-hint", "aria-live": "polite" });
    this.drawing = node("svg", { viewBox: `0 0 ${WIDE} ${HIGH}`, role: "group", "aria-label": "The room and the damage in it" });
    const box = make("div", { class: "pad" });
    box.append(this.drawing);
    spot.append(box, this.hint);
    form.addEventListener("input", () => !this.moving && this.show());
    form.addEventListener("change", () => !this.moving && this.show());
    this.active = this.told().at(-1) ?? 1;
    this.show();
  }

  value(name) { return this.form.elements.namedItem(name)?.value ?? ""; }
  mm(name) { return readMm(this.value(name), this.unit); }

  // The room's corners in mm; none where it isn't known yet.
  room() {
    if (this.sent) return this.sent[this.value("room")] ?? null;
    const known = this.form.querySelector("[name=room_is]:checked")?.value !== "unknown";
    if (!known || !this.outline.typed) return null;
    const ring = this.outline.ring, doors = doorsOf(this.form, ring, this.unit), lanes = lanesOf(this.form, this.unit);
    const middle = ([a, b]) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    if (this.form.elements.namedItem("walked")?.checked && doors.length > 1) lanes.push(doors.slice(0, 2).map(middle));
    return { ring, doors, lanes, hidden: standing(this.form, this.unit) };
  }

  told() { return Array.from({ length: MOST }, (_, i) => i + 1).filter((n) => this.mm(`damage_width_${n}`) > 0 && this.mm(`damage_length_${n}`) > 0); }

  // A damaged place as [left, bottom, width, length] in the room's axes.
  place(n) {
    const [width, length] = [this.mm(`damage_width_${n}`), this.mm(`damage_length_${n}`)];
    const x = this.mm(`damage_x_${n}`) || 0, y = this.mm(`damage_y_${n}`) || 0, [left, bottom, right, top] = this.box;
    return [this.far(n, "x") ? right - x - width : left + x, this.far(n, "y") ? top - y - length : bottom + y, width, length];
  }

  far(n, axis) { return ["right", "upper"].includes(this.value(`damage_from_${axis}_${n}`)); }

  put(n, [x, y, width, length]) {
    const [left, bottom, right, top] = this.box, least = (mm) => Math.max(this.step, mm);
    if (this.form.elements.namedItem(`damage_traced_${n}`)?.checked) [width, length] = [this.mm(`damage_width_${n}`), this.mm(`damage_length_${n}`)]; // as in the photograph
    const told = { width: Math.min(least(width), right - left), length: Math.min(least(length), top - bottom) };
    [x, y] = [Math.min(Math.max(x, left), right - told.width), Math.min(Math.max(y, bottom), top - told.length)];
    told.x = this.far(n, "x") ? right - x - told.width : x - left;
    told.y = this.far(n, "y") ? top - y - told.length : y - bottom;
    let last;
    for (const [name, mm] of Object.entries(told)) {
      last = this.form.elements.namedItem(`damage_${name}_${n}`);
      if (!(Math.abs(readMm(last.value, this.unit) - mm) < 0.01)) last.value = write(mm, this.unit);
    }
    this.active = n;
    last.closest("details")?.setAttribute("open", "");
    last.dispatchEvent(new Event("input", { bubbles: true }));
    this.show();
  }

  show() {
    const room = this.room();
    this.spot.hidden = !room;
    if (!room) return;
    const now = JSON.stringify([this.active, this.first, room, this.value("pile_by"), ...[...new FormData(this.form)].filter(([, value]) => typeof value === "string")]);
    if (now === this.shown) return;
    this.shown = now;
    const focus = this.drawing.contains(document.activeElement) ? document.activeElement.dataset.at : null;
    this.fit(room.ring);
    const told = this.told();
    this.hint.textContent = this.first ? SECOND : !told.length ? ASK : told.length < MOST ? PULL : FULL;
    const floor = node("polygon", { class: "area floor", points: this.points(room.ring) });
    this.listen(floor);
    const parts = [floor, ...this.around(room)];
    for (const n of told) parts.push(...this.damage(n));
    if (this.first) parts.push(node("circle", { class: "corner", cx: this.at(this.first)[0], cy: this.at(this.first)[1], r: 7 }));
    if (told.includes(this.active)) parts.push(...this.figures(this.active), ...this.grips(this.active));
    this.drawing.replaceChildren(...parts);
    if (focus) this.drawing.querySelector(`[data-at="${focus}"]`)?.focus();
  }

  fit(ring) {
    const [xs, ys] = [ring.map((p) => p[0]), ring.map((p) => p[1])];
    this.box = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
    const [left, bottom, right, top] = this.box;
    this.scale = REACH / (Math.max(right - left, top - bottom) || 1);
    this.zero = [WIDE / 2 - (left + right) / 2 * this.scale, HIGH / 2 + (bottom + top) / 2 * this.scale];
  }

  at([x, y]) { return [this.zero[0] + x * this.scale, this.zero[1] - y * this.scale]; }
  points(ring) { return ring.map((point) => this.at(point)).join(" "); }
  on({ x, y }) { const snap = (mm) => Math.round(mm / this.step) * this.step; return [snap((x - this.zero[0]) / this.scale), snap((this.zero[1] - y) / this.scale)]; }

  // Walls with their lengths (those of a notch inside, where they don't crowd it), doorways, what is walked and what stands there, the way the pile lays.
  around(room) {
    const ring = room.ring, parts = [node("polygon", { class: "line walls", points: this.points(ring) })];
    for (const lane of room.lanes) parts.push(node("polyline", { class: "line lane", points: this.points(lane) }));
    for (const hidden of room.hidden) parts.push(node("polygon", { class: "line covered", points: this.points(hidden) }));
    for (const [a, b] of room.doors) parts.push(line("line door", this.at(a), this.at(b)));
    if (ring.length < 13) ring.forEach((point, i) => {
      const next = ring[(i + 1) % ring.length], [a, b] = [this.at(point), this.at(next)], long = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const within = [0, 1].every((k) => this.box[k] < (point[k] + next[k]) / 2 && (point[k] + next[k]) / 2 < this.box[k + 2]);
      const turn = (area(ring) > 0) === within ? 1 : -1, out = [(b[1] - a[1]) / long * turn, (a[0] - b[0]) / long * turn];
      if (long > 60) parts.push(words([(a[0] + b[0]) / 2 + out[0] * 42, (a[1] + b[1]) / 2 + out[1] * 24], [write(Math.hypot(next[0] - point[0], next[1] - point[1]), this.unit)]));
    });
    const degrees = pileOf(this.form, ring, this.unit);
    parts.push(node("path", { class: "pile", transform: `translate(34 40) rotate(${degrees})`, d: "M0 20V-20m-8 10 8-10 8 10" }), words([34, 74], ["pile"]));
    return parts;
  }

  // A damaged place, and round a small one the room that a finger needs to move it.
  damage(n) {
    const [x, y, width, length] = this.place(n), [left, low] = this.at([x, y]), [wide, high] = [width * this.scale, length * this.scale];
    const [right, up] = [wide, high].map((size) => Math.max(0, (LEAST - size) / 2));
    const told = `Damaged place ${n}: ${write(width, this.unit)} across, ${write(length, this.unit)} up. Arrow keys move it.`;
    const drawn = { class: n === this.active ? "damage active" : "damage" }, round = this.form.elements.namedItem(`damage_round_${n}`)?.checked;
    const shown = round ? node("ellipse", { ...drawn, cx: left + wide / 2, cy: low - high / 2, rx: wide / 2, ry: high / 2 })
      : node("rect", { ...drawn, x: left, y: low - high, width: wide, height: high });
    const mark = node("rect", { class: "damage-reach", x: left - right, y: low - high - up, width: wide + 2 * right, height: high + 2 * up, tabindex: 0, role: "button", "data-at": `damage${n}`, "aria-label": told });
    mark.addEventListener("focus", () => { if (this.active !== n) { this.active = n; this.show(); } });
    this.keys(mark, (dx, dy) => { const now = this.place(n); this.put(n, [now[0] + dx, now[1] + dy, now[2], now[3]]); });
    let from;
    this.drag(mark, (point) => { from = [this.on(point), this.place(n)]; this.active = n; }, (point) => {
      const to = this.on(point);
      this.put(n, [from[1][0] + to[0] - from[0][0], from[1][1] + to[1] - from[0][1], from[1][2], from[1][3]]);
    });
    return [shown, mark];
  }

  // How far it lies from the two walls that it is measured from, and how large it is.
  figures(n) {
    const [x, y, width, length] = this.place(n), [left, bottom, right, top] = this.box, middle = [x + width / 2, y + length / 2];
    const ends = [[[this.far(n, "x") ? right : left, middle[1]], [this.far(n, "x") ? x + width : x, middle[1]]], [[middle[0], this.far(n, "y") ? top : bottom], [middle[0], this.far(n, "y") ? y + length : y]]];
    return ends.flatMap(([a, b]) => {
      const [from, to] = [this.at(a), this.at(b)], far = Math.hypot(to[0] - from[0], to[1] - from[1]);
      const mark = line("measured", from, to);
      return far > 44 ? [mark, words([(from[0] + to[0]) / 2, (from[1] + to[1]) / 2], [write(Math.hypot(b[0] - a[0], b[1] - a[1]), this.unit)])] : [mark];
    });
  }

  // Four grips, pushed out from a small place so far that a finger has each for itself.
  grips(n) {
    const [x, y, width, length] = this.place(n);
    const out = [width, length].map((mm) => Math.max(0, (APART - mm * this.scale) / 2));
    return [[0, 0], [1, 0], [1, 1], [0, 1]].flatMap(([right, up]) => {
      const corner = this.at([x + right * width, y + up * length]);
      const spot = [corner[0] + (right ? out[0] : -out[0]), corner[1] + (up ? -out[1] : out[1])];
      const mark = node("circle", { class: "grip", cx: spot[0], cy: spot[1], r: GRIP, tabindex: 0, role: "button", "data-at": `grip${right}${up}`, "aria-label": `${up ? "Upper" : "Lower"} ${right ? "right" : "left"} corner of the damage. Move it with the arrow keys.` });
      const pull = (dx, dy) => {
        const now = this.place(n), least = (mm) => Math.max(this.step, mm);
        const [w, l] = [least(now[2] + (right ? dx : -dx)), least(now[3] + (up ? dy : -dy))];
        this.put(n, [right ? now[0] : now[0] + now[2] - w, up ? now[1] : now[1] + now[3] - l, w, l]);
      };
      this.keys(mark, pull);
      let last;
      this.drag(mark, (point) => { last = this.on(point); }, (point) => { const to = this.on(point), by = [to[0] - last[0], to[1] - last[1]]; last = to; pull(...by); });
      return [line("leader", corner, spot), node("circle", { class: "corner", cx: spot[0], cy: spot[1], r: 11 }), mark];
    });
  }

  keys(mark, move) {
    mark.addEventListener("keydown", (event) => {
      const way = WAYS[event.key], step = this.step * (event.shiftKey ? 12 : 1);
      if (way) { event.preventDefault(); move(way[0] * step, way[1] * step); }
    });
  }

  // On the floor itself: a tap is a corner, a drag a whole place.
  listen(floor) {
    let from, seen;
    const box = (a, b) => [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.abs(a[0] - b[0]), Math.abs(a[1] - b[1])];
    const free = () => Array.from({ length: MOST }, (_, i) => i + 1).find((n) => !this.told().includes(n));
    this.drag(floor, (point) => { from = point; seen = free(); }, (point) => {
      if (!seen || (!this.dragging && Math.hypot(point.x - from.x, point.y - from.y) < STILL)) return;
      this.dragging = true;
      this.first = null;
      this.put(seen, box(this.on(from), this.on(point)));
    }, () => {
      const [n, tapped] = [seen, this.on(from)];
      if (n && !this.dragging) {
        if (this.first) { const first = this.first; this.first = null; this.put(n, box(first, tapped)); }
        else this.first = tapped;
      }
      this.dragging = false;
    });
  }

  drag(mark, begun, moved, ended = () => {}) {
    mark.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
    mark.addEventListener("pointerdown", (start) => {
      start.preventDefault();
      const at = (event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(this.drawing.getScreenCTM().inverse());
      begun(at(start));
      const on = (event) => { if (event.pointerId === start.pointerId) { this.moving = true; moved(at(event)); } };
      const off = () => {
        for (const [name, act] of [["pointermove", on], ["pointerup", off], ["pointercancel", off]]) removeEventListener(name, act);
        this.moving = false;
        ended();
        this.shown = null;
        this.show();
      };
      for (const [name, act] of [["pointermove", on], ["pointerup", off], ["pointercancel", off]]) addEventListener(name, act);
    });
  }
}
