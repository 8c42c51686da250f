// What is lit: one thing the builder points at, known to every view at once.

/** @typedef {{kind: "wire"|"section"|"point"|"end"|"cavity"|"circuit"|"device"|"splice", key: string}} Thing */

const EMPTY = Object.freeze({ wires: new Set(), sections: new Set(), points: new Set(), ends: new Set(),
  cavities: new Set(), circuits: new Set(), devices: new Set(), splices: new Set() });

/** The set a kind of thing is kept in. */
export const SET_OF = Object.freeze({ wire: "wires", section: "sections", point: "points", end: "ends",
  cavity: "cavities", circuit: "circuits", device: "devices", splice: "splices" });

/**
 * What is lit, and everything that goes with it: a cavity lights its wire, a wire the sections it runs through.
 * Sections are keyed "loom/inner-outer", wires "W12", cavities "INJ1:2".
 */
export class Lit {
  constructor() {
    /** @type {Thing|null} */
    this.thing = null;
    this.with = EMPTY;
    this.slices = {};
    this.listeners = new Set();
  }

  /** Give the slices by which related things are found; tells the views again. */
  know(slices) {
    this.slices = slices;
    if (this.thing) this.set(this.thing);
  }

  /** Light one thing; null = nothing. @param {Thing|null} thing */
  set(thing) {
    this.thing = thing && thing.key ? { kind: thing.kind, key: thing.key } : null;
    this.with = this.thing ? related(this.thing, this.slices) : EMPTY;
    for (const tell of [...this.listeners]) tell(this);
  }

  /** Light a thing, or put it out where it is lit already. @param {Thing} thing */
  toggle(thing) {
    const same = this.thing && this.thing.kind === thing.kind && this.thing.key === thing.key;
    this.set(same ? null : thing);
  }

  /** Whether a thing is lit, itself or through what it belongs to. */
  has(kind, key) {
    return this.with[SET_OF[kind]].has(key);
  }

  /** Call a function with this now and at every change; returns what ends it. @param {(lit: Lit) => void} tell */
  subscribe(tell) {
    this.listeners.add(tell);
    tell(this);
    return () => this.listeners.delete(tell);
  }
}

/** Everything that goes with a thing. */
function related(thing, slices) {
  const found = Object.fromEntries(Object.keys(EMPTY).map((name) => [name, new Set()]));
  found[SET_OF[thing.kind]].add(thing.key);
  const wires = slices.wires || [];
  if (thing.kind === "section" && !thing.key.includes("/")) {
    for (const tree of slices.tree || []) {
      for (const one of tree.sections) if (one.name === thing.key) found.sections.add(one.key);
    }
  }
  for (const wire of wires) if (touches(wire, thing, found, slices)) add(wire, found, thing);
  if (thing.kind === "device") addDevice(thing.key, found, slices);
  return found;
}

function touches(wire, thing, found, slices) {
  const at = [wire.a, wire.b];
  switch (thing.kind) {
    case "wire": return wire.label === thing.key;
    case "circuit": return wire.circuit === thing.key;
    case "cavity": case "splice": return at.some((end) => end.name === thing.key);
    case "section": return wire.sections.some((key) => found.sections.has(key));
    case "end": return at.some((end) => end.point === thing.key);
    case "device": return at.some((end) => ends(thing.key, slices).has(end.point));
    default: return false;
  }
}

function ends(device, slices) {
  const one = (slices.devices || []).find((x) => x.name === device);
  return new Set(one ? one.connectors.map((x) => x.end) : [device]);
}

function add(wire, found, thing) {
  found.wires.add(wire.label);
  if (thing.kind === "section") return;
  for (const key of wire.sections) found.sections.add(key);
  for (const end of [wire.a, wire.b]) {
    if (end.kind === "splice") found.splices.add(end.name);
    else found.cavities.add(end.name);
  }
  if (["wire", "cavity", "splice"].includes(thing.kind)) found.circuits.add(wire.circuit);
}

function addDevice(name, found, slices) {
  for (const end of ends(name, slices)) found.ends.add(end);
}
