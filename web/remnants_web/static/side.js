// One side of the outline, chosen on the pad: its length to type, its finish to press, and a corner more where corners are free.
import { write } from "./measure.js";

const FINISHES = { seam: "joins carpet", wall: "strip and tuck", transition: "other floor", free: "nothing added" };

export class Side {
  constructor(pad) {
    this.pad = pad;
    this.at = null;
    this.panel = make("div", { class: "side", role: "group", "aria-label": "The side chosen", hidden: "" });
    this.name = make("label", { for: "side-length" });
    this.typed = make("input", { id: "side-length", class: "measure", autocomplete: "off", autocapitalize: "off", spellcheck: "false" });
    this.finishes = make("div", { class: "finishes" });
    for (const [finish, told] of Object.entries(FINISHES)) {
      const button = make("button", { type: "button", "data-finish": finish }, finish);
      button.append(make("small", {}, told));
      button.addEventListener("click", () => this.pad.setFinish(this.at, finish));
      this.finishes.append(button);
    }
    this.towards = make("button", { type: "button", class: "towards" });
    this.towards.addEventListener("click", () => this.pad.layTowards(this.at));
    this.more = make("button", { type: "button" }, "Add a corner here");
    this.less = make("button", { type: "button" }, "Take its first corner away");
    const done = make("button", { type: "button" }, "Done");
    const bar = make("div", { class: "row" });
    bar.append(this.towards, this.more, this.less, done);
    this.panel.append(this.name, this.typed, this.finishes, bar);
    this.typed.addEventListener("input", (event) => { event.stopPropagation(); this.take(); });
    this.typed.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); this.close(); } });
    this.panel.addEventListener("keydown", (event) => { if (event.key === "Escape") this.close(); });
    this.more.addEventListener("click", () => { this.pad.outline.addCorner(this.at); this.pad.show(); });
    this.less.addEventListener("click", () => { this.pad.outline.dropCorner(this.at); this.pad.show(); });
    done.addEventListener("click", () => this.close());
  }

  open(at, focus) {
    this.at = at;
    this.panel.hidden = false;
    this.typed.value = this.pad.outline.typed ? write(this.pad.outline.length(at), this.pad.unit) : "";
    this.pad.show();
    if (focus) { this.typed.focus(); this.typed.select(); }
  }

  close() {
    const at = this.at;
    this.at = null;
    this.panel.hidden = true;
    this.pad.show();
    this.pad.drawing.querySelector(`[data-at=edge${at}]`)?.focus();
  }

  take() {
    const mm = this.pad.length(this.typed.value), good = Number.isFinite(mm) && mm > 0;
    if (good || !this.typed.value.trim()) this.typed.removeAttribute("aria-invalid");
    else this.typed.setAttribute("aria-invalid", "true");
    if (good) { this.pad.outline.setLength(this.at, mm); this.pad.show(); }
  }

  show() {
    if (this.at === null) return;
    if (this.at >= this.pad.outline.sides) { this.at = 0; }
    const own = this.pad.outline.kind === "corners";
    this.name.textContent = this.pad.outline.round ? "Across the circle" : `Length of side ${this.at + 1}`;
    if (document.activeElement !== this.typed && this.pad.outline.typed) this.typed.value = write(this.pad.outline.length(this.at), this.pad.unit);
    this.finishes.hidden = !this.pad.field("edge_0");
    for (const button of this.finishes.children) button.setAttribute("aria-pressed", String(button.dataset.finish === this.pad.finish(this.at)));
    const ends = { wall: "this wall", transition: "this doorway" }[this.pad.field("edge_0") ? this.pad.finish(this.at) : ""] || "this side";
    this.towards.textContent = `The pile lays towards ${ends}`;
    this.towards.hidden = this.pad.outline.round || !this.pad.field("pile");
    this.more.hidden = !own;
    this.less.hidden = !own || this.pad.outline.ring.length < 4;
  }
}

function make(name, given, text = "") { const made = document.createElement(name); for (const [key, value] of Object.entries(given)) made.setAttribute(key, value); made.textContent = text; return made; }
