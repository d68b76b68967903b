// Lengths as a carpet layer types them, for the pad's picture only: the server reads what is sent anew, and decides.
export const PER_MM = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 };

const TERM = /([\d.,]+)?(?:[\s-]*(\d+)\/(\d+))?\s*(mm|cm|m|in|ft|'|"|″|′)?/gi;
const WORDS = { "'": "ft", "′": "ft", '"': "in", "″": "in" };

export function readMm(text, unit) {
  let total = 0, any = false, before = "";
  for (const [all, figure, top, bottom, word] of text.trim().matchAll(TERM)) {
    if (!all.trim()) continue;
    if (figure === undefined && top === undefined) return NaN;
    const named = word ? (WORDS[word] || word.toLowerCase()) : (before === "ft" ? "in" : unit);
    total += (Number((figure || "0").replace(",", ".")) + (bottom ? top / bottom : 0)) * PER_MM[named];
    before = named;
    any = true;
  }
  return any ? total : NaN;
}

export function write(mm, unit) {
  if (unit !== "in") return `${Number((mm / PER_MM[unit]).toFixed(unit === "m" ? 3 : 1))} ${unit}`;
  const parts = Math.round(mm / 25.4 * 16), inches = Math.floor(parts / 16), over = parts % 16;
  let top = over, bottom = 16;
  while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
  const fraction = top ? `${top}/${bottom}` : "";
  if (inches < 36) return [inches || !fraction ? inches : "", fraction].filter((part) => part !== "").join(" ") + " in";
  const rest = [inches % 12 || !fraction ? inches % 12 : "", fraction].filter((part) => part !== "").join(" ");
  return `${Math.floor(inches / 12)}' ${rest}"`;
}
