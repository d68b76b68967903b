// The pad: the outline as typed, drawn. Drag a corner, tap a side to type its length or set its finish, turn the pile arrow; by
// keyboard too. It only fills in the form's own fields, so nothing that it does is out of reach without it.
import { SIZE, besideCorner, besideSide, placed } from "./handles.js";
import { area, line, make, node, words } from "./marks.js";
import { readMm, write } from "./measure.js";
import { Outline } from "./outline.js";
import { Side } from "./side.js";

const WIDE = 480, HIGH = 490, MIDDLE = 205, REACH = 240;
const DIAL = { spot: [56, HIGH - 48], w: 92, h: 92 };
const HELP = "Outline. Corners and the pile arrow move with the arrow keys; press Enter on a side to change it.";

export function place() {
  for (const spot of document.querySelectorAll(".pad-place")) new Pad(spot.closest("form"), spot);
}

class Pad {
  constructor(form, spot) {
    this.form = form;
    this.unit = spot.dataset.unit;
    this.outline = new Outline(form, this.unit);
    this.told = make("p", { class: "unseen", "aria-live": "polite" });
    this.hint = make("p", { class: "hint pad-hint" });
    this.drawing = node("svg", { viewBox: `0 0 ${WIDE} ${HIGH}`, role: "group", "aria-label": HELP });
    const box = make("div", { class: "pad" });
    box.append(this.drawing);
    this.side = new Side(this);
    this.drawOwn = make("button", { type: "button" }, "Draw it with corners");
    this.drawOwn.addEventListener("click", () => { this.outline.toCorners(); this.show(); });
    const bar = make("div", { class: "row no-print" });
    bar.append(this.drawOwn);
    spot.append(box, this.hint, this.side.panel, bar, this.told);
    form.querySelector("details.edges:not(:has([aria-invalid]))")?.removeAttribute("open");
    form.addEventListener("input", () => !this.moving && this.show());
    form.addEventListener("change", () => !this.moving && this.show());
    form.addEventListener("reset", () => setTimeout(() => this.show()));
    this.show();
  }

  get ring() { return this.outline.ring; }

  // Drawn anew only when something changed: a mark that is replaced under a finger would never hear its click.
  show() {
    const now = JSON.stringify([this.side.at, ...[...new FormData(this.form)].filter(([, value]) => typeof value === "string")]);
    if (now === this.shown) return;
    this.shown = now;
    const { ring, typed, sides } = this.outline;
    const focus = this.drawing.contains(document.activeElement) ? document.activeElement.dataset.at : null;
    this.drawOwn.hidden = this.outline.kind === "corners";
    this.hint.textContent = typed ? "Drag a corner. Tap a side for its length" + (this.field("edge_0") ? " and finish." : ".") : "No size yet: drag a corner, tap a side, or type below.";
    for (const field of this.form.querySelectorAll(".edges .field")) field.hidden = Number(field.className.match(/edge-(\d+)/)[1]) >= sides;
    this.fit(ring);
    const spots = ring.map((point) => this.at(point));
    const parts = [node("polygon", { class: typed ? "area" : "area ghost", points: spots.join(" ") })];
    const bands = [], corners = this.outline.handles, shown = this.outline.round ? [0] : spots.map((_, i) => i);
    const wanted = [...corners.map((i) => this.wantedCorner(spots, i)), ...shown.map((i) => this.wantedSide(spots, i, typed))];
    const at = placed(wanted, this.field("pile") ? [DIAL] : [], [WIDE, HIGH]);
    if (this.outline.round) this.rim(spots, parts, bands);
    else spots.forEach((_, i) => this.edge(spots, i, parts, bands));
    const tags = shown.flatMap((i) => this.tag(i, wanted[corners.length + i], at[corners.length + i], typed));
    parts.push(...bands, ...tags, ...corners.flatMap((i, k) => this.corner(ring, spots[i], i, at[k])), ...this.arrow());
    this.drawing.replaceChildren(...parts);
    if (focus) this.drawing.querySelector(`[data-at="${focus}"]`)?.focus();
    this.side.show();
  }

