// What a drawing holds is shown without leaving the page, so that the file stays chosen; without this the page is sent.
export function watch(button) {
  const form = button.form, seen = form.querySelector("#layers-seen"), chosen = form.querySelector("#drawing_line");
  const mark = () => {
    for (const line of seen.querySelectorAll("[data-line]")) line.classList.toggle("chosen", line.dataset.line === chosen.value);
  };
  chosen?.addEventListener("change", mark);
  seen.addEventListener("click", (event) => {
    const line = event.target.closest("[data-line]");
    if (!line || !chosen) return;
    chosen.value = line.dataset.line;
    mark();
    form.querySelector("#drawing_known").focus();
  });
  button.addEventListener("click", async (event) => {
    event.preventDefault();
    const sent = new FormData(form);
    sent.set("look", "1");
    button.disabled = true;
    try {
      const page = new DOMParser().parseFromString(await (await fetch(form.action, { method: "POST", body: sent })).text(), "text/html");
      const told = page.querySelector("#layers-seen")?.children.length ? page.querySelector("#layers-seen") : page.getElementById("file-fault");
      seen.replaceChildren(...(told ? [document.importNode(told, true)] : []));
      if (told) { seen.firstChild.removeAttribute("id"); seen.querySelector("input, [tabindex]")?.focus(); }
      for (const line of seen.querySelectorAll("[data-told]")) {
        const option = chosen?.querySelector(`option[value="${line.dataset.told}"]`);
        if (option) option.textContent = line.textContent;
      }
      mark();
    } catch { form.requestSubmit(button); }
    button.disabled = false;
  });
}
