// A cut through a section: its wires to scale, as the tightest lay found; press one and it is lit everywhere.
import { el, figure, fill } from "../desk/make.js";
import { drawingOf, outlineOf, withLook } from "./draw.js";

/**
 * @param {Element} place
 * @param {import("../desk/store.js").Store} desk
 * @param {string} section its key, "engine/B1-B2"
 */
export function mount(place, desk, section) {
  withLook();
  return new Cut(place, desk, section);
}

class Cut {
  constructor(place, desk, section) {
    this.desk = desk;
    this.rows = [];
    this.box = el("div.cut.stack");
    place.append(this.box);
    this.unlit = desk.lit.subscribe(() => this.light());
    this.go(section);
  }

  destroy() {
    this.gone = true;
    this.unlit();
    this.box.remove();
  }

  /** Show another section. */
  go(section) {
    this.section = section || this.section;
    return this.fetch();
  }

  update(changed) {
    const names = new Set(changed);
    if (["wires", "bundles", "tree"].some((name) => names.has(name))) this.fetch();
  }

  async fetch() {
    const section = this.section;
    const [loom, ...name] = section.split("/");
    try {
      const found = await this.desk.fetch(`cut/${encodeURIComponent(loom)}/${encodeURIComponent(name.join("/"))}`);
      if (!this.gone && section === this.section) this.draw(found);
    } catch (fault) {
      if (!this.gone) fill(this.box, el("p", {}, fault.message));
    }
  }

  draw(cut) {
    this.rows = [];
    const parts = [el("h3", {}, `Cut through ${cut.name}`)];
    if (cut.drawing) parts.push(el("figure", {}, this.drawn(cut)), el("p.small", {}, sizes(cut)));
    else parts.push(el("p.hint", {}, cut.wires.length ? "Its wires don't add up to a bundle yet: a size is missing." : "No wire runs through it."));
    if (cut.wires.length) parts.push(this.table(cut));
    fill(this.box, parts);
    this.light();
  }

  drawn(cut) {
    const drawn = drawingOf(cut.drawing, `Cut through ${cut.name}: ${cut.wires.length} wires`);
    for (const disc of cut.discs) {
      const label = disc.cable ? `cable ${disc.cable}: ${disc.wires.join(", ")}` : disc.wires[0];
      const press = () => this.desk.lit.toggle({ kind: "wire", key: disc.wires[0] });
      const cell = outlineOf(disc.outline, { class: "cell", role: "button", tabindex: "0", "aria-label": label, "data-wire": disc.wires[0], onclick: press,
        onkeydown: (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); press(); } } });
      this.rows.push([disc.wires, cell]);
      drawn.append(cell);
    }
    return drawn;
  }

  table(cut) {
    const body = cut.wires.map((one) => {
      const row = el("tr", {}, el("td", {}, el("button.wire-chip", { type: "button", onclick: () => this.desk.lit.toggle({ kind: "wire", key: one.label }) }, one.label)),
        el("td", {}, one.circuit), el("td", {}, one.colour), el("td.number", {}, one.size), el("td.number", {}, figure(one.od_mm, 2)), el("td", {}, `${one.a} – ${one.b}`));
      this.rows.push([[one.label], row]);
      return row;
    });
    const heads = ["wire", "circuit", "colour", "size", "diameter, mm", "from – to"];
    return el("div.scroll", {}, el("table", {}, el("thead", {}, el("tr", {}, heads.map((x) => el("th", {}, x)))), el("tbody", {}, body)));
  }

  light() {
    for (const [wires, one] of this.rows) {
      const lit = wires.some((label) => this.desk.lit.has("wire", label));
      one.classList.toggle("lit", lit && this.desk.lit.thing?.kind !== "section");
    }
  }
}

function sizes(cut) {
  const parts = [`${figure(cut.as_laid_mm, 1)} mm ${cut.measured ? "measured" : "as laid by hand"}`, `${figure(cut.packed_min_mm, 1)} mm at the tightest`, `never below ${figure(cut.lower_bound_mm, 1)} mm`];
  if (cut.covering && cut.finished_mm) parts.push(`${figure(cut.finished_mm, 1)} mm in ${cut.covering}`);
  return parts.join(" · ");
}
