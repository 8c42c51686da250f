// Bundles: how thick every section gets, its covering, and a cut through it.
import { Grid } from "./grid.js";
import { give, values } from "./entry.js";
import { el, figure, fill } from "./make.js";
import { view } from "./view_of.js";

export function mount(place, desk) {
  return new BundlesScreen(place, desk);
}

class BundlesScreen {
  constructor(place, desk) {
    this.desk = desk;
    this.section = "";
    this.hint = el("p.hint", {}, "No section has a wire yet. Enter devices with their circuits, and the rope.");
    const left = el("div.stack");
    this.right = el("section.sheet.keep", { "aria-label": "Cut through the section" });
    place.append(el("div.stack", {}, el("h2", {}, "Bundles"), this.hint, el("div.two.broad", {}, left, this.right)));
    const shown = (key, title, read, number = true) => ({ key, title, kind: number ? "number" : "text", read });
    this.grid = new Grid(left, desk, {
      title: "Bundles", words: "bundle", id: (row) => row.section, known: ["name"], lit: (row) => ({ kind: "section", key: row.section }), chosen: (row) => row && this.choose(row.section),
      columns: [
        shown("name", "section", (row) => (desk.slices.tree.length > 1 ? row.section : row.name), false), shown("wires", "wires", (row) => row.wires), shown("as_laid", "as laid, mm", (row) => figure(row.as_laid_mm, 1)),
        shown("span", "from – to, mm", (row) => `${figure(row.low_mm, 1)}–${figure(row.high_mm, 1)}`), shown("min", "packed, mm", (row) => figure(row.packed_min_mm, 1)),
        { key: "measured", title: "by calipers, mm", kind: "number", read: (row) => (row.measured ? figure(row.as_laid_mm, 1) : ""), write: (row, value) => give(desk, ["passes", this.passesName(row), "measured_od_mm"], value) },
        shown("covering", "covering", (row) => [row.covering, row.type, row.size].filter(Boolean).join(" "), false), shown("cut", "cut, mm", (row) => figure(row.cut_mm, 0)), shown("fits", "fits", (row) => (row.fits === null ? "" : row.fits ? "✓" : "✗ no"), false),
      ],
    });
    this.update(new Set(["bundles"]));
  }

  passesName(row) {
    const held = values(this.desk).passes || {};
    const doubled = this.desk.slices.bundles.some((one) => one.name === row.name && one.section !== row.section);
    return row.section in held || doubled ? row.section : row.name;
  }

  update(names) {
    if (names.has("bundles")) {
      const { bundles } = this.desk.slices;
      this.hint.hidden = bundles.length > 0;
      this.grid.update(bundles);
      if (!bundles.some((one) => one.section === this.section)) this.choose(bundles[0]?.section || "");
    }
    this.cut?.update(names);
  }

  choose(section) {
    if (section === this.section && section) return;
    this.section = section;
    this.cut?.destroy();
    this.cut = null;
    fill(this.right);
    this.right.hidden = !section;
    if (section) this.cut = view(this.right, this.desk, "cut", section);
  }

  go(key) {
    const one = this.desk.slices.bundles.find((x) => x.section === key || x.name === key);
    if (one) this.grid.goTo(one.section);
  }

  destroy() {
    this.grid.destroy();
    this.cut?.destroy();
  }
}
