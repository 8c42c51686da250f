// Alternatives to the tree, priced side by side with it; each shown first, then carried out as one step.
import { askChange } from "../desk/ask.js";
import { el, figure, fill } from "../desk/make.js";
import { send } from "../desk/store.js";

const COLUMNS = [
  ["money", "money", (p) => p.money, 0], ["wire_mm", "wire, m", (p) => p.wire_mm / 1000, 1], ["sheath_mm", "sheath, m", (p) => p.sheath_mm / 1000, 1],
  ["branch_points", "branch points", (p) => p.branch_points, 0], ["hours", "hours", (p) => p.hours, 1], ["kg", "mass, kg", (p) => p.kg, 2],
];
const MORE = 20;
const FEW = 8;
const LOOK_MS = 300;
const OLD = "Priced for the tree as it was before; price them again.";

/**
 * A place that prices alternatives when asked to.
 * @param {import("../desk/store.js").Store} desk
 */
export class AlternativesTable {
  constructor(desk) {
    this.desk = desk;
    this.said = el("span.small", { role: "status" });
    this.button = el("button", { type: "button", onclick: () => this.ask(FEW) }, "Price alternatives");
    this.halt = el("button", { type: "button", hidden: true, onclick: () => this.stop() }, "Stop pricing");
    this.far = el("progress", { hidden: true, "aria-label": "Alternatives worked out" });
    this.rows = el("div.scroll");
    this.node = el("section.stack", { "aria-label": "Alternatives with their prices" }, el("div.row", {}, el("h3", {}, "Alternatives"), this.button, this.far, this.halt, this.said), this.rows);
  }

  /** The job changed: what stands here was priced before that. */
  old() {
    if (!this.found) return;
    this.found = null;
    this.said.textContent = OLD;
    this.rows.classList.add("old");
    for (const one of this.rows.querySelectorAll("button")) one.disabled = true;
  }

  /** Have them priced beside the program's other work, and show how far it is. */
  async ask(exact) {
    this.running(true);
    this.said.textContent = "Working out the most promising ones. You can go on editing.";
    try {
      let told = await send(`${this.desk.base}/pricing`, { exact });
      this.number = told.number;
      while (told.stands === "running" && !this.gone) {
        this.showFar(told);
        await new Promise((on) => { setTimeout(on, LOOK_MS); });
        told = await this.desk.fetch(`pricing/${told.number}`);
      }
      this.take(told);
    } catch (fault) {
      this.said.textContent = fault.status ? fault.message : "The program does not answer; price them again once it does.";
    }
    this.running(false);
  }

  take(told) {
    if (told.stands !== "done") {
      this.said.textContent = told.words;
      return;
    }
    this.found = told.found;
    this.show();
    if (told.digest !== this.desk.digest) this.old();
  }

  running(on) {
    this.button.disabled = on;
    this.far.hidden = this.halt.hidden = !on;
    this.far.removeAttribute("value");
  }

  showFar({ worked, of, words }) {
    if (of) Object.assign(this.far, { max: of, value: worked });
    this.said.textContent = `${of ? `${worked} of ${of} worked out.` : "Working out the most promising ones."} ${words || "You can go on editing."}`;
  }

  stop() {
    this.halt.disabled = true;
    return send(`${this.desk.base}/pricing/${this.number}/stop`, {}).catch(() => {}).finally(() => { this.halt.disabled = false; });
  }

  destroy() {
    this.gone = true;
    if (!this.halt.hidden) this.stop();
  }

  show() {
    const { present, exact, rough } = this.found;
    this.rows.classList.remove("old");
    const heads = ["alternative", ...COLUMNS.map(([, words]) => words), "measure again", ""];
    const head = el("thead", {}, el("tr", {}, heads.map((x) => el("th", {}, x))));
    const now = el("tr", {}, el("th", { scope: "row" }, "the tree as it is"), COLUMNS.map(([, , read, digits]) => el("td.number", {}, figure(read(present), digits))), el("td"), el("td"));
    const priced = exact.map((one) => this.row(one, present));
    const guessed = rough.map((one) => el("tr", {}, el("td", {}, one.words), el("td.number", {}, `about ${signed(one.about, 0)}`), el("td.small", { colspan: COLUMNS.length }, "a quick figure; not worked out yet"), el("td", {}, this.look(one))));
    fill(this.rows, el("table.alternatives", {}, head, el("tbody", {}, now, ...priced, ...guessed)));
    const unpriced = this.found.unpriced.length ? ` Without a price: ${this.found.unpriced.slice(0, 6).join(", ")}${this.found.unpriced.length > 6 ? " and more" : ""}.` : "";
    this.said.textContent = `${exact.length} worked out exactly, money in the shop's own; a sign before a figure is the difference to the tree as it is.${unpriced}`;
    if (rough.length || this.found.more_rough) this.said.append(" ", el("button", { type: "button", onclick: () => this.ask(MORE) }, "Work more of them out"));
  }

  row(one, present) {
    const cells = COLUMNS.map(([, , read, digits]) => el("td.number", {}, signed(read(one.price) - read(present), digits)));
    const faults = one.faults.length ? el("div.caution", {}, el("span.sign", {}, "◆ "), el("span.small", {}, one.faults.slice(0, 2).join(" "))) : null;
    return el("tr", {}, el("td", {}, one.words, faults), cells, el("td.small", {}, one.again.join(", ")), el("td", {}, this.look(one)));
  }

  look(one) {
    return el("button", { type: "button", onclick: () => askChange(this.desk, one.edits, one.words) }, "Show first");
  }
}

function signed(value, digits) {
  const text = figure(Math.abs(value), digits);
  return Number(text) === 0 ? "0" : `${value < 0 ? "−" : "+"}${text}`;
}
