// The outline that a form tells: read from its fields, and written back to them when it is drawn. Lengths in mm, y upwards.
import { PER_MM, readMm, write } from "./measure.js";

const LEAST_MM = 5;
const GHOSTS = {
  rectangle: { width: 900, length: 600 }, round: { across: 600 },
  ell: { ell_width: 1200, ell_length: 900, out_width: 450, out_length: 350 },
};

// Corners of an L, round from the lower left, by the corner cut out: 0 and w across with c the notch's own; 0, l and d up.
const ELLS = {
  ur: ["0 0", "w 0", "w d", "c d", "c l", "0 l"], ul: ["0 0", "w 0", "w l", "c l", "c d", "0 d"],
  lr: ["0 0", "c 0", "c d", "w d", "w l", "0 l"], ll: ["c 0", "w 0", "w l", "0 l", "0 d", "c d"],
};

export class Outline {
  constructor(form, unit) {
    this.form = form;
    this.unit = unit;
    this.step = unit === "in" ? 25.4 / 2 : 10;
  }

  field(name) { return this.form.elements.namedItem(name); }
  get kind() { return this.form.querySelector("[name=shape]:checked")?.value || "rectangle"; }
  get round() { return this.kind === "round"; }
  get typed() { return this.read(false) !== null; }
  get ring() { return this.read(true); }

  // Which corners can be dragged: the lower left one of a rectangle or an L stays where it is.
  get handles() { return { rectangle: [1, 2, 3], ell: this.ell.flatMap((corner, i) => (corner.join("") === "00" ? [] : [i])), round: [0] }[this.kind] || this.ring.map((_, i) => i); }
  get notch() { return this.field("notch")?.value in ELLS ? this.field("notch").value : "ur"; }
  get ell() { return ELLS[this.notch].map((corner) => corner.split(" ")); }
  get sides() { return this.round ? 1 : this.ring.length; }

  read(ghost) {
    if (this.kind === "corners") return this.corners() || (ghost ? box(900, 600) : null);
    const names = Object.keys(GHOSTS[this.kind]);
    const told = Object.fromEntries(names.map((name) => [name, readMm(this.field(name)?.value || "", this.unit)]));
    const good = names.every((name) => Number.isFinite(told[name]) && told[name] > 0) && !(told.out_width >= told.ell_width || told.out_length >= told.ell_length);
    if (!good && !ghost) return null;
    const is = good ? told : GHOSTS[this.kind];
    if (this.kind === "rectangle") return box(is.width, is.length);
    if (this.round) return circle(is.across / 2);
    const at = this.spots(is);
    return this.ell.map(([across, up]) => [at[across], at[up]]);
  }

  // Where the lines of an L lie: its own, and those of its notch.
  spots({ ell_width: w, ell_length: l, out_width: x, out_length: y }) {
    return { 0: 0, w, l, c: this.notch[1] === "r" ? w - x : x, d: this.notch[0] === "u" ? l - y : y };
  }

  corners() {
    const lines = (this.field("corners").value || "").split(/[;\n]+/).filter((line) => line.trim());
    const ring = lines.map((line) => line.split(",").map((part) => readMm(part, this.unit)));
    return ring.length > 2 && ring.every((point) => point.length === 2 && point.every(Number.isFinite)) ? ring : null;
  }

  length(side) {
    const ring = this.ring;
    if (this.round) return Math.max(...ring.map(([x]) => x)) - Math.min(...ring.map(([x]) => x));
    const [a, b] = [ring[side], ring[(side + 1) % ring.length]];
    return Math.hypot(b[0] - a[0], b[1] - a[1]);
  }

  setLength(side, mm) {
    const is = this.told();
    if (this.kind === "rectangle") this.put({ ...is, [side % 2 ? "length" : "width"]: mm });
    else if (this.round) this.put({ across: mm });
    else if (this.kind === "ell") {
      const { out_width: x, out_length: y } = is, [p, q] = [this.ell[side], this.ell[(side + 1) % 6]], up = p[0] === q[0];
      const ends = up ? [p[1], q[1]] : [p[0], q[0]], [whole, out, cut] = up ? ["ell_length", "out_length", y] : ["ell_width", "out_width", x];
      const notched = up ? (this.notch[0] === "u" ? "l" : "0") : (this.notch[1] === "r" ? "w" : "0");
      if (!ends.includes("c") && !ends.includes("d")) this.put({ ...is, [whole]: mm, ...(cut >= mm && { [out]: mm / 2 }) });
      else this.put({ ...is, ...(ends.includes(notched) ? { [out]: mm } : { [whole]: mm + cut }) });
    } else this.stretch(side, mm);
  }

