// A photograph that is to be measured in is sent from here, so that a refusal leaves it chosen. Without this the form sends itself.
export function watch(form) {
  form.addEventListener("submit", (event) => send(event, form));
}

async function send(event, form) {
  event.preventDefault();
  const sign = document.getElementById("flatten-told"), button = form.querySelector("button.do");
  say(sign, "Sending and flattening …");
  button.disabled = true;
  try {
    const answer = await fetch(form.action, { method: "POST", body: new FormData(form), headers: { Accept: "text/html;q=0.5, application/json" } });
    if (answer.ok) { location.assign(answer.url); return; }
    const problem = await answer.json();
    const faults = problem.faults || [], open = faults.map((fault) => document.getElementById(fault.where)).find(Boolean);
    say(sign, faults.length ? faults.map((fault) => capital(fault.what)).join(". ") + "." : capital(problem.detail) + ".");
    open?.closest("details")?.setAttribute("open", "");
    sign.scrollIntoView({ block: "center" });
  } catch { say(sign, "No signal, so nothing was sent. The photograph is still chosen: send it again when there is signal."); }
  button.disabled = false;
}

function say(sign, words) { sign.hidden = false; sign.textContent = words; }
function capital(text) { return text.charAt(0).toUpperCase() + text.slice(1); }
