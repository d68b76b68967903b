// At the dock a scan waits its turn to be sent, and the field is free for the next at once. What can't be sent stays, in order.
const PARTS = ["dock-answer", "dock-hidden", "dock-more", "dock-done"], PATIENCE_MS = 30_000;
const NAME = `typed ${document.body.dataset.person || ""} dock ${location.pathname}`;

export function watch(form) {
  const field = form.elements.scan, waits = make("div", "dock-waits"), missed = make("ul", "dock-missed");
  waits.setAttribute("role", "status");
  form.after(waits, missed);
  let line = kept(), busy = false, key = "";

  form.addEventListener("submit", (event) => {
    if (event.submitter?.name) return;  // so many alike: a form like any other
    event.preventDefault();
    const text = field.value.trim();
    field.value = "";
    field.focus();
    if (text) line.push(text);
    store();
    go();
  });
  addEventListener("online", go);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) field.focus(); });
  // What a scanner types while nothing takes it goes to the field.
  document.addEventListener("keydown", ({ key, ctrlKey, altKey, metaKey }) => {
    if (key.length === 1 && !ctrlKey && !altKey && !metaKey && document.activeElement === document.body) field.focus();
  });
  if (document.activeElement === document.body && field.autofocus) field.focus();
  store();
  if (!document.querySelector("#faults, #style_is")) go();

  // One after another: a rack that was scanned counts for what is scanned after it.
  async function go() {
    if (busy) return;
    busy = true;
    while (line.length && (await send(line[0]))) { line.shift(); key = ""; store(); }
    busy = false;
  }

  async function send(text) {
    const body = new FormData(form);
    body.set("scan", text);
    if (key) body.set("key", key);  // sent again, it counts once
    key = body.get("key");
    const asked = { method: "POST", body: new URLSearchParams(body), headers: { Accept: "text/html" }, signal: AbortSignal.timeout(PATIENCE_MS) };
    const answer = await fetch(form.action, asked).catch(() => null);
    const page = answer && new DOMParser().parseFromString(await answer.text().catch(() => ""), "text/html");
    if (!page?.getElementById("dock-answer")) {
      tell(answer ? "The shop did not take it. Load this page again, or sign in" : "No signal");
      return false;
    }
    if (page.querySelector("#faults, #style_is")) { field.value = text; line.shift(); store(); form.requestSubmit(plain()); return false; }
    for (const id of PARTS) document.getElementById(id).replaceWith(page.getElementById(id));
    takeOver(page.querySelector("form[data-dock]"));
    if (answer.redirected) history.replaceState(null, "", answer.url);
    if (!answer.ok) miss(text);
    document.dispatchEvent(new CustomEvent("scanned", { detail: document.getElementById("dock-answer").textContent.trim() }));
    return true;
  }

  // What is told once of all that come in, such as the rack that was just scanned.
  function takeOver(made) {
    for (const other of made.querySelectorAll("details :is(input:not([type=radio]), select)")) form.querySelector(`[name="${other.name}"]`).value = other.value;
    const [own, told] = [form, made].map((one) => one.querySelector("details"));
    if (!own) return;
    own.open = told.open;
    own.querySelector("summary").textContent = told.querySelector("summary").textContent;
  }

  // What is asked or wrong about the carpet is shown by the page itself, as without scripts.
  function plain() {
    const made = Object.assign(document.createElement("button"), { name: "plain", value: "1", hidden: true });
    form.append(made);
    return made;
  }

  function miss(text) {
    const row = document.createElement("li");
    row.textContent = `${text}: ${document.querySelector("#dock-answer .big")?.textContent || "not done"}`;
    missed.prepend(row);
    while (missed.children.length > 20) missed.lastChild.remove();
  }

  function tell(why) {
    const again = Object.assign(document.createElement("button"), { type: "button", textContent: "Send again" });
    again.addEventListener("click", go);
    waits.replaceChildren(`${why}. Not written yet: ${line.join(", ")}. `, again);
    waits.className = "note heed";
  }

  function store() {
    try { line.length ? localStorage.setItem(NAME, JSON.stringify(line)) : localStorage.removeItem(NAME); } catch { /* then it waits on this page alone */ }
    waits.replaceChildren(line.length > 1 ? `${line.length} scans wait their turn.` : "");
    waits.className = "";
  }
}

function kept() {
  try { return JSON.parse(localStorage.getItem(NAME) || "[]"); } catch { return []; }
}

function make(tag, id) { return Object.assign(document.createElement(tag), { id }); }
