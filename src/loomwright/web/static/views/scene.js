// A loom as lines and points on a surface: one element for each section, never one for each wire.
import { lengthOf, pathOf, placeOn, svg } from "./draw.js";

const WORDS_PX = 12;
const CHAR_PX = 7; // width of a letter of that size, about; ours
const CELL_PX = 12;

/**
 * Sections and points of one loom, drawn once and moved in place.
 * `sections` and `points` are as the server sends them; `hooks` are called with a name.
 */
export class Scene {
  /**
   * @param {import("./surface.js").Surface} surface
   * @param {any} loom
   * @param {{section: (one: any, event: Event) => void, point: (one: any, event: Event) => void, handle: (one: any) => boolean, words: (one: any) => string}} hooks
   */
  constructor(surface, loom, hooks) {
    this.surface = surface;
    this.loom = loom;
    this.hooks = hooks;
    this.group = svg("g.scene");
    this.below = svg("g.below");
    /** @type {Map<string, {data: any, run: SVGElement, hit: SVGElement, words: SVGElement, group: SVGElement}>} */
    this.sections = new Map();
    /** @type {Map<string, {data: any, group: SVGElement}>} */
    this.points = new Map();
    this.lines = svg("g.lines");
    this.handles = svg("g.handles");
    for (const one of loom.sections) this.addSection(one);
    for (const one of loom.points) this.addPoint(one);
    this.group.append(this.below, this.lines, this.handles);
    surface.root.append(this.group);
    this.words();
  }

  destroy() {
    this.group.remove();
  }

  addSection(one) {
    const d = pathOf(one.line);
    const hit = svg("path.hit", { d, onpointerdown: (event) => this.hooks.section(one, event) });
    const run = svg("path.run", { d });
    run.style.setProperty("--od", `${one.od_mm}px`);
    const words = svg("text.run-words", { "text-anchor": "middle" }, "");
    const group = svg("g.section", { "data-key": one.key }, run, hit, words);
    if (one.built) group.classList.add("built");
    if (one.fixed) group.classList.add("fixed");
    this.lines.append(group);
    this.sections.set(one.key, { data: one, run, hit, words, group });
  }

  addPoint(one) {
    const end = one.kind === "end";
    const handle = this.hooks.handle(one);
    const group = svg(`g.point.${end ? "end" : one.kind === "datum" ? "datum" : "branch"}`, {
      "data-key": one.name, tabindex: handle ? "0" : null, role: handle ? "button" : null,
      "aria-label": handle ? this.hooks.words(one) : null, onpointerdown: (event) => this.hooks.point(one, event),
    });
    const mark = svg("g.knob", {}, end ? svg("rect", { x: -4, y: -4, width: 8, height: 8 }) : svg("circle", { r: handle ? 9 : 6 }));
    if (!end) mark.append(svg("circle.core", { r: 3 }));
    const deg = this.ahead(one);
    const words = svg("text.point-words", endWordsAt(one, deg), one.name);
    mark.append(words);
    group.append(mark);
    this.points.set(one.name, { data: one, group, words, deg });
    this.movePoint(one.name, one.x, one.y);
    this.handles.append(group);
  }

  /** The direction in which the section into an end runs there. */
  ahead(one) {
    const into = this.loom.sections.find((x) => x.outer === one.name);
    return into ? placeOn(into.line, lengthOf(into.line)).deg : 0;
  }

  movePoint(name, x, y) {
    this.points.get(name).group.setAttribute("transform", `translate(${x} ${y})`);
  }

  /** Draw a section along another line. @param {[number, number][]} line */
  moveLine(key, line) {
    const one = this.sections.get(key);
    const d = pathOf(line);
    one.run.setAttribute("d", d);
    one.hit.setAttribute("d", d);
    one.words.setAttribute("visibility", "hidden");
  }

  /** Draw everything as the server sent it. */
  back() {
    for (const key of this.sections.keys()) this.moveLine(key, this.sections.get(key).data.line);
    for (const { data } of this.points.values()) this.movePoint(data.name, data.x, data.y);
    this.words();
  }

