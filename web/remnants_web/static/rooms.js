// Rooms drawn and pushed together. It only fills in the form's own fields: all that it does can be typed, and the server decides.
import { readMm, write } from "./measure.js";
import { line, node } from "./marks.js";

const SNAP = 200, LEAST = 300, STILL = 60;
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const CUTS = {
  "": ["0 0", "w 0", "w l", "0 l"], ur: ["0 0", "w 0", "w d", "c d", "c l", "0 l"], ul: ["0 0", "w 0", "w l", "b l", "b d", "0 d"],
  lr: ["0 0", "c 0", "c e", "w e", "w l", "0 l"], ll: ["b 0", "w 0", "w l", "0 l", "0 e", "b e"],
};

class Rooms {
  constructor(form) {
    this.form = form;
    this.unit = form.dataset.unit;
    this.step = this.unit === "in" ? 25.4 : 10;
    this.plan = form.querySelector(".plan");
    this.told = form.querySelector(".plan-told");
    form.querySelector(".scripted-only").hidden = false;
    form.addEventListener("input", () => this.show());
    this.plan.addEventListener("pointerdown", (event) => this.down(event));
    this.plan.addEventListener("pointermove", (event) => this.move(event));
    for (const end of ["pointerup", "pointercancel"]) this.plan.addEventListener(end, () => this.up());
    this.plan.addEventListener("keydown", (event) => this.key(event));
    this.show();
  }

  field(name, row) { return this.form.elements.namedItem(`${name}_${row}`); }
  mm(name, row) { return readMm(this.field(name, row)?.value || "", this.unit); }
  set(name, row, mm) { this.field(name, row).value = write(Math.round(mm / this.step) * this.step, this.unit); }
  get rows() { return [...this.form.querySelectorAll("fieldset.room")].map((_, i) => i + 1); }

  // A room as it is typed; none where its sizes can't be read yet.
  room(row) {
    const [w, l] = [this.mm("width", row), this.mm("length", row)];
    if (!(w > 0 && l > 0)) return null;
    const x = this.mm("x", row) || 0, y = this.mm("y", row) || 0, cut = this.field("corner", row).value;
    const out = this.mm("out_width", row), up = this.mm("out_length", row), sound = out > 0 && up > 0 && out < w && up < l;
    const at = { 0: 0, w, l, b: out, c: w - out, d: l - up, e: up };
    const ring = CUTS[sound ? cut : ""].map((corner) => corner.split(" ").map((key) => at[key])).map(([a, b]) => [x + a, y + b]);
    return { row, x, y, w, l, ring, name: this.field("name", row).value || `Room ${row}` };
  }

