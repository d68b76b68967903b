// A lost signal loses nothing: what can't be sent waits on this device and goes out later, with the key that makes it count once.
// Each entry is sent only while its maker is signed in; of the others' no more is told than how many there are.
import { add, claim, drop, formOf, keep, me, waiting } from "./outbox.js";
import { kept, refused, saying, sent } from "./pressed.js";

const PATIENCE_MS = 30_000, MADE_BY_ANOTHER = "/problems/made-by-another";

export function queue(forms, sign) {
  for (const form of forms) form.addEventListener("submit", (event) => send(event, form, sign));
  for (const form of document.querySelectorAll("form[data-draft]:not([data-queue])")) form.addEventListener("submit", (event) => hold(event, sign));
  addEventListener("online", () => drain(sign));
  drain(sign);
}

// A question needs an answer now: without signal it stays where it was typed.
function hold(event, sign) {
  if (navigator.onLine) return;
  event.preventDefault();
  say(sign, "No signal, so nothing was sent. What you typed is kept on this device: send it again when there is signal.", event.submitter);
}

async function send(event, form, sign) {
  if (event.submitter?.formMethod === "get") return; // on to another page, with what was typed
  event.preventDefault();
  const address = (event.submitter?.hasAttribute("formaction") && event.submitter.formAction) || form.action, body = new FormData(form, event.submitter);
  if (me) body.set("made_by", me);
  if (navigator.onLine) {
    say(sign, "Sending …", event.submitter);
    const answer = await fetch(address, { method: "POST", body, headers: { Accept: "text/html" }, signal: AbortSignal.timeout(PATIENCE_MS) }).catch(() => null);
    if (answer?.status === 401) {
      await keepFor(form, address, body);
      location.assign(`/sign-in?next=${encodeURIComponent(location.pathname + location.search)}`);
      return;
    }
    if (answer) {
      if (answer.ok) {
        form.dispatchEvent(new Event("sent"));
        await settle(body.get("key"));
      }
      if (answer.ok && answer.redirected) goOn(form, answer.url);
      else resend(form, address, event.submitter);
      return;
    }
  }
  await keepFor(form, address, body);
  kept(event.submitter, body.get("key"), "again" in form.dataset);
  form.reset();
  const key = form.querySelector("[name=key]");
  if (key) key.value = crypto.randomUUID();
  await tell(sign);
}

// To the page that tells of it. A form in the middle of that very page says where on it one was.
function goOn(form, address) {
  if (form.dataset.at && address === location.href.split("#")[0]) {
    location.hash = form.dataset.at;
    location.reload();
  } else location.assign(address);
}

// With its photograph, for its maker to send: when there is signal, or when they are signed in again.
async function keepFor(form, address, body) {
  for (const [name, value] of [...body]) if (typeof value !== "string" && !value.size) body.delete(name);
  await add({ address, what: form.dataset.queue }, body);
  form.dispatchEvent(new Event("sent"));
}

// What was refused changed nothing: the browser sends it once more by itself, to show the page that says why.
function resend(form, address, submitter) {
  if (submitter?.name) form.append(Object.assign(document.createElement("input"), { type: "hidden", name: submitter.name, value: submitter.value }));
  form.action = address;
  form.submit();
}

// At the top for whoever hears the page, and at the button for whoever looks at it.
function say(sign, text, button) {
  sign.hidden = false;
  sign.replaceChildren(paragraph(text));
  if (button) saying(button, text);
  else sign.scrollIntoView({ block: "nearest" });
}

async function drain(sign) {
  if (me && navigator.onLine) {
    for (const one of (await waiting()).filter((other) => other.own && !other.broken && !other.choices?.length)) {
      let answer;
      const form = await formOf(one), key = form.get("key");
      try { answer = await fetch(one.address, { method: "POST", body: form, headers: { Accept: "application/json, text/html;q=0.5" } }); } catch { break; }
      const problem = answer.ok ? {} : await answer.json().catch(() => ({}));
      if (answer.ok) { await drop(one.id); done(one, answer); sent(key, answer); }
      else if (answer.status === 401 || answer.status === 429 || answer.status >= 500 || problem.type === MADE_BY_ANOTHER) break;
      else {
        refused(key);
        await keep({ ...one, refused: problem.detail || `refused (${answer.status})`, choices: problem.choices || [] });
      }
    }
  }
  await tell(sign);
}

