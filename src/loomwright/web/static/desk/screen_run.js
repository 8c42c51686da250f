// Run: where each section goes and what it passes, by tape and eye; the throttle is asked first.
import { Grid } from "./grid.js";
import { give, tickKey, values } from "./entry.js";
import { library } from "./library.js";
import { RunPhoto } from "./run_photo.js";
import { choice, el, field, fill, figure, many, remove, set, valueAt } from "./make.js";

const COVERINGS = ["", "sleeve", "braid", "convoluted tube", "tape", "none"];

export function mount(place, desk, key) {
  return new RunScreen(place, desk, key);
}

class RunScreen {
  constructor(place, desk, key) {
    this.desk = desk;
    this.known = {};
    library().then((found) => { this.known = found; });
    this.throttle = el("div.row");
    this.table = el("div.scroll.keep", { role: "region", "aria-label": "Sections" });
    this.right = el("section.stack", { "aria-label": "What the section passes" });
    this.hint = el("p.hint", {}, "There is no section yet. They come from the rope: measure it first.");
    this.onPhoto = el("div.stack");
    place.append(el("div.stack", {}, el("h2", {}, "Run"), el("section.sheet.stack", {}, el("h3", {}, "Throttle"), el("p.small", {}, "A loom that catches a linkage can kill. Look through the whole travel, engine rocked, a broken clip assumed."), this.throttle),
      this.hint, el("div.two.broad", {}, this.right, this.table), this.onPhoto));
    this.grids = [];
    this.section = this.sections().some((one) => one.key === key) ? key : this.sections()[0]?.key || "";
    this.photo = new RunPhoto(this.onPhoto, desk, (name) => this.choose(name));
    this.update(new Set(["tree", "file"]));
  }

  sections() {
    return this.desk.slices.tree.flatMap((tree) => tree.sections);
  }

  update(names) {
    if (!["tree", "file", "passes", "findings", "bundles"].some((name) => names.has(name))) return;
    if (!this.sections().some((one) => one.key === this.section)) this.section = this.sections()[0]?.key || "";
    this.hint.hidden = this.sections().length > 0;
    this.showThrottle();
    this.photo.update();
    this.showList();
    this.showSection();
  }

  go(key) {
    const one = this.sections().find((x) => x.key === key || x.name === key);
    if (one) this.choose(one.key);
  }

  choose(key) {
    this.section = key;
    this.showList();
    this.showSection();
    this.photo.pick(key);
    this.desk.lit.set({ kind: "section", key });
  }

  showThrottle() {
    const held = values(this.desk).throttle || {};
    const linkage = choice(held.linkage || "", ["", "cable", "rod", "electronic", "none"], { onchange: (event) => this.desk.edit(give(this.desk, ["throttle", "linkage"], event.target.value), "throttle") });
    const clear = el("input", { value: figure(held.clear_mm), size: 6, inputmode: "decimal", onchange: (event) => this.number(["throttle", "clear_mm"], event.target.value) });
    fill(this.throttle, field("linkage", linkage), field("loom stays clear by, mm", clear));
  }

  number(path, typed) {
    const value = typed.trim() === "" ? "" : Number(typed.replace(",", "."));
    if (Number.isNaN(value)) this.desk.say(`"${typed}" is no number.`);
    else this.desk.edit(give(this.desk, path, value), path.at(-1));
  }

  showList() {
    const bad = new Map();
    for (const one of this.desk.slices.findings) {
      if (one.accepted || one.severity === "note" || one.lit?.kind !== "section") continue;
      bad.set(one.lit.key, (bad.get(one.lit.key) || 0) + 1);
    }
    const rows = this.sections().map((one) => {
      const said = this.passes(one);
      const told = [said.via, said.near?.length ? many(said.near.length, "hazard") : "", said.ties?.length ? many(said.ties.length, "tie") : ""].filter(Boolean).join(" · ");
      const count = (bad.get(one.name) || 0) + (bad.get(one.key) || 0);
      return el("tr", { class: one.key === this.section ? "lit" : "" }, el("td", {}, el("button.quiet", { type: "button", "aria-pressed": String(one.key === this.section), onclick: () => this.choose(one.key) }, one.name)),
        el("td.number", {}, `${Math.round(one.mm)} mm`), el("td", {}, told || "nothing noted"), el("td", {}, count ? `◆${count}` : ""));
    });
    fill(this.table, !rows.length ? null : el("table", {}, el("thead", {}, el("tr", {}, ["section", "length", "noted", ""].map((x) => el("th", {}, x)))), el("tbody", {}, rows)));
  }

  /** The name a section's table has in the job file: its own or "loom/section". */
  nameOf(one) {
    const held = values(this.desk).passes || {};
    return one.key in held ? one.key : one.name in held ? one.name : this.sections().some((x) => x.name === one.name && x.key !== one.key) ? one.key : one.name;
  }

