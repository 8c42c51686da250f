// Rope: areas, looms, tapes with their readings, sections measured alone, exits.
import { Grid } from "./grid.js";
import { addNamed, give, keyColumn, nameColumn, namedRows, values } from "./entry.js";
import { library } from "./library.js";
import { el, field, fill, figure, remove, set, valueAt } from "./make.js";

const DIRECTIONS = ["front", "back", "left", "right", "up", "down", "front up", "front down", "left up", "left down", "right up", "right down", "back up", "back down"];

export function mount(place, desk) {
  return new RopeScreen(place, desk);
}

class RopeScreen {
  constructor(place, desk) {
    this.desk = desk;
    this.known = {};
    library().then((found) => { this.known = found; });
    this.hint = el("p.hint", {}, "Nothing is measured yet. Name the areas and the loom with its datum first, then one tape outwards from the datum: point and running distance, row by row.");
    this.box = el("div.stack", {}, el("h2", {}, "Rope"), this.hint);
    place.append(this.box);
    this.grids = [this.areas(), this.looms()];
    this.tapes = el("div.stack");
    this.tapeGrids = new Map();
    this.box.append(el("h3", {}, "Tapes"), el("p.small", {}, "One tape: running distances from where its zero lies. An end is measured to its wire exit unless you say otherwise."), this.tapes, this.newTape());
    this.grids.push(this.alone(), this.exits(), this.built());
    this.update(new Set(["file", "rope", "exits", "job"]));
  }

  section(title, words = "") {
    const place = el("section.stack", { "aria-label": title }, el("h3", {}, title), words ? el("p.small", {}, words) : null);
    this.box.append(place);
    return place;
  }

  named(title, head, needed, columns, words = "", name = "name") {
    const { desk } = this;
    const grid = new Grid(this.section(title, words), desk, { title, words: head, id: (row) => row.name, add: addNamed(head, needed), remove: (row) => [remove([head, row.name])],
      columns: [nameColumn(desk, head, name), ...columns.map(([key, heading, more]) => keyColumn(desk, head, key, heading, more))] });
    return { grid, rows: () => namedRows(desk, head) };
  }

  areas() {
    return this.named("Areas", "area", ["air_c"], [["air_c", "air, °C", { kind: "number" }], ["moves_mm", "moves, mm", { kind: "number" }], ["side", "side", { choices: ["bay", "cabin"] }], ["splash", "splash", { kind: "flag" }]],
      "Parts of the car with their own air and movement.");
  }

  looms() {
    return this.named("Looms", "loom", ["datum"], [["datum", "datum", { choices: ["bulkhead"] }], ["hole_mm", "hole, mm", { kind: "number" }], ["area", "area", { choices: () => this.desk.slices.job.areas.map((one) => one.name) }], ["words", "in words"]],
      "All lengths of a loom start at its datum, normally the bulkhead grommet.");
  }

  points() {
    const { tree, devices } = this.desk.slices;
    return [...new Set([...tree.flatMap((one) => [one.datum, ...one.branch_points]), ...devices.flatMap((one) => one.connectors.map((x) => x.end))])];
  }

  newTape() {
    const name = el("input", { size: 10, "aria-label": "Name of the tape", placeholder: "trunk", required: true });
    const from = el("input", { size: 10, "aria-label": "Where its zero lies", placeholder: "bulkhead", required: true });
    const add = async (event) => {
      event.preventDefault();
      if (await this.desk.edit([set(["rope", name.value.trim()], { from: from.value.trim(), reads: [], method: "tape" })], "new tape")) name.value = from.value = "";
    };
    return el("form.row", { onsubmit: add }, field("New tape", name), field("its zero lies at", from), el("button", { type: "submit" }, "Add the tape"));
  }