// Who came back to a page that is as it was learns that it went out, and where it is now.
function done(one, answer) {
  const sign = document.getElementById("went");
  sign.hidden = false;
  sign.append(paragraph(`Sent, and done: ${one.what}. `));
  if (answer.redirected) sign.lastChild.append(Object.assign(document.createElement("a"), { href: answer.url, textContent: "Look at it" }));
}

async function tell(sign) {
  const all = await waiting(), own = all.filter((one) => one.own);
  sign.hidden = !all.length;
  sign.replaceChildren();
  count(all.length);
  if (own.length) {
    const what = [...new Set(own.map((one) => one.what || "an entry"))].join(", ");
    sign.append(paragraph(own.every((one) => one.choices?.length)
      ? `Kept on this device, not booked yet: ${own.length} (${what}). It waits for your answer.`
      : `Kept on this device until there is signal: ${own.length} (${what}). Not booked yet; it is sent by itself, once.`));
  }
  for (const one of own.filter((other) => other.refused || other.broken)) sign.append(refusal(one, sign));
  const theirs = all.filter((one) => !one.own);
  for (const person of new Set(theirs.map((one) => one.person || ""))) sign.append(others(person, theirs.filter((one) => (one.person || "") === person), sign));
}

// Seen on every page wherever one has scrolled to; pressed, it leads to what waits.
function count(many) {
  const foot = document.getElementById("outbox");
  foot.hidden = !many;
  foot.textContent = `${many} ${many === 1 ? "waits" : "wait"} here, not booked yet`;
}

// Of what somebody else made here: how many, and who can send it. A manager may drop it, as for one who never comes back.
function others(person, some, sign) {
  const box = document.createElement("div"), many = some.length === 1 ? "1 entry" : `${some.length} entries`, waits = some.length === 1 ? "waits" : "wait";
  const row = Object.assign(document.createElement("div"), { className: "row" });
  box.append(paragraph(person
    ? `${many} of ${person} ${waits} on this device, not booked yet. Sign in as ${person} to send ${some.length === 1 ? "it" : "them"}.`
    : `${many} ${waits} on this device, not booked yet; an older version did not write down who made ${some.length === 1 ? "it" : "them"}.`), row);
  const each = (act) => async () => { for (const one of some) await act(one.id); await drain(sign); };
  if (me && !person) row.append(button(`Send as ${me}`, each(claim)));
  if (me && (!person || "manager" in document.body.dataset)) row.append(button(person ? `Drop what ${person} made` : "Drop it", each(drop)));
  return box;
}

// What was refused waits on: to be dropped, or where the shop asks something, to be answered here or looked at in its form.
function refusal(one, sign) {
  const box = document.createElement("div"), row = Object.assign(document.createElement("div"), { className: "row" });
  const asked = one.choices || [], told = one.refused || "it can't be read any more; enter it again";
  box.append(paragraph(`${asked.length ? "Asked about" : "Not taken,"} ${one.what || "an entry"}: ${told}`), row);
  for (const choice of asked) row.append(button(choice.word, () => choose(one, choice, sign)));
  if (asked.length) row.append(look(one));
  row.append(button("Drop it", async () => { await drop(one.id); await tell(sign); }));
  return box;
}

function paragraph(text) { return Object.assign(document.createElement("p"), { textContent: text }); }

function button(word, act) {
  const made = Object.assign(document.createElement("button"), { type: "button", textContent: word });
  made.addEventListener("click", act);
  return made;
}

async function choose(one, choice, sign) {
  const form = await formOf(one);
  form.set(choice.name, choice.value);
  await add({ address: one.address, what: one.what }, form);
  await drop(one.id);
  await drain(sign);
}

// The form as it was typed, a photograph aside: logged there under the same key, it waits here no more.
function look(one) {
  const link = Object.assign(document.createElement("a"), { className: "button", textContent: "Look at it first" });
  formOf(one).then((form) => {
    const typed = [...form].filter(([, value]) => typeof value === "string" && value), files = [...form].some(([, value]) => typeof value !== "string");
    link.href = `${new URL(one.address).pathname}?${new URLSearchParams([...typed, ["waited", files ? "photo" : "yes"]])}`;
  });
  return link;
}

async function settle(key) {
  if (!key) return;
  for (const one of await waiting()) if (one.own && !one.broken && (await formOf(one)).get("key") === key) await drop(one.id);
}
