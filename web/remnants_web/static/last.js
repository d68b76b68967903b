// What was told last on this device, offered first: one tap instead of some fields. Nothing is taken untold. Gone when one signs out.
const FIELDS = { carpets: ["style", "colour", "lot"], places: ["name", "room"], allowances: ["seam", "wall", "transition"] }, MOST = 3;

export function remember(told) {
  for (const [what, now] of Object.entries(JSON.parse(told))) {
    if (!(what === "carpets" ? now[0] : now.some(Boolean))) continue;
    try { localStorage.setItem(name(what), JSON.stringify([now, ...last(what).filter((one) => String(one) !== String(now))].slice(0, MOST))); } catch { /* a full store only forgets */ }
  }
}

export function offer(form) {
  for (const [what, names] of Object.entries(FIELDS)) {
    const fields = names.map((one) => form.querySelector(`[name=${one}]`));
    if (!last(what).length || !fields.every(Boolean) || fields.some((field) => field.value)) continue;
    const row = Object.assign(document.createElement("div"), { className: "choices last" });
    row.append(...last(what).map((told) => choice(what, told, fields, row)));
    fields[0].closest("[data-suggest], .fields").before(row);
  }
}

function choice(what, told, fields, row) {
  const words = told.map((text, at) => text && what === "allowances" ? `${fields[at].labels[0].textContent} ${text}` : text);
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: words.filter(Boolean).join(", ") });
  button.addEventListener("click", () => {
    fields.forEach((field, at) => { field.value = told[at] || ""; field.dispatchEvent(new Event("input", { bubbles: true })); });
    row.remove();
  });
  return button;
}

function name(what) { return `typed ${document.body.dataset.person || ""} ${what}`; }

function last(what) {
  try { return JSON.parse(localStorage.getItem(name(what)) || "[]"); } catch { return []; }
}
