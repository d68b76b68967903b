// What became of what was pressed, told at its button: one who cut without signal looks there, not at the top of the page.
const here = new Map();

export function saying(button, text) {
  const sign = signAt(button);
  sign.textContent = text;
  sign.scrollIntoView({ block: "nearest" });
}

// Kept on the device: what is done once can't be pressed again, a form that is filled in for the next thing can.
export function kept(button, key, again) {
  if (!button) return;
  saying(button, "Kept on this device, not booked yet. It is sent by itself when there is signal, once.");
  if (again) return;
  const buttons = [...button.form.elements].filter((one) => one.type === "submit");
  here.set(key, { button, buttons, word: button.textContent });
  for (const one of buttons) one.disabled = true;
  button.textContent = "Kept, waits for signal";
}

export function sent(key, answer) {
  const told = here.get(key);
  if (!told) return;
  const sign = signAt(told.button);
  sign.textContent = "Sent, and done. ";
  if (answer.redirected) sign.append(Object.assign(document.createElement("a"), { href: answer.url, textContent: "Look at it" }));
  told.button.textContent = "Done";
}

export function refused(key) {
  const told = here.get(key);
  if (!told) return;
  signAt(told.button).textContent = "It was not taken. Why is told at the top of this page.";
  told.button.textContent = told.word;
  for (const one of told.buttons) one.disabled = false;
}

function signAt(button) {
  const row = button.closest(".row") || button;
  if (row.previousElementSibling?.matches(".pressed")) return row.previousElementSibling;
  if (row.querySelector(".pressed")) return row.querySelector(".pressed");
  const sign = Object.assign(document.createElement("p"), { className: "pressed" });
  if (row.matches(".thumb")) row.prepend(sign);
  else row.before(sign);
  return sign;
}
