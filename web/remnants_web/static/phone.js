// Many photographs of the marker page are sent one after the other, as all together would be too large. Without this the form sends itself.
export function watch(form) { form.addEventListener("submit", (event) => send(event, form)); }

async function send(event, form) {
  const files = [...form.querySelector("[name=photo]").files];
  if (event.submitter?.formAction !== form.action || event.submitter?.name || files.length < 2) return;
  event.preventDefault();
  const sign = document.getElementById("phone-told"), refused = [];
  for (const button of form.querySelectorAll("button")) button.disabled = true;
  let page = null;
  for (const [at, file] of files.entries()) {
    sign.textContent = `Sending ${at + 1} of ${files.length} … ${page?.getElementById("phone-told").textContent.trim() ?? ""}`;
    const sent = new FormData(form);
    sent.set("photo", file, file.name);
    for (const name of ["seen", "wanted"]) if (page) sent.set(name, page.querySelector(`[data-phone] [name=${name}]`).value);
    try {
      const answer = await fetch(form.action, { method: "POST", body: sent, headers: { Accept: "text/html" } });
      const told = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (!told.querySelector("[data-phone]")) { refused.push(`${file.name}: not taken, ${answer.status}`); continue; }
      page = told;
      refused.push(...[...told.querySelectorAll("#faults li")].map((line) => line.textContent.replace(/^[^:]*: /, "")));
    } catch { refused.push(`${file.name}: no signal, send it again`); }
  }
  if (page) document.querySelector("main").replaceWith(document.adoptNode(page.querySelector("main")));
  for (const told of document.querySelectorAll("#faults, #photo-fault")) told.remove();
  document.getElementById("photo").removeAttribute("aria-invalid");
  const list = document.createElement("ul");
  for (const line of refused) list.append(Object.assign(document.createElement("li"), { textContent: line }));
  const now = document.getElementById("phone-told");
  if (refused.length) now.after(list);
  const fresh = document.querySelector("form[data-phone]");
  for (const button of fresh.querySelectorAll("button")) button.disabled = false;
  if (page) watch(fresh);
  now.scrollIntoView({ block: "center" });
}