  alone() {
    const { desk } = this;
    return this.named("Sections measured alone", "section", ["mm"], [["mm", "mm", { kind: "number" }], ["give_mm", "give or take, mm", { kind: "number" }], ["measured_to", "measured to", { choices: () => this.known.measured_to }], ["loom", "loom", { choices: () => desk.slices.job.looms.map((one) => one.name) }]],
      "Inner and outer point with a hyphen, like B3-FB.", "section");
  }

  built() {
    return this.named("Built otherwise than the rope", "build", ["mm"], [["mm", "mm", { kind: "number" }], ["reason", "reason"], ["loom", "loom"]],
      "The rope stays as it was measured; what is built otherwise stands here, with the reason.", "section");
  }

  exits() {
    const { desk } = this;
    const grid = new Grid(this.section("Exits", "How a section leaves a point: in car axes, with a lean where it is not outward, or as the clock shows it."), desk, {
      title: "Exits", words: "exit", id: (row) => `${row.point}-${row.to}`, remove: (row) => [remove(["exit", row.point, row.to])],
      add: (draft) => (draft.point && draft.to && draft.way ? [set(["exit", draft.point, draft.to], draft.way)] : null), lit: (row) => ({ kind: "point", key: row.point }),
      columns: [
        { key: "point", title: "at", choices: () => this.points(), read: (row) => row.point },
        { key: "to", title: "towards", choices: () => this.points(), read: (row) => row.to },
        { key: "way", title: "direction", choices: DIRECTIONS, read: (row) => row.way, write: (row, value) => give(desk, ["exit", row.point, row.to], value) },
      ],
    });
    const rows = () => Object.entries(values(desk).exit || {}).flatMap(([point, held]) => (held && typeof held === "object" ? Object.entries(held).map(([to, way]) => ({ point, to, way })) : []));
    return { grid, rows };
  }

  update(names) {
    if (!["file", "rope", "exits", "job"].some((name) => names.has(name))) return;
    for (const one of this.grids) one.grid.update(one.rows());
    const ropes = namedRows(this.desk, "rope");
    this.hint.hidden = ropes.length > 0;
    const shown = ropes.map((one) => one.name).join("\n");
    if (shown !== this.shown) this.makeTapes(ropes);
    this.shown = shown;
    for (const one of this.tapeGrids.values()) one.update();
  }

  makeTapes(ropes) {
    for (const one of this.tapeGrids.values()) one.destroy();
    this.tapeGrids = new Map();
    fill(this.tapes);
    for (const one of ropes) this.tapeGrids.set(one.name, new Tape(this.tapes, this, one.name));
  }

  go(key) {
    for (const one of this.grids) if (one.grid.goTo(key)) return;
    for (const [name, tape] of this.tapeGrids) if (name === key) tape.focus();
  }

  destroy() {
    for (const one of this.grids) one.grid.destroy();
    for (const one of this.tapeGrids.values()) one.destroy();
  }
}

/** One tape: where its zero lies, its readings, its co-runs. */
class Tape {
  constructor(place, screen, name) {
    this.screen = screen;
    this.desk = screen.desk;
    this.name = name;
    this.head = el("div.row");
    this.box = el("section.sheet.stack", { "aria-label": `Tape ${name}` }, this.head);
    place.append(this.box);
    const points = () => screen.points();
    const measured = () => screen.known.measured_to;
    this.reads = this.list("reads", `Readings of ${name}`, ["point", "mm"], [["point", "point", { choices: points }], ["mm", "running distance, mm", { kind: "number" }], ["to", "measured to", { choices: measured }], ["give", "give or take, mm", { kind: "number" }]]);
    this.box.append(el("p.small", {}, "Co-runs: an end that runs beside the others up to a place, then goes on alone."));
    this.parts = this.list("parts", `Co-runs of ${name}`, ["point", "mm", "more"], [["point", "end", { choices: points }], ["mm", "leaves at, mm", { kind: "number" }], ["more", "goes on, mm", { kind: "number" }], ["to", "measured to", { choices: measured }], ["start", "starts at", { choices: points }]]);
  }

