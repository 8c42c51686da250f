// Devices and cavities: what the loom has to reach, and which circuit sits in which cavity.
import { Grid } from "./grid.js";
import { give, putCircuit, putPin, renameDevice, tickKey } from "./entry.js";
import { library } from "./library.js";
import { askTable } from "./table_in.js";
import { SIGN, el, fill, many, remove, set } from "./make.js";

export function mount(place, desk, key) {
  return new DevicesScreen(place, desk, key);
}

class DevicesScreen {
  constructor(place, desk) {
    this.desk = desk;
    this.device = "";
    this.pins = [];
    this.hint = el("p.hint", { hidden: true }, "Nothing is entered yet. Type a name in the first row, then what it is: the controller and the battery are a good start. Or paste rows from a spreadsheet: name, what it is, area.");
    const left = el("div.stack");
    this.right = el("section.stack.keep", { "aria-label": "Cavities" });
    place.append(el("div.stack", {}, el("div.row", {}, el("h2", {}, "Devices & cavities"),
      el("button", { type: "button", onclick: () => askTable(desk, this.device) }, "Take in a table …")), this.hint, el("div.two", {}, left, this.right)));
    this.grid = new Grid(left, desk, {
      title: "Devices", words: "device", id: (row) => row.name, columns: this.columns(),
      add: (draft) => addDevice(desk, draft),
      remove: (row) => [remove(row.path)],
      chosen: (row) => this.choose(row?.name || ""),
      lit: (row) => ({ kind: "device", key: row.name }),
    });
    left.append(el("p.small", {}, "Enter edits, Tab goes on, Delete empties a cell, Ctrl+Delete takes a row away. Alt+L lights the row."));
    this.update(new Set(["devices"]));
    library().then((found) => { this.known = found; });
  }

  columns() {
    const { desk } = this;
    const areas = () => desk.slices.job.areas.map((one) => one.name);
    const kinds = () => (this.known?.kinds || []).map((one) => one.name);
    return [
      { key: "name", title: "name", read: (row) => row.name, write: (row, value) => renameDevice(desk, row, value) },
      { key: "is", title: "what it is", choices: kinds, read: (row) => row.is, write: (row, value) => (row.tap ? [] : give(desk, [...row.path, "is"], value)) },
      { key: "area", title: "area", choices: areas, read: (row) => row.area, write: (row, value) => give(desk, [...row.path, "area"], value) },
      { key: "words", title: "in words", read: (row) => row.words, write: (row, value) => (row.tap ? [] : give(desk, [...row.path, "words"], value)) },
      { key: "state", title: "state", choices: () => this.known?.states || [], read: (row) => row.state, write: (row, value) => (row.tap ? [] : give(desk, [...row.path, "state"], value === "new" ? "" : value)) },
      { key: "settled", title: "settled", kind: "flag", read: (row) => row.settled, write: (row, value) => (row.tap ? [] : tickKey(desk, [...row.path, "settled"], value)) },
    ];
  }

  update(names) {
    if (!["devices", "job", "file", "findings"].some((name) => names.has(name))) return;
    const { devices } = this.desk.slices;
    this.hint.hidden = devices.length > 0;
    this.grid.update(devices);
    if (!devices.some((one) => one.name === this.device)) this.device = devices[0]?.name || "";
    this.showDevice(false);
  }

  go(key) {
    if (!key) return;
    const name = key.split(/[.:]/)[0];
    this.grid.goTo(name, !key.includes(":"));
    this.choose(name);
    for (const one of this.pins) one.grid.goTo(key);
  }

  choose(name) {
    if (!name || name === this.device) return;
    this.device = name;
    this.showDevice(true);
  }

  showDevice(fresh) {
    const device = this.desk.slices.devices.find((one) => one.name === this.device);
    const same = !fresh && this.pins.length && device && this.shown === shape(device);
    if (same) {
      for (const one of this.pins) one.update(device);
      return;
    }
    for (const one of this.pins) one.destroy();
    this.shown = device && shape(device);
    fill(this.right);
    this.pins = [];
    if (!device) return;
    this.right.append(el("div.row", {}, el("h3", {}, `${device.name} `, el("small", {}, device.words || device.is)),
      el("button", { type: "button", onclick: () => this.desk.lit.toggle({ kind: "device", key: device.name }) }, "☀ Light it")));
    for (const connector of device.connectors) this.pins.push(new Plug(this.right, this.desk, device, connector));
    if (!device.tap) this.right.append(newPlug(this.desk, device));
  }

  destroy() {
    this.grid.destroy();
    for (const one of this.pins) one.destroy();
  }
}

const shape = (device) => `${device.name}|${device.connectors.map((one) => one.end).join("|")}`;

function addDevice(desk, draft) {
  if (!draft.name || !draft.is) return null;
  const { name, is, words, area, state, settled } = draft;
  const table = { is, ...(words ? { words } : {}), ...(area ? { area } : {}), ...(state && state !== "new" ? { state } : {}), ...(settled ? { settled } : {}) };
  return [set(["device", name], table)];
}

