// A passphrase can be looked at while it is typed.
export function all(fields) {
  for (const field of fields) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = "Show it";
    button.setAttribute("aria-controls", field.id);
    button.addEventListener("click", () => {
      const hidden = field.type === "password";
      field.type = hidden ? "text" : "password";
      button.textContent = hidden ? "Hide it" : "Show it";
    });
    field.form?.addEventListener("submit", () => { field.type = "password"; });
    field.after(button);
  }
}
