// A loom as lines and points on a surface: one element for each section, never one for each wire.
import { lengthOf, pathOf, placeOn, svg } from "./draw.js";

const WORDS_PX = 12;
const CHAR_PX = 6.6; // width of a letter of that size, about; ours

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
    mark.append(svg("text.point-words", endWordsAt(one, this.ahead(one)), one.name));
    group.append(mark);
    this.points.set(one.name, { data: one, group });
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

  /** Show the words of those sections that are long enough on the screen. */
  words() {
    const mm = this.surface.mm || 1;
    for (const one of this.sections.values()) {
      const text = `${one.data.name} ${Math.round(one.data.mm)}`;
      const shown = lengthOf(one.data.line) / mm > text.length * CHAR_PX + 22;
      one.words.setAttribute("visibility", shown ? "visible" : "hidden");
      if (!shown) continue;
      if (!one.words.textContent) one.words.textContent = text;
      const { x, y, deg } = placeOn(one.data.line, lengthOf(one.data.line) / 2);
      const turned = deg > 90 || deg < -90 ? deg + 180 : deg;
      one.words.setAttribute("transform", `translate(${x} ${y}) rotate(${turned})`);
      one.words.setAttribute("dy", String(-Math.max(one.data.od_mm / 2, mm) - 4 * mm));
    }
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

function endWordsAt(one, deg) {
  if (one.kind !== "end") return { x: 0, y: -13, "text-anchor": "middle" };
  const back = deg > 90 || deg < -90;
  return { x: back ? -9 : 9, y: WORDS_PX / 3, "text-anchor": back ? "end" : "start", transform: `rotate(${back ? deg + 180 : deg})` };
}