function newPlug(desk, device) {
  const plain = device.connectors.length === 1 && !device.connectors[0].name;
  if (plain && device.connectors[0].pins.length) return el("p.small", {}, "One plug. A device with several plugs names each: begin another device for it, or edit its plugs before its cavities.");
  const input = el("input", { size: 6, "aria-label": "Name of another plug", placeholder: "A" });
  const add = () => input.value.trim() && desk.edit([set(["device", device.name, "connector", input.value.trim()], { empty_plugged: true })], `plug ${input.value}`);
  return el("form.row", { onsubmit: (event) => { event.preventDefault(); add(); } }, input, el("button", { type: "submit" }, "Add a plug"));
}

/** One plug of a device: its face and cavities. */
class Plug {
  constructor(place, desk, device, connector) {
    this.desk = desk;
    this.connector = connector;
    this.head = el("div.row");
    this.drawn = el("div");
    const table = el("div");
    place.append(el("div.sheet.stack", {}, this.head, table, this.drawn));
    this.grid = new Grid(table, desk, {
      title: `Cavities of ${connector.end}`, words: `${connector.end}`, id: (row) => row.id, columns: this.columns(),
      add: (draft) => (draft.cavity && draft.circuit ? [set([...this.connector.path, "cavity", String(draft.cavity)], pinValue(draft))] : null),
      blank: (row) => !row.used, remove: (row) => (row.used ? [remove(row.path)] : []),
      lit: (row) => ({ kind: "cavity", key: row.id }),
    });
    this.update(device);
    this.showFace(connector);
  }

  columns() {
    const { desk } = this;
    const circuits = () => desk.slices.circuits.map((one) => one.name);
    const more = (key) => (row, value) => (row.used ? putPin(desk, row.path, key, value) : []);
    return [
      { key: "cavity", title: "cavity", read: (row) => row.cavity },
      { key: "circuit", title: "circuit", choices: circuits, read: (row) => row.circuit, write: (row, value) => putCircuit(desk, row.path, value) },
      { key: "words", title: "does", read: (row) => row.words, write: more("words") },
      { key: "amps", title: "A", kind: "number", read: (row) => row.amps, write: more("amps") },
      { key: "duty", title: "duty", kind: "number", read: (row) => (row.duty === 1 ? "" : row.duty), write: more("duty") },
      { key: "kind", title: "kind", read: (row) => row.kind, write: more("kind") },
      { key: "wires", title: "wire", kind: "shown", read: (row) => (row.wires || []).join(" "), show: (row) => wireChips(desk, row.wires || []) },
    ];
  }

  update(device) {
    const connector = device.connectors.find((one) => one.end === this.connector.end);
    if (!connector) return;
    this.connector = connector;
    const used = connector.pins.map((one) => ({ ...one, used: true }));
    const free = connector.free.map((one) => ({ ...one, id: `${connector.end}:${one.cavity}`, circuit: "", path: [...connector.path, "cavity", one.cavity], used: false }));
    const order = new Map([...connector.order, ...used.map((one) => one.cavity)].map((name, n) => [name, n]));
    this.grid.update([...used, ...free].sort((a, b) => (order.get(a.cavity) ?? 1e6) - (order.get(b.cavity) ?? 1e6)));
    const checked = el("input", { type: "checkbox", checked: connector.face_checked, onchange: (event) => this.desk.edit(tickKey(this.desk, [...connector.path, "face_checked"], event.target.checked), "face checked") });
    const face = el("input", { value: connector.face, list: "faces", size: 16, "aria-label": `Face of ${connector.end}`, onchange: (event) => this.desk.edit(give(this.desk, [...connector.path, "face"], event.target.value.trim()), "face") });
    library().then((found) => offerFaces(found));
    const told = connector.face ? `${many(connector.pins.length, "cavity", "cavities")} used, ${connector.free.length} free` : `${SIGN.caution} no face given`;
    fill(this.head, el("h3", {}, connector.name ? `Plug ${connector.end}` : "Plug"), el("label.row", {}, el("span.small", {}, "face"), face), el("label.tick.small", {}, checked, "checked against the numbers in the plug"), el("span.small", {}, told));
    this.view?.update?.(new Set(["devices", "wires"]));
  }

  async showFace(connector) {
    const module = await import("../views/face.js").catch(() => null);
    await this.desk.tail; // an edit goes first
    if (module && !this.gone && connector.face) this.view = module.mount(this.drawn, this.desk, connector.end);
  }

  destroy() {
    this.gone = true;
    this.grid.destroy();
    this.view?.destroy?.();
  }
}

function pinValue({ circuit, words, amps, duty, kind }) {
  const more = Object.fromEntries(Object.entries({ words, amps, duty, kind }).filter(([, value]) => value !== undefined && value !== ""));
  return Object.keys(more).length ? { circuit, ...more } : circuit;
}

function offerFaces(found) {
  if (document.querySelector("#faces")) return;
  document.body.append(el("datalist", { id: "faces" }, found.faces.map((one) => el("option", { value: one.name }, one.words))));
}

/** Wires as small buttons that light them. */
export function wireChips(desk, wires) {
  return el("span", {}, wires.map((label) => el("button.wire-chip", { type: "button", tabIndex: -1, class: desk.lit.has("wire", label) ? "lit" : "", onclick: (event) => { event.stopPropagation(); desk.lit.toggle({ kind: "wire", key: label }); } }, label)));
}