  field(name) { return this.form.elements.namedItem(name); }

  fit(ring) {
    if (this.moving) return;
    const [xs, ys] = [ring.map((p) => p[0]), ring.map((p) => p[1])];
    const most = Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)) || 1;
    this.scale = REACH / most;
    this.zero = [WIDE / 2 - (Math.min(...xs) + Math.max(...xs)) / 2 * this.scale, MIDDLE + (Math.min(...ys) + Math.max(...ys)) / 2 * this.scale];
  }

  at([x, y]) { return [this.zero[0] + x * this.scale, this.zero[1] - y * this.scale]; }

  // A corner's handle stands a little outside it, where the finger covers neither it nor the next one.
  wantedCorner(spots, i) {
    if (this.outline.round) return { w: SIZE, h: SIZE, choices: besideCorner(spots[0], [1, 0]) };
    const [p, q] = [this.out(spots, (i + spots.length - 1) % spots.length), this.out(spots, i)];
    const sum = [p[0] + q[0], p[1] + q[1]], far = Math.hypot(...sum) || 1;
    return { w: SIZE, h: SIZE, choices: besideCorner(spots[i], sum.map((part) => part / far)) };
  }

  // A side's handle is its length, written beside it: as wide as that, as high as a thumb.
  wantedSide(spots, i, typed) {
    const lines = this.lines(i, typed), w = Math.max(SIZE, ...lines.map((told) => told.length * 10.5 + 14)), h = SIZE;
    if (this.outline.round) return { w, h, lines, choices: [[WIDE / 2, Math.max(...spots.map((spot) => spot[1])) + h / 2 + 8], [WIDE / 2, MIDDLE]] };
    const [a, b] = [spots[i], spots[(i + 1) % spots.length]];
    const inwards = reflex(this.ring, i) || reflex(this.ring, (i + 1) % spots.length);
    return { w, h, lines, choices: besideSide(a, b, this.out(spots, i), inwards, w, h) };
  }

  lines(i, typed) {
    const finish = this.field("edge_0") ? [this.finish(i)] : [];
    return typed ? [write(this.outline.length(i), this.unit), ...finish] : finish.length ? finish : ["length?"];
  }

  // Outwards, square to a side; y runs down the drawing.
  out(spots, i) {
    const a = spots[i], b = spots[(i + 1) % spots.length], far = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1, turn = area(this.ring) > 0 ? -1 : 1;
    return [(b[1] - a[1]) / far * turn, (a[0] - b[0]) / far * turn];
  }

  rim(spots, parts, bands) {
    const points = spots.join(" ");
    parts.push(node("polygon", { class: "line", points }), node("polygon", { class: `finish ${this.finish(0)}`, points }));
    bands.push(this.band(node("polygon", { class: "reach rim", points }), 0));
  }

  edge(spots, i, parts, bands) {
    const a = spots[i], b = spots[(i + 1) % spots.length], finish = this.finish(i), out = this.out(spots, i);
    const off = finish === "seam" || finish === "free" ? 0 : 5;
    const shifted = (point, by) => [point[0] + out[0] * by, point[1] + out[1] * by];
    parts.push(line("line", a, b));
    if (this.field("edge_0")) parts.push(line(`finish ${finish}`, shifted(a, off), shifted(b, off)));
    if (this.side.at === i) parts.push(line("chosen", shifted(a, 11), shifted(b, 11)));
    const around = [shifted(a, 16), shifted(b, 16), shifted(b, -8), shifted(a, -8)];
    bands.push(this.band(node("polygon", { class: "reach", points: around.join(" ") }), i));
  }

  // Along the side itself, for whoever aims at it.
  band(mark, i) {
    mark.addEventListener("click", () => this.side.open(i, false));
    return mark;
  }

  tag(i, { w, h, lines, choices }, spot, typed) {
    const [x, y] = spot, far = Math.hypot(x - choices[0][0], y - choices[0][1]) > SIZE;
    const finish = this.field("edge_0") ? `: ${this.finish(i)}` : "";
    const mark = node("rect", { class: "reach tag-reach", x: x - w / 2, y: y - h / 2, width: w, height: h, rx: 8, tabindex: 0, role: "button", "data-at": `edge${i}`, "aria-label": `Side ${i + 1}, ${write(this.outline.length(i), this.unit)}${finish}. Press to change.` });
    mark.addEventListener("click", () => this.side.open(i, false));
    mark.addEventListener("keydown", (event) => { if (["Enter", " "].includes(event.key)) { event.preventDefault(); this.side.open(i, true); } });
    return [...(far ? [line("leader", spot, choices[0])] : []), node("rect", { class: this.side.at === i ? "side-tag chosen" : "side-tag", x: x - w / 2 + 3, y: y - h / 2 + 5, width: w - 6, height: h - 10, rx: 8 }), words(spot, lines), mark];
  }

  finish(i) {
    let last = "seam";
    for (let at = 0; at <= i; at++) last = this.field(`edge_${at}`)?.value || last;
    return last;
  }

  setFinish(i, finish) {
    const after = this.field(`edge_${i + 1}`), then = this.finish(i + 1), own = this.field(`edge_${i}`);
    if (!own) return;
    if (after && !after.value) after.value = then;
    own.value = finish;
    own.dispatchEvent(new Event("input", { bubbles: true }));
    this.say(`Side ${i + 1}: ${finish}`);
  }

  corner(ring, spot, i, at) {
    const [right, up] = ring[i].map((mm) => write(mm, this.unit));
    const name = this.outline.round ? `Rim: ${right} across.` : `Corner ${i + 1}: ${right} right, ${up} up.`;
    const seen = node("circle", { class: "corner", cx: spot[0], cy: spot[1], r: 12 });
    const mark = node("circle", { class: "grip", cx: at[0], cy: at[1], r: SIZE / 2, tabindex: 0, role: "button", "data-at": `corner${i}`, "aria-label": `${name} Move with the arrow keys.` });
    const move = (to) => { this.outline.moveCorner(i, to); this.show(); };
    mark.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (event.key === "Delete" && this.outline.kind === "corners") { this.outline.dropCorner(i); this.show(); }
      if (!way) return;
      event.preventDefault();
      const step = this.outline.step * (event.shiftKey ? 12 : 1), now = this.ring[i];
      move([now[0] + way[0] * step, now[1] + way[1] * step]);
      this.say(this.ring[i].map((mm, at) => `${write(mm, this.unit)} ${at ? "up" : "right"}`).join(", "));
    });
    const snap = (mm) => Math.round(mm / this.outline.step) * this.outline.step;
    this.drag(mark, (point, start) => {
      start.off ??= [start.at.x - spot[0], start.at.y - spot[1]];
      move([snap((point.x - start.off[0] - this.zero[0]) / this.scale), snap((this.zero[1] - point.y + start.off[1]) / this.scale)]);
    });
    const far = Math.hypot(at[0] - spot[0], at[1] - spot[1]) > SIZE / 2;
    return [...(far ? [line("leader", at, spot), node("circle", { class: "corner", cx: at[0], cy: at[1], r: 7 })] : []), seen, mark];
  }

  arrow() {
    const held = this.form.querySelector("[name=pile]:checked");
    if (!this.field("pile")) return [];
    const untold = !held, degrees = Number(held?.value || 0), [across, down] = DIAL.spot;
    const drawn = (x, y, kind) => node("path", { class: `pile${untold ? " untold" : ""}${kind}`, transform: `rotate(${degrees} ${x} ${y})`, d: `M${x} ${y + 34}V${y - 34}m-12 15 12-15 12 15` });
    const shape = [node("circle", { class: "dial", cx: across, cy: down, r: 44 }), drawn(across, down, ""), ...(untold ? [] : [drawn(...this.at(middleOf(this.ring)), " laid")])];
    const reach = node("circle", { class: "pile-reach", cx: across, cy: down, r: 44, tabindex: 0, role: "slider", "data-at": "pile", "aria-label": "Pile lays towards", "aria-valuemin": 0, "aria-valuemax": 359, "aria-valuenow": degrees, "aria-valuetext": untold ? "not told" : `${degrees} degrees from up` });
    reach.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[event.key];
      if (way) { event.preventDefault(); this.setPile(degrees + way * (event.shiftKey ? 5 : 45)); }
    });
    this.drag(reach, (point) => this.setPile(Math.round(Math.atan2(point.x - across, down - point.y) * 12 / Math.PI) * 15));
    const told = words([across + 56, down], [untold ? "pile? turn the arrow" : "pile"]);
    told.setAttribute("class", "dial-told");
    return [...shape, told, reach];
  }

  // Told by a landmark: the wall, doorway or window that a side is.
  layTowards(i) {
    const spots = this.ring.map((point) => this.at(point)), [x, y] = this.out(spots, i);
    this.setPile(Math.round(Math.atan2(x, -y) * 180 / Math.PI));
    this.say(`The pile lays towards side ${i + 1}`);
  }

  // A bearing between the eight gets a choice of its own beside them.
  setPile(wanted) {
    const degrees = (Math.round(wanted) + 360) % 360;
    let choice = [...this.form.querySelectorAll("[name=pile]")].find((one) => Number(one.value) === degrees);
    if (!choice) {
      this.between ??= this.form.querySelector(".bearing .choices").appendChild(make("label", {}, ""));
      choice = make("input", { type: "radio", name: "pile", value: degrees });
      this.between.replaceChildren(choice, ` ${degrees}°`);
    }
    if (choice.checked) return;
    choice.checked = true;
    choice.dispatchEvent(new Event("input", { bubbles: true }));
    this.show();
  }

  drag(mark, moved) {
    mark.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
    mark.addEventListener("pointerdown", (start) => {
      start.preventDefault();
      mark.focus();
      const begun = { at: this.point(start) };
      const on = (event) => {
        if (event.pointerId !== start.pointerId) return;
        this.moving = true;
        moved(this.point(event), begun);
      };
      const off = () => { for (const [name, act] of [["pointermove", on], ["pointerup", off], ["pointercancel", off]]) removeEventListener(name, act); this.moving = false; this.shown = null; this.show(); };
      for (const [name, act] of [["pointermove", on], ["pointerup", off], ["pointercancel", off]]) addEventListener(name, act);
    });
  }

  point(event) { return new DOMPoint(event.clientX, event.clientY).matrixTransform(this.drawing.getScreenCTM().inverse()); }
  length(text) { return readMm(text, this.unit); }
  say(told) { this.told.textContent = told; }
}

function around(ring, i) { return [ring.at(i - 1), ring[i], ring[(i + 1) % ring.length]]; }

// The middle of the carpet itself, also of an L: half way through where its outline is cut by the line at half its height.
function middleOf(ring) {
  const ys = ring.map((point) => point[1]), y = Math.min(...ys) + (Math.max(...ys) - Math.min(...ys)) * 0.31;
  const xs = ring.flatMap((a, i) => { const b = ring[(i + 1) % ring.length]; return (a[1] > y) === (b[1] > y) ? [] : [a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])]; }).sort((p, q) => p - q);
  return xs.length > 1 ? [(xs[0] + xs[1]) / 2, y] : ring[0];
}

// A corner that points inwards: the sides that meet there have their figures inside, where these don't meet one another.
function reflex(ring, i) {
  const [before, at, after] = around(ring, i);
  return ((at[0] - before[0]) * (after[1] - at[1]) - (at[1] - before[1]) * (after[0] - at[0])) * area(ring) < 0;
}
