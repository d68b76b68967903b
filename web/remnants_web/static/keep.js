// What was typed stays: each form's fields are kept on this device until it was sent.
// Who else signs in here finds none of it.
const PREFIX = `typed ${document.body.dataset.person || ""} `;

export function keep(form) {
  const name = PREFIX + form.dataset.draft;
  if (blank(form)) restore(form, name);
  else store(form, name);
  form.addEventListener("input", () => store(form, name));
  form.addEventListener("change", () => store(form, name));
  form.addEventListener("sent", () => localStorage.removeItem(name));
}

export function forget(name) {
  localStorage.removeItem(PREFIX + name);
}

export function forgetAll() {
  for (const name of Object.keys(localStorage)) if (name.startsWith(PREFIX)) localStorage.removeItem(name);
}

function fields(form) {
  return [...form.elements].filter((field) => field.name && !["file", "hidden", "password", "submit"].includes(field.type));
}

function blank(form) {
  return !form.ownerDocument.getElementById("faults")
    && fields(form).every((field) => field.type === "radio" || field.type === "checkbox" || field.tagName === "SELECT" || !field.value || field.value === field.dataset.usual);
}

function store(form, name) {
  const typed = {};
  for (const field of fields(form)) {
    if (field.type === "radio" || field.type === "checkbox") { if (field.checked) typed[field.name] = field.value; }
    else typed[field.name] = field.value;
  }
  try { localStorage.setItem(name, JSON.stringify(typed)); } catch { /* a full or closed store loses only the draft */ }
}

function restore(form, name) {
  let typed;
  try { typed = JSON.parse(localStorage.getItem(name) || "null"); } catch { return; }
  if (!typed) return;
  for (const field of fields(form)) {
    if (field.type === "radio") field.checked = typed[field.name] === field.value || (!(field.name in typed) && field.defaultChecked);
    else if (field.type === "checkbox") field.checked = typed[field.name] === field.value;
    else if (field.name in typed) field.value = typed[field.name];
  }
}
