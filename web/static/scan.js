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
    const tag = field.value.trim();
    field.value = "";
    if (!tag) return;
    const again = lines().some((line) => same(line, tag)) || ticks.some((box) => box.checked && same(box.value, tag));
    if (!again) typed.value = [...lines(), tag].join("\n") + "\n";
    tick();
    typed.dispatchEvent(new Event("input", { bubbles: true }));
    const here = ticks.some((box) => same(box.value, tag));
    tell(again ? `${tag}: seen already.` : here ? `${tag}: here.` : `${tag}: not in the list for this place; it is looked up when you compare.`);
  });
  form.addEventListener("change", () => tell(""));
  tick();
  tell("");
  field.focus();
}
