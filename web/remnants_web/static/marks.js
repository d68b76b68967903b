// Marks of the pads: lines, words, and the elements that they are made of.
const SVG = "http://www.w3.org/2000/svg";

export function line(kind, a, b) { return node("line", { class: kind, x1: a[0], y1: a[1], x2: b[0], y2: b[1] }); }

export function words([x, y], lines) {
  const text = node("text", { x, y: y - (lines.length - 1) * 9 });
  lines.forEach((told, i) => { const part = node("tspan", { x, dy: i ? 19 : 0, class: i ? "of" : "" }); part.textContent = told; text.append(part); });
  return text;
}

export function node(name, given) { return filled(document.createElementNS(SVG, name), given); }

export function make(name, given, text = "") {
  const made = filled(document.createElement(name), given);
  made.textContent = text;
  return made;
}

// Twice the area inside a ring, below zero where it runs with the clock.
export function area(ring) { return ring.reduce((sum, [x, y], i) => { const [a, b] = ring[(i + 1) % ring.length]; return sum + x * b - a * y; }, 0); }

function filled(made, given) {
  for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
  return made;
}
