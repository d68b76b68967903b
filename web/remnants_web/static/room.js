// What a form tells of the room beside its outline, for the drawing alone: doorways, and the way the pile lays.
import { area } from "./marks.js";
import { readMm } from "./measure.js";

const DOORS = 3;

// The doorways as lines in the room's axes (mm), measured from the left or lower end of their side.
export function doorsOf(form, ring, unit) {
  return Array.from({ length: DOORS }, (_, i) => doorOf(form, i + 1, ring, unit)).filter(Boolean).map(({ line }) => line);
}

// The ways that people walk, and what stands on the floor, as far as their lines can be read.
export function lanesOf(form, unit) {
  const point = (text) => text.split(",").map((part) => readMm(part, unit));
  return lines(form, "lanes").map((text) => text.split(";").filter((part) => part.trim()).map(point)).filter((lane) => lane.every(known(2)));
}

export function standing(form, unit) {
  const box = ([x, y, w, l]) => [[x, y], [x + w, y], [x + w, y + l], [x, y + l]];
  return lines(form, "hidden").map((text) => text.split(",").map((part) => readMm(part, unit))).filter(known(4)).map(box);
}

function lines(form, name) { return (form.elements.namedItem(name)?.value ?? "").split("\n").filter((line) => line.trim()); }
function known(count) { return (figures) => figures.length === count && figures.every(Number.isFinite); }

function doorOf(form, n, ring, unit) {
  const text = (name) => form.elements.namedItem(`${name}_${n}`)?.value ?? "";
  const side = Number(text("door")) - 1, width = readMm(text("door_width"), unit);
  if (!ring[side] || !(width > 0) || ring.length > 12) return null;
  const ends = [ring[side], ring[(side + 1) % ring.length]];
  const [a, b] = ends[1][0] + ends[1][1] < ends[0][0] + ends[0][1] ? [ends[1], ends[0]] : ends;
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1, start = readMm(text("door_from") || "0", unit) || 0;
  const at = (far) => [a[0] + (b[0] - a[0]) / long * far, a[1] + (b[1] - a[1]) / long * far];
  return { side, line: [at(start), at(start + width)] };
}

// Degrees clockwise from up: by the landmark that is named, else by the arrow.
export function pileOf(form, ring, unit) {
  const arrow = Number(form.querySelector("[name=pile]:checked")?.value || 0), named = form.elements.namedItem("pile_by")?.value ?? "";
  const away = named.startsWith("from_") ? 180 : 0, landmark = named.replace("from_", "");
  if (landmark === "light") return ((Number(form.elements.namedItem("light")?.value) || 0) + away) % 360;
  const door = landmark.startsWith("door_") ? doorOf(form, Number(landmark.at(-1)), ring, unit) : null;
  if (!door) return arrow;
  const [a, b] = [ring[door.side], ring[(door.side + 1) % ring.length]], turn = area(ring) > 0 ? 1 : -1;
  return (Math.atan2((b[1] - a[1]) * turn, (a[0] - b[0]) * turn) * 180 / Math.PI + 360 + away) % 360;
}