  /** A grid over a list of rows in the job file. */
  list(key, title, needed, columns) {
    const { desk } = this;
    const path = ["rope", this.name, key];
    const write = (row, column, value) => {
      const next = { ...row, [column]: value };
      return needed.some((one) => next[one] === "" || next[one] === undefined) ? [] : [set([...path, row.nth], item(key, next))];
    };
    return new Grid(this.box, desk, {
      title, words: `tape ${this.name}`, id: (row) => String(row.nth), remove: (row) => [remove([...path, row.nth])],
      lit: (row) => (/^B\d/.test(row.point) ? { kind: "point", key: row.point } : { kind: "end", key: row.point }),
      columns: columns.map(([name, heading, more = {}]) => ({ key: name, title: heading, ...more, read: (row) => row[name], write: (row, value) => write(row, name, value) })),
      add: (draft, rows, nth) => {
        if (needed.some((one) => draft[one] === undefined || draft[one] === "")) return null;
        return rows.length + nth || valueAt(values(desk), path) ? [set([...path, rows.length + nth], item(key, draft))] : [set(path, [item(key, draft)])];
      },
    });
  }

  update() {
    const held = values(this.desk).rope?.[this.name] || {};
    const key = (name, words, size = 10) => field(words, el("input", { value: figure0(held[name]), size, onchange: (event) => this.give(name, event.target.value.trim()) }));
    fill(this.head, el("h3", {}, `Tape ${this.name}`), key("from", "zero lies at"), key("loom", "loom", 8), key("method", "method", 8), key("give_mm", "give or take, mm", 6), key("common_mm", "common to all, mm", 6),
      el("button", { type: "button", onclick: () => this.desk.edit([remove(["rope", this.name])], `tape ${this.name} taken away`) }, "Take the tape away"));
    this.reads.update(rowsOf(held.reads, "reads"));
    this.parts.update(rowsOf(held.parts, "parts"));
  }

  give(key, typed) {
    const value = key.endsWith("_mm") && typed !== "" ? Number(typed.replace(",", ".")) : typed;
    if (Number.isNaN(value)) this.desk.say(`"${typed}" is no number.`);
    else this.desk.edit(give(this.desk, ["rope", this.name, key], value), `tape ${this.name}`);
  }

  focus() {
    this.box.scrollIntoView();
    this.reads.focus(0, 0);
  }

  destroy() {
    this.reads.destroy();
    this.parts.destroy();
  }
}

const figure0 = (value) => (typeof value === "number" ? figure(value, 3) : value || "");

/** Rows of a list in the job file: texts behind the numbers tell what it is measured to. */
function rowsOf(list, key) {
  if (!Array.isArray(list)) return [];
  return list.map((one, nth) => {
    const row = Array.isArray(one) ? one : [];
    const numbers = row.slice(1).filter((x) => typeof x === "number");
    const texts = row.slice(1).filter((x) => typeof x === "string");
    return key === "reads" ? { nth, point: row[0] ?? "", mm: numbers[0] ?? "", give: numbers[1] ?? "", to: texts[0] ?? "" }
      : { nth, point: row[0] ?? "", mm: numbers[0] ?? "", more: numbers[1] ?? "", give: numbers[2] ?? "", to: texts.find((x) => x.includes(" ") || x === "centre" || x === "device") ?? "", start: texts.find((x) => !x.includes(" ") && x !== "centre" && x !== "device") ?? "" };
  });
}

/** A row as the job file has it. */
function item(key, row) {
  if (key === "reads") return [row.point, row.mm, ...(row.give === "" || row.give === undefined ? [] : [row.give]), ...(row.to ? [row.to] : [])];
  const to = row.to || (row.start ? "wire exit" : "");
  return [row.point, row.mm, row.more, ...(row.give === "" || row.give === undefined ? [] : [row.give]), ...(to ? [to] : []), ...(row.start ? [row.start] : [])];
}
