// How long each field takes, told with the form that the shop asked to be noted: taps and seconds, nothing of what is typed.
// The form that is noted loads this with itself: brought later, it missed the first taps of a quick hand.
const LONGEST = 60;

note(document.querySelector("form [name=pace]").form);

function note(form) {
  const taps = new Map(), seconds = new Map();
  let began = null, at = null, since = 0, touched = 0;
  const of = (target) => target.closest?.(".field, fieldset, label")?.querySelector("input, select, textarea")?.name || target.name || "";
  const add = (map, name, by) => name && map.set(name, (map.get(name) || 0) + by);
  const leave = () => { if (at) add(seconds, at, Math.min(LONGEST, (Date.now() - since) / 1000)); at = null; };
  form.addEventListener("pointerdown", ({ target }) => { began ??= Date.now(); touched += 1; add(taps, of(target), 1); }, true);
  form.addEventListener("focusin", ({ target }) => { began ??= Date.now(); leave(); at = target.name || null; since = Date.now(); });
  form.addEventListener("focusout", leave);
  form.addEventListener("submit", () => {
    leave();
    const whole = began === null ? [] : [`form:${touched}:${((Date.now() - began) / 1000).toFixed(1)}`];
    const told = [...new Set([...taps.keys(), ...seconds.keys()])].map((name) => `${name}:${taps.get(name) || 0}:${(seconds.get(name) || 0).toFixed(1)}`);
    form.elements.namedItem("pace").value = [...whole, ...told].join(" ");
  });
}