  // The end of the side goes along with it; where the sides before and after the next one run alike, that one moves whole.
  stretch(side, mm) {
    const ring = this.ring, n = ring.length, [a, b] = [ring[side], ring[(side + 1) % n]];
    const now = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1, by = [(b[0] - a[0]) / now * (mm - now), (b[1] - a[1]) / now * (mm - now)];
    const moved = [(side + 1) % n];
    const [c, d] = [ring[(side + 2) % n], ring[(side + 3) % n]];
    if (n > 3 && Math.abs((b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])) < 1) moved.push((side + 2) % n);
    this.putCorners(ring.map((point, i) => (moved.includes(i) ? [point[0] + by[0], point[1] + by[1]] : point)));
  }

  moveCorner(i, [x, y]) {
    const is = this.told(), least = (mm) => Math.max(LEAST_MM, mm);
    if (this.kind === "rectangle") this.put({ width: i === 3 ? is.width : least(x), length: i === 1 ? is.length : least(y) });
    else if (this.round) this.put({ across: least(x) });
    else if (this.kind === "ell") {
      const at = this.spots(is), [across, up] = this.ell[i], right = this.notch[1] === "r", upper = this.notch[0] === "u";
      const between = (mm, low, high) => Math.min(high - LEAST_MM, Math.max(low + LEAST_MM, mm));
      if (across === "w") at.w = Math.max(x, at.c + LEAST_MM);
      if (across === "c") at.c = between(x, 0, at.w);
      if (up === "l") at.l = Math.max(y, at.d + LEAST_MM);
      if (up === "d") at.d = between(y, 0, at.l);
      this.put({ ell_width: at.w, ell_length: at.l, out_width: right ? at.w - at.c : at.c, out_length: upper ? at.l - at.d : at.d });
    } else this.putCorners(this.ring.map((point, at) => (at === i ? [x, y] : point)));
  }

  addCorner(side) {
    const ring = this.ring, [a, b] = [ring[side], ring[(side + 1) % ring.length]];
    this.putCorners([...ring.slice(0, side + 1), [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], ...ring.slice(side + 1)]);
  }

  dropCorner(i) { if (this.ring.length > 3) this.putCorners(this.ring.filter((_, at) => at !== i)); }

  toCorners() {
    const ring = this.ring;
    this.form.querySelector("[name=shape][value=corners]").checked = true;
    this.putCorners(ring);
  }

  told() {
    const names = Object.keys(GHOSTS[this.kind] || {});
    return Object.fromEntries(names.map((name) => [name, this.typed ? readMm(this.field(name).value, this.unit) : GHOSTS[this.kind][name]]));
  }

  put(lengths) {
    let last;
    for (const [name, mm] of Object.entries(lengths)) {
      last = this.field(name);
      if (!(Math.abs(readMm(last.value, this.unit) - mm) < 0.01)) last.value = write(mm, this.unit);
    }
    last?.dispatchEvent(new Event("input", { bubbles: true }));
  }

  putCorners(ring) {
    const plain = (mm) => String(Number((mm / PER_MM[this.unit]).toFixed(this.unit === "mm" ? 0 : 3)));
    this.field("corners").value = ring.map(([x, y]) => `${plain(x)}, ${plain(y)}`).join("\n");
    this.field("corners").dispatchEvent(new Event("input", { bubbles: true }));
  }
}

function box(w, l) { return [[0, 0], [w, 0], [w, l], [0, l]]; }
function circle(r) { return Array.from({ length: 48 }, (_, i) => [r + r * Math.cos(i * Math.PI / 24), r + r * Math.sin(i * Math.PI / 24)]); }
