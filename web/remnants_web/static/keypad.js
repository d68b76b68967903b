// A keypad for what a tape reads: feet, inches, halves to sixteenths, or metric. It opens where a length is touched with a finger, below
// the field and never over it; the phone's own keyboard is one key away. The field stays a field: a keyboard types into it as ever.
import { make } from "./marks.js";

const EIGHTHS = ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];
const SIXTEENTHS = ["1/16", "3/16", "5/16", "7/16", "9/16", "11/16", "13/16", "15/16"];
const UNITS = { feet: [["'", "feet"], ['"', "inches"]], metric: [["cm", "centimetres"], ["m", "metres"], ["mm", "millimetres"]] };

export function all() {
  const pad = new Keypad();
  document.addEventListener("pointerdown", (event) => { if (event.target.matches?.("input.measure")) pad.touched(event); }, true);
}

class Keypad {
  constructor() {
    this.metric = !["ft", "in"].includes(document.body.dataset.reader);
    this.fine = false;
    this.panel = make("div", { class: "keypad no-print", role: "group", "aria-label": "Keypad for lengths", hidden: "" });
    this.panel.addEventListener("pointerdown", (event) => { if (event.target !== this.panel) event.preventDefault(); }); // the field keeps the focus
    document.body.append(this.panel);
  }

  touched({ target: field, pointerType }) {
    if (pointerType !== "touch" || this.own === field) return;
    field.setAttribute("inputmode", "none");
    this.open(field);
  }

  // Listens to a field once: it may be one that a drawing made later.
  hear(field) {
    if (field.dataset.keyed) return;
    field.dataset.keyed = "yes";
    field.addEventListener("focusout", (event) => { if (this.field === field && !this.panel.contains(event.relatedTarget)) this.close(); });
    field.addEventListener("keydown", (event) => { if (event.key === "Escape" && !this.panel.hidden) { event.stopPropagation(); this.close(); } });
  }

  open(field) {
    this.field = field;
    this.hear(field);
    this.draw();
    this.panel.hidden = false;
    document.documentElement.classList.add("keyed");
    requestAnimationFrame(() => field.scrollIntoView({ block: "center" }));
  }

  close() {
    this.panel.hidden = true;
    document.documentElement.classList.remove("keyed");
  }

  // One row of fractions, then figures with units beside them.
  draw() {
    const parts = (this.fine ? SIXTEENTHS : EIGHTHS).map((part) => this.key(part, part, () => this.fraction(part), "part"));
    const finer = this.key(this.fine ? "1/8" : "/16", this.fine ? "Eighths" : "Sixteenths", () => { this.fine = !this.fine; this.draw(); }, "part act");
    const figure = (text) => this.key(text, text, () => this.type(text));
    const unit = ([sign, word]) => this.key(sign === "'" ? "ft" : sign === '"' ? "in" : sign, word, () => this.unit(sign), "unit");
    const [first, second, third] = UNITS[this.metric ? "metric" : "feet"];
    const other = this.key(this.metric ? "ft in" : "cm m", this.metric ? "Feet and inches" : "Metric", () => { this.metric = !this.metric; this.draw(); }, "act");
    const back = this.key("⌫", "Take the last one back", () => this.back(), "act"), letters = this.key("abc", "The phone's keyboard", () => this.letters(), "act");
    const next = this.next(), on = this.key(next ? "×" : "Done", next ? "By: the next length" : "Done", () => this.goOn(next), "on");
    const row = make("div", { class: "parts" });
    row.append(...(this.metric ? [] : [...parts, ...(this.fine ? [] : [finer])]));
    const keys = make("div", { class: "keys" });
    keys.append(...["7", "8", "9"].map(figure), unit(first), back, ...["4", "5", "6"].map(figure), unit(second), letters,
      ...["1", "2", "3"].map(figure), third ? unit(third) : figure("/"), other, figure("0"), figure("."), this.key("␣", "Blank", () => this.type(" ")), on);
    this.panel.replaceChildren(row, keys);
  }

  key(shown, told, act, kind = "") {
    const made = make("button", { type: "button", class: kind, "aria-label": told }, shown);
    made.addEventListener("click", act);
    return made;
  }

  type(text) {
    const { field } = this;
    field.setRangeText(text, field.selectionStart, field.selectionEnd, "end");
    field.dispatchEvent(new InputEvent("input", { bubbles: true, inputType: "insertText", data: text }));
  }

  before() { return this.field.value.slice(0, this.field.selectionStart); }
  unit(sign) { this.type(/['"]/.test(sign) ? (sign === "'" ? "' " : '"') : ` ${sign}`); }

  // A fraction stands apart from the inches before it; sixteenths go back to eighths by themselves.
  fraction(part) {
    this.type(/[\d"']$/.test(this.before()) ? ` ${part}` : part);
    if (this.fine) { this.fine = false; this.draw(); }
  }

  back() {
    const { field } = this, { selectionStart: from, selectionEnd: to } = field, gone = /( \d+\/\d+|\d+\/\d+|' | [a-z]+)$/.exec(this.before())?.[0].length || 1;
    if (from !== to) return this.type("");
    field.setSelectionRange(Math.max(0, from - gone), from);
    return this.type("");
  }

  // For a length in words, or whatever the keys lack: until the field is left, the phone's own keyboard.
  letters() {
    const { field } = this;
    this.close();
    field.removeAttribute("inputmode");
    field.blur();
    field.focus();
    this.own = field;
    field.addEventListener("blur", () => { this.own = null; }, { once: true });
  }

  next() {
    const fields = [...document.querySelectorAll("input.measure")].filter((one) => one.checkVisibility()), { field } = this;
    const after = fields[fields.indexOf(field) + 1];
    return after && after.closest(".fields, .side") === field.closest(".fields, .side") ? after : null;
  }

  goOn(next) {
    if (!next) { this.close(); return this.field.blur(); }
    next.setAttribute("inputmode", "none");
    this.field = next;
    next.focus();
    next.select();
    return this.open(next);
  }
}
