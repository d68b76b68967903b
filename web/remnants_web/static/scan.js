// A scanner is a keyboard: each tag it types, and Enter, goes to the list and ticks its piece; the field is ready for the next.
export function count(place) {
  const form = place.closest("form");
  const typed = form.querySelector("textarea");
  const ticks = [...form.querySelectorAll(".ticks input")];
  const label = document.createElement("label");
  label.htmlFor = "scan";
  label.textContent = "Scan or type a tag, then Enter";
  const field = document.createElement("input");
  Object.assign(field, { id: "scan", autocomplete: "off", spellcheck: false, autocapitalize: "characters", enterKeyHint: "next" });
  const told = document.createElement("p");
  told.id = "scanned";
  told.setAttribute("role", "status");
  place.classList.add("field");
  place.append(label, field, told);

  form.querySelector("button.do").before(typed.closest(".field"));  // the list comes first where a scan goes straight to it

  const lines = () => typed.value.split("\n").map((line) => line.trim()).filter(Boolean);
  const same = (one, other) => one.toUpperCase() === other.toUpperCase();
  const tick = () => { for (const box of ticks) if (lines().some((tag) => same(tag, box.value))) box.checked = true; };
  const tell = (text) => {
    const seen = ticks.filter((box) => box.checked).length;
    told.textContent = `${text ? `${text} ` : ""}${seen} of ${ticks.length} seen.`;
  };

  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    const tag = tagOf(field.value);
    field.value = "";
    if (!tag) return;
    const again = lines().some((line) => same(line, tag)) || ticks.some((box) => box.checked && same(box.value, tag));
    if (!again) typed.value = [...lines(), tag].join("\n") + "\n";
    tick();
    typed.dispatchEvent(new Event("input", { bubbles: true }));
    const here = ticks.some((box) => same(box.value, tag));
    tell(again ? `${tag}: seen already.` : here ? `${tag}: here.` : `${tag}: not in the list for this place.`);
    if (!again && !here) lookUp(tag);
  });
  const lookUp = async (tag) => {
    const address = `/count/${encodeURIComponent(form.elements.place.value)}/seen.json?tag=${encodeURIComponent(tag)}`;
    try {
      const answer = await fetch(address, { headers: { Accept: "application/json" } });
      if (answer.ok) tell(`${tag}: ${(await answer.json()).told}.`);
    } catch { tell(`${tag}: not in the list for this place; it is looked up when you compare.`); }
  };
  form.addEventListener("change", (event) => {
    if (event.target.type === "checkbox" && !event.target.checked) typed.value = lines().filter((tag) => !same(tag, event.target.value)).map((tag) => `${tag}\n`).join("");
    tell("");
  });
  form.addEventListener("click", (event) => { if (event.pointerType === "mouse" && event.target.type === "checkbox") field.focus(); });
  tick();
  tell("");
  field.focus();
}

// The tag itself, also where the code holds the address of the piece's page.
function tagOf(text) {
  const found = text.trim().match(/^https?:\/\/[^/\s]+\/pieces\/([^?#]+)/i);
  try { return (found ? decodeURIComponent(found[1]) : text).trim(); } catch { return text.trim(); }
}
