// Edits of tables in the job file, as the screens need them again and again.
import { remove, set, valueAt } from "./make.js";

/** The values of job.toml. */
export const values = (desk) => desk.slices.file.values;

/** Edits that give a key a value; nothing typed takes the key away. */
export function give(desk, path, value) {
  const held = valueAt(values(desk), path);
  if (value === "" || value === null || value === undefined) return held === undefined ? [] : [remove(path)];
  return held === value ? [] : [set(path, value)];
}

/** Edits that tick or untick a key; unticked is left out. */
export function tickKey(desk, path, value) {
  return value ? give(desk, path, true) : give(desk, path, "");
}

/** A column over a key of tables by name: fuse, loom, area, cable ... @param {string} head */
export function keyColumn(desk, head, key, title, more = {}) {
  const kind = more.kind || "text";
  return { key, title, kind, choices: more.choices,
    read: (row) => row[key],
    write: (row, value) => (kind === "flag" ? tickKey(desk, [head, row.name, key], value) : give(desk, [head, row.name, key], value)) };
}

/** A column with the name of tables by name; typing another one renames. */
export function nameColumn(desk, head, title) {
  return { key: "name", title, read: (row) => row.name, write: (row, value) => (value && value !== row.name ? [{ verb: "rename", path: [head, row.name], value }] : []) };
}

/** Rows of tables by name. */
export function namedRows(desk, head) {
  const held = values(desk)[head];
  return held && typeof held === "object" ? Object.entries(held).filter(([, one]) => one && typeof one === "object").map(([name, one]) => ({ name, ...one })) : [];
}

/** Add a table by name once its needed keys are there. @param {string[]} needed */
export function addNamed(head, needed) {
  return (draft) => {
    const { name, ...rest } = draft;
    if (!name || needed.some((key) => rest[key] === undefined || rest[key] === "")) return null;
    const table = Object.fromEntries(Object.entries(rest).filter(([, value]) => value !== "" && value !== false));
    return [set([head, name], table)];
  };
}

/** Edits that put a circuit into a cavity; what else is said of the cavity stays. */
export function putCircuit(desk, path, circuit) {
  const held = valueAt(values(desk), path);
  if (!circuit) return held === undefined ? [] : [remove(path)];
  if (held && typeof held === "object") return held.circuit === circuit ? [] : [set([...path, "circuit"], circuit)];
  return held === circuit ? [] : [set(path, circuit)];
}

/** Edits that say more of a cavity; a plain circuit becomes a table. */
export function putPin(desk, path, key, value) {
  const held = valueAt(values(desk), path);
  if (held === undefined) return [];
  if (typeof held === "object") return give(desk, [...path, key], value);
  return value === "" ? [] : [set(path, { circuit: held, [key]: value })];
}

/** Edits that call a circuit otherwise, wherever it stands. */
export function renameCircuit(desk, old, name) {
  if (!name || name === old) return [];
  const file = values(desk);
  const edits = [];
  for (const device of desk.slices.devices) {
    for (const connector of device.connectors) {
      for (const pin of connector.pins) if (pin.circuit === old && !device.tap) edits.push(...putCircuit(desk, pin.path, name));
    }
    if (device.tap && valueAt(file, [...device.path, "circuit"]) === old) edits.push(set([...device.path, "circuit"], name));
  }
  for (const [fuse, one] of Object.entries(file.fuse || {})) {
    for (const key of ["line", "load"]) if (one[key] === old) edits.push(set(["fuse", fuse, key], name));
  }
  for (const [cable, one] of Object.entries(file.cable || {})) {
    if (one.circuits?.includes(old)) edits.push(set(["cable", cable, "circuits"], one.circuits.map((x) => (x === old ? name : x))));
    if (one.screen === old) edits.push(set(["cable", cable, "screen"], name));
  }
  if (file.circuit?.[old]) edits.push({ verb: "rename", path: ["circuit", old], value: name });
  return edits;
}

/** Edits that call a device otherwise, in its table and wherever the rope, the tree and others name it. */
export function renameDevice(desk, device, name) {
  if (!name || name === device.name) return [];
  const file = values(desk);
  const ends = new Map(device.connectors.map((one) => [one.end, one.name ? `${name}.${one.name}` : name]));
  const called = (text) => (typeof text !== "string" ? text : ends.get(text) ?? text.replace(/^((?:[^/]*\/)?)(.+)-(.+)$/, (_, loom, a, b) => `${loom}${ends.get(a) ?? a}-${ends.get(b) ?? b}`));
  const edits = [];
  for (const [tape, held] of Object.entries(file.rope || {})) {
    if (ends.has(held.from)) edits.push(set(["rope", tape, "from"], called(held.from)));
    for (const key of ["reads", "parts"]) (held[key] || []).forEach((row, n) => { if (ends.has(row[0])) edits.push(set(["rope", tape, key, n, 0], called(row[0]))); });
  }
  for (const head of ["section", "build", "passes", "angle"]) for (const key of Object.keys(file[head] || {})) if (called(key) !== key) edits.push({ verb: "rename", path: [head, key], value: called(key) });
  for (const [photo, held] of Object.entries(file.photo || {})) for (const key of ["points", "lines"]) for (const name of Object.keys(held[key] || {})) {
    const now = ends.get(name) ?? called(name);
    if (now !== name) edits.push({ verb: "rename", path: ["photo", photo, key, name], value: now });
  }
  for (const [point, held] of Object.entries(file.exit || {})) {
    for (const to of Object.keys(held)) if (ends.has(to)) edits.push({ verb: "rename", path: ["exit", point, to], value: called(to) });
    if (ends.has(point)) edits.push({ verb: "rename", path: ["exit", point], value: called(point) });
  }
  for (const [spare, held] of Object.entries(file.spare || {})) for (const key of ["a", "b"]) if (ends.has(held[key])) edits.push(set(["spare", spare, key], called(held[key])));
  for (const [loom, held] of Object.entries(file.loom || {})) if (ends.has(held.datum)) edits.push(set(["loom", loom, "datum"], called(held.datum)));
  for (const [fuse, held] of Object.entries(file.fuse || {})) if (held.device === device.name) edits.push(set(["fuse", fuse, "device"], name));
  for (const [circuit, held] of Object.entries(file.circuit || {})) if (held.join_at === device.name) edits.push(set(["circuit", circuit, "join_at"], name));
  for (const other of desk.slices.devices) for (const one of other.connectors) if (ends.has(one.mates)) edits.push(set([...one.path, "mates"], called(one.mates)));
  edits.push({ verb: "rename", path: [device.tap ? "tap" : "device", device.name], value: name });
  return edits;
}
