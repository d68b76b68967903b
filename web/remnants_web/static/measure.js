// Lengths as a carpet layer types them, for the pad's picture only: the server reads what is sent anew, and decides.
export const PER_MM = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 };

const NAMES = {
  mm: ["mm", "millimetre", "millimetres", "millimeter", "millimeters"], cm: ["cm", "centimetre", "centimetres", "centimeter", "centimeters"],
  m: ["m", "metre", "metres", "meter", "meters"], in: ["in", "inch", "inches", '"'], ft: ["ft", "foot", "feet", "'"],
};
const WORDS = Object.fromEntries(Object.entries(NAMES).flatMap(([unit, names]) => names.map((name) => [name, unit])));
const TERM = /\s*(?:(\d+)\s*\/\s*(\d+)|(\d+(?:[.,]\d+)?|[.,]\d+)(?:(?:\s+|-)(\d+)\s*\/\s*(\d+))?)\s*([a-z]+|['"])?\.?\s*(?:[-,](?=.))?/y;

// What it can't read for sure is NaN: then nothing is drawn, rather than something else than the server answers.
export function readMm(text, unit) {
  const plain = plainly(text);
  let total = 0, before = "";
  for (TERM.lastIndex = 0; TERM.lastIndex < plain.length;) {
    const term = TERM.exec(plain);
    if (!term) return NaN;
    const [, top, bottom, figure, andTop, andBottom, word] = term;
    const named = word ? WORDS[word] : before === "ft" ? "in" : before ? undefined : unit;
    const parts = figure === undefined ? top / bottom : Number(figure.replace(",", ".")) + (andTop ? andTop / andBottom : 0);
    if (+top >= +bottom || +andTop >= +andBottom || (before && !whole(total / PER_MM[before]))) return NaN;
    if (!named || !Number.isFinite(parts) || unsure(figure, named) || (andTop && !/^\d+$/.test(figure))) return NaN;
    if (before && (PER_MM[named] >= PER_MM[before] || parts * PER_MM[named] >= PER_MM[before] || metric(named) !== metric(before))) return NaN;
    total += parts * PER_MM[named];
    before = named;
  }
  return before ? total : NaN;
}

function whole(figure) { return Math.abs(figure - Math.round(figure)) < 1e-9; }
function metric(unit) { return unit.endsWith("m"); }

// A comma in inches, or one that may divide thousands.
function unsure(figure, unit) { return figure?.includes(",") && (!metric(unit) || /^0*[1-9]\d*,\d{3}$/.test(figure)); }

function plainly(text) {
  return text.replace(/[¼-¾⅐-⅞]/g, " $&").normalize("NFKC").replace(/[′’‘ʹ`´]/g, "'").replace(/[″“”ʺ‶]/g, '"').replace(/''/g, '"')
    .replace(/[−–‐‑]/g, "-").replace(/⁄/g, "/").toLowerCase().trim().replace(/\b\d{1,3}(?: \d{3})+(?=(?:[.,]\d+)? ?(?:mm|cm|m)\b)/g, (all) => all.replace(/ /g, ""));
}

export function write(mm, unit) {
  if (unit !== "in") return `${Number((mm / PER_MM[unit]).toFixed(unit === "m" ? 3 : 1))} ${unit}`;
  const parts = Math.round(mm / 25.4 * 16), inches = Math.floor(parts / 16), over = parts % 16;
  let top = over, bottom = 16;
  while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
  const fraction = top ? `${top}/${bottom}` : "";
  if (inches < 36) return [inches || !fraction ? inches : "", fraction].filter((part) => part !== "").join(" ") + " in";
  const rest = [inches % 12, fraction].filter((part) => part !== "").join(" ");
  return `${Math.floor(inches / 12)}' ${rest}"`;
}
