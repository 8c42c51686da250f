// The forming board: the loom laid flat at true lengths. Sections are turned by dragging; the printed sheets shown.
import { choice, el, field, figure, fill } from "../desk/make.js";
import { withLook, svg } from "./draw.js";
import { boardSide, crossingWords } from "./board_side.js";
import { Scene } from "./scene.js";
import { refill } from "./side.js";
import { Surface, around } from "./surface.js";
import { Turning } from "./turning.js";

const PAPERS = ["A4", "A3", "Letter", "Tabloid"];

/**
 * @param {Element} place
 * @param {import("../desk/store.js").Store} desk
 */
export function mount(place, desk, key = "") {
  withLook();
  const board = new BoardView(place, desk);
  board.start().then(() => board.go(key));
  return board;
}

export class BoardView {
  constructor(place, desk) {
    this.desk = desk;
    this.chosen = null;
    this.loomName = "";
    this.side = el("div.view-side.stack", { "aria-label": "What is chosen" });
    this.pick = el("select", { onchange: () => this.choose(this.pick.value || null, true) });
    this.loomPick = el("select", { onchange: () => { this.loomName = this.loomPick.value; this.draw(true); } });
    this.loomField = field("Loom", this.loomPick);
    this.paper = choice("", [["", "not shown"], ...PAPERS.map((x) => [x, x])], { onchange: () => this.tiles() });
    this.sheets = el("span.small", { role: "status" });
    this.readOut = el("div.read-out", { hidden: true, role: "status" });
    this.main = el("div.view-main", {}, el("div.view-head", {}, this.loomField, field("Section", this.pick), field("Printed sheets", this.paper), this.sheets));
    this.view = el("div.view", {}, this.main, this.side);
    this.holder = el("div.view-holder", {}, this.view);
    place.append(this.holder);
    this.surface = new Surface(this.main, "Forming board, seen from above. A chosen section is turned with the arrow keys: Enter sets it, Escape leaves it.", () => this.scene?.words());
    this.surface.frame.append(this.readOut);
    this.main.append(el("p.surface-note", {}, "Drag a section to turn it; what hangs on it turns with it, what is in its way gives way. A dot marks what you fixed. Seen from above: 9 o'clock, looking outward, is left. Once pressed, the wheel zooms."));
    this.turning = new Turning(this);
  }

  async start() {
    const here = await this.desk.need(["board"]);
    if (this.gone) return;
    if (here) this.draw(true);
    this.unlit = this.desk.lit.subscribe((lit) => { this.scene?.light(lit); this.lightMarks(lit); this.follow(lit); });
  }

  destroy() {
    this.gone = true;
    this.unlit?.();
    this.desk.release(["board"]);
    this.surface.destroy();
    this.holder.remove();
  }

  /** @param {Set<string>|string[]} changed */
  update(changed) {
    const names = new Set(changed);
    if (!names.has("board") && !names.has("tree")) return;
    this.desk.need(["board"]).then((here) => { if (here && !this.gone) this.draw(!this.scene); });
  }

  get loom() {
    const all = this.desk.slices.board || [];
    return all.find((one) => one.loom === this.loomName) || all[0];
  }

  draw(whole) {
    this.turning.stop();
    this.scene?.destroy();
    this.scene = null;
    const all = this.desk.slices.board || [];
    this.loomField.hidden = all.length < 2;
    fill(this.loomPick, all.map((one) => el("option", { value: one.loom, selected: one === this.loom }, one.loom)));
    this.view.hidden = !this.loom;
    if (!this.loom) return fill(this.side);
    this.loomName = this.loom.loom;
    this.scene = new Scene(this.surface, this.loom, {
      section: (one, event) => this.pressed(one, event),
      point: (one, event) => { const into = this.loom.sections.find((x) => x.outer === one.name); if (into) this.pressed(into, event); },
      handle: () => false, words: () => "",
    });
    this.scene.below.append(svg("rect.tile", { x: 0, y: 0, width: this.loom.wide_mm, height: this.loom.high_mm }));
    this.addMarks();
    const box = around(this.loom);
    this.surface.whole = box;
    if (whole) this.surface.show(box);
    fill(this.pick, el("option", { value: "" }, "nothing chosen"), this.loom.sections.map((x) => el("option", { value: x.key }, `${x.name}${x.fixed ? " · fixed" : ""}`)));
    this.choose(this.loom.sections.some((x) => x.key === this.chosen) ? this.chosen : null, false, !this.carried);
    this.carried = false;
    this.scene.light(this.desk.lit);
    this.lightMarks(this.desk.lit);
    this.tiles();
  }