  show() {
    const rooms = this.rows.map((row) => this.room(row)).filter(Boolean);
    this.rooms = rooms;
    if (!this.held) {
      const xs = rooms.flatMap((r) => [r.x, r.x + r.w]), ys = rooms.flatMap((r) => [r.y, r.y + r.l]);
      const box = rooms.length ? [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)] : [0, 0, 6000, 4000];
      const rim = Math.max(box[2] - box[0], box[3] - box[1]) / 6;
      this.box = [box[0] - rim, box[1] - rim, box[2] + rim, box[3] + rim];
      this.plan.setAttribute("viewBox", `${this.box[0]} 0 ${this.box[2] - this.box[0]} ${this.box[3] - this.box[1]}`);
    }
    const focused = document.activeElement?.dataset?.row, size = (this.box[2] - this.box[0]) / 26;
    this.plan.replaceChildren(...rooms.map((room) => {
      const points = room.ring.map(([x, y]) => `${x},${this.flip(y)}`).join(" ");
      const label = `${room.name}, ${write(room.w, this.unit)} by ${write(room.l, this.unit)}, ${write(room.x, this.unit)} from the left, ${write(room.y, this.unit)} from below`;
      return node("polygon", { class: "plan-room", points, tabindex: 0, role: "button", "aria-label": label, "data-row": room.row });
    }), ...rooms.flatMap((room) => this.doors(room)), ...rooms.map((room) => {
      const text = node("text", { x: room.x + room.w / 2, y: this.flip(room.y + room.l / 2), "font-size": size });
      text.textContent = room.name;
      return text;
    }));
    if (focused) this.plan.querySelector(`[data-row="${focused}"]`)?.focus();
    this.told.textContent = this.overlapping(rooms);
  }

  flip(y) { return this.box[3] - y; }

  doors(room) {
    const walls = { lower: [[0, 0], [1, 0]], right: [[room.w, 0], [0, 1]], upper: [[0, room.l], [1, 0]], left: [[0, 0], [0, 1]] };
    return ["door", "second"].flatMap((name) => {
      const wall = walls[this.field(name, room.row)?.value], from = this.mm(`${name}_from`, room.row) || 0, width = this.mm(`${name}_width`, room.row);
      if (!wall || !(width > 0)) return [];
      const [[x, y], [dx, dy]] = wall, at = (far) => [room.x + x + dx * far, this.flip(room.y + y + dy * far)];
      return [line("plan-door", at(from), at(from + width))];
    });
  }

  // What is told while rooms are moved: boxes alone; the server looks at the outlines.
  overlapping(rooms) {
    const pairs = rooms.flatMap((a, i) => rooms.slice(i + 1).filter((b) => a.x < b.x + b.w - 1 && b.x < a.x + a.w - 1 && a.y < b.y + b.l - 1 && b.y < a.y + a.l - 1).map((b) => `${a.name} and ${b.name}`));
    return pairs.length ? `Overlapping: ${pairs.join(", ")}.` : "";
  }

  place(event) {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.plan.getScreenCTM().inverse());
    return [point.x, this.box[3] - point.y];
  }

  down(event) {
    const [x, y] = this.place(event), row = Number(event.target.dataset.row) || 0, room = row ? this.room(row) : null;
    const fresh = room ? 0 : this.rows.find((each) => !this.room(each));
    if (!room && !fresh) return;
    this.held = { row: row || fresh, fresh: !room, from: [x, y], off: room ? [x - room.x, y - room.y] : null };
    this.plan.setPointerCapture(event.pointerId);
    if (room) event.target.focus();
    event.preventDefault();
  }

  move(event) {
    if (!this.held) return;
    const [x, y] = this.place(event), { row, fresh, from, off } = this.held;
    if (!fresh) return this.put(row, x - off[0], y - off[1], true);
    if (Math.hypot(x - from[0], y - from[1]) < STILL) return;
    const [left, low, right, high] = [Math.min(x, from[0]), Math.min(y, from[1]), Math.max(x, from[0]), Math.max(y, from[1])];
    if (right - left < LEAST || high - low < LEAST) return;
    for (const [name, mm] of [["x", left], ["y", low], ["width", right - left], ["length", high - low]]) this.set(name, row, mm);
    this.show();
  }

  up() {
    if (!this.held) return;
    const { row, fresh } = this.held;
    this.held = null;
    const room = this.room(row);
    if (fresh && room) this.put(row, room.x, room.y, true);
    this.show();
  }

  key(event) {
    const way = WAYS[event.key], row = Number(event.target.dataset?.row);
    if (!way || !row) return;
    event.preventDefault();
    const room = this.room(row), step = this.step * (event.shiftKey ? 12 : 1);
    this.put(row, room.x + way[0] * step, room.y + way[1] * step, false);
  }

  // Moves a room; snapped, its sides go to the nearest of its neighbours' within reach, as exactly as these are typed.
  put(row, x, y, snapped) {
    const room = this.room(row), others = this.rooms.filter((each) => each.row !== row);
    const near = (at, size, ends) => {
      const moves = ends.flatMap((end) => [end - at, end - at - size]).filter((by) => Math.abs(by) <= SNAP);
      return moves.length ? at + moves.reduce((a, b) => (Math.abs(a) <= Math.abs(b) ? a : b)) : null;
    };
    const sideways = snapped ? near(x, room.w, others.flatMap((each) => [each.x, each.x + each.w])) : null;
    const upwards = snapped ? near(y, room.l, others.flatMap((each) => [each.y, each.y + each.l])) : null;
    for (const [name, exact, mm] of [["x", sideways, x], ["y", upwards, y]]) {
      if (exact === null) this.set(name, row, mm);
      else this.field(name, row).value = write(exact, this.unit);
    }
    this.show();
  }
}

export function all() {
  for (const form of document.querySelectorAll(".drawn-rooms")) new Rooms(form);
}