  passes(one) {
    return values(this.desk).passes?.[this.nameOf(one)] || {};
  }

  showSection() {
    const one = this.sections().find((x) => x.key === this.section);
    if (!one) {
      fill(this.right);
      return;
    }
    const path = ["passes", this.nameOf(one)];
    if (this.shown === one.key) {
      for (const x of this.grids) x.grid.update(x.rows());
      this.fields(one, path);
      return;
    }
    this.shown = one.key;
    for (const x of this.grids) x.grid.destroy();
    this.form = el("div.row");
    fill(this.right, el("h3", {}, `${one.inner} – ${one.outer} `, el("small", {}, `${one.key.split("/")[0]} loom, ${Math.round(one.mm)} mm, ${one.wires.length - one.screens} wires${one.screens ? ` and ${one.screens} screens` : ""}`)), this.form);
    this.fields(one, path);
    this.grids = [this.near(path), this.bends(path), this.ties(path)];
  }

  fields(one, path) {
    const held = this.passes(one);
    const { desk } = this;
    if (this.form.contains(document.activeElement) && document.activeElement.tagName === "INPUT" && document.activeElement.value !== document.activeElement.defaultValue) return;
    const at = this.form.contains(document.activeElement) ? document.activeElement.dataset.key : "";
    const text = (key, words, size = 12) => field(words, el("input", { value: held[key] ?? "", size, data: { key }, onchange: (event) => desk.edit(give(desk, [...path, key], event.target.value.trim()), key) }));
    const number = (key, words) => field(words, el("input", { value: figure(held[key]), size: 6, inputmode: "decimal", data: { key }, onchange: (event) => this.number([...path, key], event.target.value) }));
    const pick = (key, words, options) => field(words, choice(held[key] ?? "", options, { data: { key }, onchange: (event) => desk.edit(give(desk, [...path, key], event.target.value), key) }));
    fill(this.form, text("via", "goes via", 26), pick("area", "area", ["", ...desk.slices.job.areas.map((x) => x.name)]), number("air_c", "air, °C"), pick("covering", "covering", COVERINGS), pick("lay", "lay", ["", "straight", "concentric"]),
      number("measured_od_mm", "bundle by calipers, mm"), number("loop_mm", "free loop, mm"));
    if (at) this.form.querySelector(`[data-key="${at}"]`)?.focus();
  }

  /** A grid over a list of tables below a section. */
  list(path, key, title, words, needed, columns) {
    const { desk } = this;
    const place = el("section.stack", { "aria-label": title }, el("h3", {}, title), el("p.small", {}, words));
    this.right.append(place);
    const at = [...path, key];
    const rows = () => (valueAt(values(desk), at) || []).map((one, nth) => ({ ...one, nth }));
    const grid = new Grid(place, desk, {
      title, words: key, id: (row) => String(row.nth), remove: (row) => [remove([...at, row.nth])],
      columns: columns.map(([name, heading, more = {}]) => ({ key: name, title: heading, ...more, read: (row) => row[name],
        write: (row, value) => (more.kind === "flag" ? tickKey(desk, [...at, row.nth, name], value) : give(desk, [...at, row.nth, name], value)) })),
      add: (draft, held, nth) => {
        if (needed.some((one) => draft[one] === undefined || draft[one] === "")) return null;
        const table = Object.fromEntries(Object.entries(draft).filter(([, value]) => value !== "" && value !== false));
        return held.length + nth ? [set([...at, held.length + nth], table)] : [set(at, [table])];
      },
    });
    grid.update(rows());
    return { grid, rows };
  }

  near(path) {
    return this.list(path, "near", "What it passes", "Least clear distance by tape, engine rocked.", ["what", "mm"], [
      ["what", "what", { choices: () => this.known.hazards }], ["mm", "clear, mm", { kind: "number" }], ["at_mm", "at, mm", { kind: "number" }], ["over_mm", "over, mm", { kind: "number" }],
      ["temperature_c", "surface, °C", { kind: "number" }], ["shielded_by", "shielded by"], ["crosses", "crosses it", { kind: "flag" }], ["above", "loom is above", { kind: "flag" }], ["words", "in words"]]);
  }

  bends(path) {
    return this.list(path, "bends", "Bends", "Radius of the centre line.", ["at_mm", "radius_mm", "angle_deg"], [
      ["at_mm", "at, mm", { kind: "number" }], ["radius_mm", "radius, mm", { kind: "number" }], ["angle_deg", "angle, °", { kind: "number" }], ["support_mm", "to the next support, mm", { kind: "number" }]]);
  }

  ties(path) {
    return this.list(path, "ties", "Ties and clips", "From the section's inner end.", ["at_mm"], [["at_mm", "at, mm", { kind: "number" }], ["to", "fixed to"], ["what", "what", { choices: ["tie", "clip", "clamp"] }]]);
  }

  destroy() {
    this.photo.destroy();
    for (const one of this.grids) one.grid.destroy();
  }
}