  addMarks() {
    this.marks = this.loom.marks.map((one) => {
      const made = one.kind === "splice" ? svg("rect.on-way.splice", { x: one.x - 6, y: one.y - 3, width: 12, height: 6 }) : svg("circle.on-way", { cx: one.x, cy: one.y, r: 2.5 });
      made.append(svg("title", {}, `${one.kind} ${one.words}`));
      this.scene.handles.prepend(made);
      return [one, made];
    });
    for (const one of this.loom.sections) if (one.fixed) this.pin(one);
  }

  pin(one) {
    const [x1, y1] = one.line.at(-2);
    const [x2, y2] = one.line.at(-1);
    const dot = svg("circle.pin", { cx: x1 + 0.5 * (x2 - x1), cy: y1 + 0.5 * (y2 - y1), r: 7 });
    this.scene.sections.get(one.key).group.append(dot);
  }

  lightMarks(lit) {
    for (const [one, made] of this.marks || []) if (one.kind === "splice") made.classList.toggle("lit", lit.has("splice", one.words));
  }

  /** Choose a section by its key or name. */
  go(key) {
    const one = key && this.scene ? this.loom.sections.find((x) => x.key === key || x.name === key) : null;
    if (one) this.choose(one.key, true);
  }

  follow(lit) {
    if (!this.scene || lit.thing?.kind !== "section") return;
    const key = lit.thing.key.includes("/") ? lit.thing.key : `${this.loom.loom}/${lit.thing.key}`;
    if (key !== this.chosen && this.scene.sections.has(key)) this.choose(key, false);
  }

  pressed(one, event) {
    event.preventDefault();
    this.surface.root.focus({ preventScroll: true });
    this.choose(one.key, true);
    this.turning.begin(one, event);
  }

  /** Choose a section; `again` = the same as before, drawn anew by a change from anywhere. */
  choose(key, light, again = false) {
    this.chosen = key;
    this.pick.value = key || "";
    const one = this.section;
    this.scene.choose(one ? { kind: "section", key } : null);
    if (light && one) this.desk.lit.set({ kind: "section", key });
    if (light && one) this.surface.see(one.line[0][0], one.line[0][1]);
    refill(this.side, boardSide(this, one), !again);
  }

  /** The section chosen. */
  get section() {
    return this.loom?.sections.find((x) => x.key === this.chosen) || null;
  }

  /** Fix a section's direction in the job file. */
  async fix(one, deg, reason = "") {
    const value = { angle_deg: deg, reason: reason || one.reason || "turned on the board" };
    const path = one.fixed ? one.path : ["board", this.loom.several ? one.key : one.name];
    if (this.loom.several) value.loom = this.loom.loom;
    this.carried = true;
    const done = await this.desk.edit([{ verb: "set", path, value }], `${one.name} at ${figure(deg, 1)}° on the board`);
    if (!done) this.scene?.back();
    else if (await this.desk.need(["board"]) && this.loom?.crossings) this.desk.say(crossingWords(this.loom), 6);
  }

  letGo(one) {
    return this.desk.edit([{ verb: "remove", path: one.path }], `${one.name} not fixed on the board any more`);
  }

  /** Show the sheets the board prints on. */
  async tiles() {
    this.tileGroup?.remove();
    this.sheets.textContent = "";
    const paper = this.paper.value;
    const loom = this.loom?.loom;
    if (!paper || !loom) return;
    const found = await this.desk.fetch(`tiles/${encodeURIComponent(loom)}?paper=${paper}`).catch((fault) => this.desk.say(fault.message));
    if (!found || this.gone || paper !== this.paper.value || !this.scene) return;
    this.tileGroup?.remove();
    this.tileGroup = svg("g.tiles", {}, found.tiles.flatMap((one) => [
      svg("rect.tile", { x: one.x, y: one.y, width: one.wide, height: one.high }),
      svg("text.tile-words", { x: one.x + 6, y: one.y + one.high - 6 }, one.name),
    ]));
    this.scene.below.append(this.tileGroup);
    this.sheets.textContent = `${found.tiles.length} sheets of ${found.paper} ${found.landscape ? "on their side" : "upright"}, ${found.columns} by ${found.rows}, and one overview; neighbours share ${figure(found.overlap_mm, 0)} mm`;
  }
}
