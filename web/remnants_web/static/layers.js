// The layers of a drawing are shown without leaving the page, so that the file stays chosen; without this the page is sent.
export function watch(button) {
  const form = button.form, seen = form.querySelector("#layers-seen");
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
    } catch { form.requestSubmit(button); }
    button.disabled = false;
  });
}
