// Alternatives to the tree, priced side by side with it; each shown first, then carried out as one step.
import { askChange } from "../desk/ask.js";
import { el, figure, fill } from "../desk/make.js";

const COLUMNS = [
  ["money", "money", (p) => p.money, 0], ["wire_mm", "wire, m", (p) => p.wire_mm / 1000, 1], ["sheath_mm", "sheath, m", (p) => p.sheath_mm / 1000, 1],
  ["branch_points", "branch points", (p) => p.branch_points, 0], ["hours", "hours", (p) => p.hours, 1], ["kg", "mass, kg", (p) => p.kg, 2],
];
const MORE = 20;

/**
 * A place that prices alternatives when asked to.
 * @param {import("../desk/store.js").Store} desk
 */
export class AlternativesTable {
  constructor(desk) {
    this.desk = desk;
    this.said = el("span.small", { role: "status" });
    this.button = el("button", { type: "button", onclick: () => this.ask(0) }, "Price alternatives");
    this.rows = el("div.scroll");
    this.node = el("section.stack", { "aria-label": "Alternatives with their prices" }, el("div.row", {}, el("h3", {}, "Alternatives"), this.button, this.said), this.rows);
  }

  /** The job changed: what stands here was priced before that. */
  old() {
    if (!this.found) return;
    this.found = null;
    this.said.textContent = "Priced for the tree as it was before; price them again.";
    this.rows.classList.add("old");
    for (const one of this.rows.querySelectorAll("button")) one.disabled = true;
  }

  async ask(exact) {
    this.button.disabled = true;
    this.said.textContent = "Working out the most promising ones; up to half a minute on a large loom.";
    try {
      this.found = await this.desk.fetch(`alternatives${exact ? `?exact=${exact}` : ""}`);
      this.show();
    } catch (fault) {
      this.said.textContent = fault.message;
    }
    this.button.disabled = false;
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
