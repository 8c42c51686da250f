// Circuits: what is joined to what, fuses, cables, spares, and every wire that comes of it.
import { Grid } from "./grid.js";
import { addNamed, give, keyColumn, nameColumn, namedRows, renameCircuit, values } from "./entry.js";
import { library } from "./library.js";
import { wireChips } from "./screen_devices.js";
import { el, figure, remove, set } from "./make.js";

export function mount(place, desk) {
  return new CircuitsScreen(place, desk);
}

class CircuitsScreen {
  constructor(place, desk) {
    this.desk = desk;
    this.known = {};
    library().then((found) => { this.known = found; });
    this.hint = el("p.hint", {}, "Circuits come from the cavities: name one there and it is here. Add only what the cavities don't say.");
    this.box = el("div.stack", {}, el("h2", {}, "Circuits"), this.hint);
    place.append(this.box);
    this.grids = [this.circuits(), this.fuses(), this.cables(), this.spares(), this.wires()];
    this.update(new Set(["circuits", "file", "wires"]));
  }

  section(title, words = "") {
    const place = el("section.stack", { "aria-label": title }, title === "All circuits" ? null : el("h3", {}, title), words ? el("p.small", {}, words) : null);
    this.box.append(place);
    return place;
  }

  circuits() {
    const { desk } = this;
    const key = (name, title, more = {}) => ({ key: name, title, ...more, read: more.read || ((row) => row[name]), write: (row, value) => give(desk, ["circuit", row.name, name], value) });
    const grid = new Grid(this.section("All circuits"), desk, {
      title: "Circuits", words: "circuit", id: (row) => row.name, lit: (row) => ({ kind: "circuit", key: row.name }),
      remove: (row) => (row.declared ? [remove(["circuit", row.name])] : []),
      columns: [
        { key: "name", title: "circuit", read: (row) => row.name, write: (row, value) => renameCircuit(desk, row.name, value) },
        key("kind", "kind", { choices: () => this.known.circuit_kinds }),
        key("join", "join", { choices: () => this.known.joins, read: (row) => row.join }),
        { key: "joined", title: "joined by", kind: "shown", read: (row) => [...new Set(row.joins.map((one) => one.join))].join(", ") },
        key("amps", "A", { kind: "number" }),
        key("size", "size"),
        key("colour", "colour"),
        key("reason", "reason"),
        { key: "fuses", title: "fuse", kind: "shown", read: (row) => row.fuses.join(", ") },
        { key: "pins", title: "cavities", kind: "shown", long: true, read: (row) => row.pins.join(", ") },
        { key: "wires", title: "wires", kind: "shown", long: true, read: (row) => row.wires.join(" "), show: (row) => wireChips(desk, row.wires) },
      ],
    });
    return { grid, rows: () => desk.slices.circuits };
  }

  named(title, head, needed, columns, words = "") {
    const { desk } = this;
    const grid = new Grid(this.section(title, words), desk, { title, words: head, id: (row) => row.name, add: addNamed(head, needed), remove: (row) => [remove([head, row.name])],
      columns: [nameColumn(desk, head, "name"), ...columns.map(([key, heading, more]) => keyColumn(desk, head, key, heading, more))] });
    return { grid, rows: () => namedRows(desk, head) };
  }

  names() {
    return this.desk.slices.circuits.map((one) => one.name);
  }

  ends() {
    return this.desk.slices.devices.flatMap((one) => one.connectors.map((x) => x.end));
  }

  fuses() {
    const names = () => this.names();
    return this.named("Fuses", "fuse", ["amps", "line", "load"], [
      ["kind", "kind", { choices: () => this.known.fuse_kinds }], ["amps", "A", { kind: "number" }], ["line", "circuit before it", { choices: names }],
      ["load", "circuit behind it", { choices: names }], ["device", "sits in", { choices: () => this.desk.slices.devices.map((one) => one.name) }], ["from_source_mm", "from the source, mm", { kind: "number" }],
    ], "A fuse stands between two circuits.");
  }

  cables() {
    const { desk } = this;
    const split = (typed) => typed.split(",").map((one) => one.trim()).filter(Boolean);
    const grid = new Grid(this.section("Cables", "Wires that stay together: pairs, trios, screened cables."), desk, {
      title: "Cables", words: "cable", id: (row) => row.name, remove: (row) => [remove(["cable", row.name])],
      add: (draft) => (draft.name && draft.kind && draft.circuits ? [set(["cable", draft.name], { kind: draft.kind, circuits: split(draft.circuits), ...(draft.screen ? { screen: draft.screen } : {}) })] : null),
      columns: [
        nameColumn(desk, "cable", "name"),
        keyColumn(desk, "cable", "kind", "kind", { choices: ["twisted pair", "twisted trio", "screened cable"] }),
        { key: "circuits", title: "circuits, with commas", read: (row) => (Array.isArray(row.circuits) ? row.circuits.join(", ") : ""), write: (row, value) => [set(["cable", row.name, "circuits"], split(value))] },
        keyColumn(desk, "cable", "screen", "screen circuit", { choices: () => this.names() }),
        keyColumn(desk, "cable", "stock", "stock cable"),
      ],
    });
    return { grid, rows: () => namedRows(desk, "cable") };
  }

  spares() {
    const ends = () => this.ends();
    return this.named("Spares", "spare", ["a", "b"], [["a", "from", { choices: ends }], ["b", "to", { choices: ends }], ["size", "size"]]);
  }

  wires() {
    const { desk } = this;
    const shown = (key, title, read, more = {}) => ({ key, title, kind: "shown", read, ...more });
    const grid = new Grid(this.section("Wires", "What comes of it. Numbers are given for good when a pack is written or a revision is issued."), desk, {
      title: "Wires", id: (row) => row.label, lit: (row) => ({ kind: "wire", key: row.label }),
      columns: [
        shown("label", "wire", (row) => row.label, { show: (row) => wireChips(desk, [row.label]) }), shown("circuit", "circuit", (row) => row.circuit), shown("a", "from", (row) => row.a.name), shown("b", "to", (row) => row.b.name),
        shown("colour", "colour", (row) => row.colour), shown("size", "size", (row) => row.size), shown("cut_mm", "cut, mm", (row) => figure(row.cut_mm, 0)), shown("governs", "size decided by", (row) => row.governs),
      ],
    });
    return { grid, rows: () => desk.slices.wires };
  }

  update(names) {
    if (["circuits", "file", "wires"].some((name) => names.has(name))) for (const one of this.grids) one.grid.update(one.rows());
    this.hint.hidden = Boolean(values(this.desk).circuit) || this.desk.slices.circuits.length > 5;
  }

  go(key) {
    for (const one of this.grids) if (one.grid.goTo(key)) return;
  }

  destroy() {
    for (const one of this.grids) one.grid.destroy();
  }
}