  /** Show as many words as there is room for at this scale: points first, then ends, then sections. */
  words() {
    const room = new Room(this.surface.mm || 1);
    const points = [...this.points.values()].sort((a, b) => rank(a) - rank(b));
    for (const { data } of points) room.take(data.x, data.y, [0, 0], [1, 0], 0);
    for (const one of points) this.pointWords(one, room);
    for (const one of this.sections.values()) this.runWords(one, room);
  }

  pointWords(one, room) {
    const { data, words, deg } = one;
    const wide = data.name.length * CHAR_PX + 4;
    const turn = (deg * Math.PI) / 180;
    const [dx, dy] = data.kind === "end" ? [Math.cos(turn), Math.sin(turn)] : [1, 0];
    const start = data.kind === "end" ? [9 * dx, 9 * dy] : [-wide / 2, -17];
    words.setAttribute("visibility", room.take(data.x, data.y, start, [dx, dy], wide) ? "visible" : "hidden");
  }

  runWords(one, room) {
    const { data, words } = one;
    const { mm } = room;
    const text = `${data.name} ${Math.round(data.mm)}`;
    const wide = text.length * CHAR_PX;
    const { x, y, deg } = placeOn(data.line, lengthOf(data.line) / 2);
    const turned = deg > 90 || deg < -90 ? deg + 180 : deg;
    const up = Math.max(data.od_mm / 2 / mm, 1) + 4;
    const turn = (turned * Math.PI) / 180;
    const along = [Math.cos(turn), Math.sin(turn)];
    const start = [(-wide / 2) * along[0] + (up + 5) * along[1], (-wide / 2) * along[1] - (up + 5) * along[0]];
    const shown = lengthOf(data.line) / mm > wide + 24 && room.take(x, y, start, along, wide);
    words.setAttribute("visibility", shown ? "visible" : "hidden");
    if (!shown) return;
    if (!words.textContent) words.textContent = text;
    words.setAttribute("transform", `translate(${x} ${y}) rotate(${turned})`);
    words.setAttribute("dy", String(-up * mm));
  }

  /** Mark what is lit. @param {any} lit */
  light(lit) {
    this.surface.root.classList.toggle("has-lit", Boolean(lit.thing));
    for (const [key, one] of this.sections) one.group.classList.toggle("lit", lit.has("section", key));
    for (const [name, one] of this.points) one.group.classList.toggle("lit", lit.has("point", name) || lit.has("end", name));
  }

  /** Mark what is chosen. @param {{kind: string, key: string}|null} chosen */
  choose(chosen) {
    for (const [key, one] of this.sections) one.group.classList.toggle("chosen", chosen?.kind === "section" && chosen.key === key);
    for (const [name, one] of this.points) one.group.classList.toggle("chosen", chosen?.kind === "point" && chosen.key === name);
  }
}

/** Room on the screen for words, in cells as tall as a letter. */
class Room {
  constructor(mm) {
    this.mm = mm;
    this.taken = new Set();
  }

  /** Take the room of a line of words, where all of it is free: from a place in mm, some pixels off, some way, so many pixels. */
  take(x, y, start, along, wide) {
    const cells = new Set();
    for (let px = 0; px <= wide; px += CELL_PX / 2) {
      cells.add(`${Math.round((x / this.mm + start[0] + px * along[0]) / CELL_PX)} ${Math.round((y / this.mm + start[1] + px * along[1]) / CELL_PX)}`);
    }
    for (const cell of cells) if (this.taken.has(cell)) return false;
    for (const cell of cells) this.taken.add(cell);
    return true;
  }
}

const rank = (one) => ({ datum: 0, end: 2 }[one.data.kind] ?? 1);

function endWordsAt(one, deg) {
  if (one.kind !== "end") return { x: 0, y: -13, "text-anchor": "middle" };
  const back = deg > 90 || deg < -90;
  return { x: back ? -9 : 9, y: WORDS_PX / 3, "text-anchor": back ? "end" : "start", transform: `rotate(${back ? deg + 180 : deg})` };
}
