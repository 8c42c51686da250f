// The live plan: a loom as it will be built, to scale. Branch points are dragged along their sections, or typed.
import { el, field, figure, fill } from "../desk/make.js";
import { send } from "../desk/store.js";
import { AlternativesTable } from "./alternatives.js";
import { lengthOf, nearestOn, withLook } from "./draw.js";
import { Shift } from "./plan_shift.js";
import { planSide } from "./plan_side.js";
import { Scene } from "./scene.js";
import { refill } from "./side.js";
import { Surface, around } from "./surface.js";

/**
 * Show the plan.
 * @param {Element} place
 * @param {import("../desk/store.js").Store} desk
 * @param {string} [key] point or section to choose
 */
export function mount(place, desk, key = "") {
  withLook();
  const plan = new Plan(place, desk);
  plan.start().then(() => plan.go(key));
  return plan;
}

export class Plan {
  constructor(place, desk) {
    this.desk = desk;
    this.chosen = null;
    this.loomName = "";
    this.side = el("div.view-side.stack", { "aria-label": "What is chosen" });
    this.pick = el("select", { onchange: () => this.chooseFrom(this.pick.value) });
    this.loomPick = el("select", { onchange: () => { this.loomName = this.loomPick.value; this.draw(true); } });
    this.loomField = field("Loom", this.loomPick);
    this.readOut = el("div.read-out", { hidden: true, role: "status" });
    this.main = el("div.view-main", {}, el("div.view-head", {}, this.loomField, field("Point or section", this.pick)));
    this.view = el("div.view", {}, this.main, this.side);
    this.others = new AlternativesTable(desk);
    this.holder = el("div.view-holder", {}, this.view, this.others.node);
    place.append(this.holder);
    this.surface = new Surface(this.main, "Plan of the loom. Tab goes from branch point to branch point; arrow keys move the one reached.", () => this.scene?.words());
    this.surface.frame.append(this.readOut);
    this.main.append(el("p.surface-note", {}, "Drag a branch point along a section, or reach it with Tab and move it with the arrow keys: Enter sets it, Escape leaves it. Dashed: a length of its own, not the rope's. Once pressed, the wheel zooms."));
    this.shift = new Shift(this);
  }

  async start() {
    const here = await this.desk.need(["plan"]);
    if (this.gone) return;
    if (here) this.draw(true);
    this.unlit = this.desk.lit.subscribe((lit) => { this.scene?.light(lit); this.follow(lit); });
  }

  destroy() {
    this.gone = true;
    this.unlit?.();
    this.desk.release(["plan"]);
    this.surface.destroy();
    this.others.destroy();
    this.holder.remove();
  }

  /** @param {Set<string>|string[]} changed names of slices */
  update(changed) {
    const names = new Set(changed);
    if (!names.has("plan") && !names.has("tree")) return;
    this.others.old();
    this.desk.need(["plan"]).then((here) => { if (here && !this.gone) this.draw(!this.scene); });
  }

  /** The loom shown. */
  get loom() {
    const all = this.desk.slices.plan || [];
    return all.find((one) => one.loom === this.loomName) || all[0];
  }

  draw(whole) {
    const focused = document.activeElement?.closest?.(".point")?.dataset.key;
    this.shift.stop();
    this.scene?.destroy();
    this.scene = null;
    const all = this.desk.slices.plan || [];
    this.loomField.hidden = all.length < 2;
    fill(this.loomPick, all.map((one) => el("option", { value: one.loom, selected: one === this.loom }, one.loom)));
    this.view.hidden = this.others.node.hidden = !this.loom;
    if (!this.loom) return;
    this.loomName = this.loom.loom;
    this.scene = new Scene(this.surface, this.loom, {
      section: (one, event) => this.pressed("section", one.key, event),
      point: (one, event) => this.pressedPoint(one, event),
      handle: (one) => this.movable(one),
      words: (one) => `Branch point ${one.name}, ${figure(one.from_datum_mm, 0)} mm from ${this.loom.datum}`,
    });
    for (const [name, one] of this.scene.points) if (this.movable(one.data)) this.shift.keys(name, one.group);
    if (whole) this.surface.show(around(this.loom));
    this.choices();
    this.choose(this.held(this.chosen), !this.carried);
    this.carried = false;
    this.scene.points.get(focused)?.group.focus({ preventScroll: true });
    this.scene.light(this.desk.lit);
  }

  movable(one) {
    return one.kind !== "datum" && this.loom.sections.some((x) => x.inner === one.name);
  }

  /** What is chosen, where it is still there. */
  held(chosen) {
    if (!chosen) return null;
    const there = chosen.kind === "section" ? this.loom.sections.some((x) => x.key === chosen.key) : this.loom.points.some((x) => x.name === chosen.key);
    return there ? chosen : null;
  }

  choices() {
    const group = (label, rows) => el("optgroup", { label }, rows.map(([value, words]) => el("option", { value }, words)));
    const points = this.loom.points.filter((x) => x.kind !== "end").map((x) => [`point ${x.name}`, `${x.name}, ${figure(x.from_datum_mm, 0)} mm`]);
    const sections = this.loom.sections.map((x) => [`section ${x.key}`, `${x.name}, ${figure(x.mm, 0)} mm`]);
    fill(this.pick, el("option", { value: "" }, "nothing chosen"), group("Points", points), group("Sections", sections));
  }

  chooseFrom(value) {
    const [kind, ...key] = value.split(" ");
    const one = kind ? { kind, key: key.join(" ") } : null;
    this.choose(one);
    if (one) this.desk.lit.set(one);
    if (one) this.bring(one);
  }

  bring(one) {
    const point = one.kind === "point" ? this.scene.points.get(one.key)?.data : null;
    const line = one.kind === "section" ? this.scene.sections.get(one.key)?.data.line : null;
    if (point) this.surface.see(point.x, point.y);
    if (line) this.surface.see((line[0][0] + line.at(-1)[0]) / 2, (line[0][1] + line.at(-1)[1]) / 2);
  }

  pressed(kind, key, event) {
    event.preventDefault();
    this.pressedAt = kind === "section" ? this.placeOf(key, event) : null;
    this.surface.root.focus({ preventScroll: true });
    this.choose({ kind, key });
    this.desk.lit.set({ kind, key });
  }

  /** How far from its inner end a section was pressed, to 5 mm. */
  placeOf(key, event) {
    const one = this.scene.sections.get(key).data;
    const { x, y } = this.surface.at(event);
    const mm = (nearestOn(one.line, x, y).mm * one.mm) / (lengthOf(one.line) || 1);
    return { key, mm: Math.min(Math.max(5, Math.round(mm / 5) * 5), Math.max(1, Math.floor(one.mm - 1))) };
  }

  pressedPoint(one, event) {
    if (one.kind === "end") {
      this.pressed("section", this.loom.sections.find((x) => x.outer === one.name)?.key, event);
      this.desk.lit.set({ kind: "end", key: one.name });
      return;
    }
    this.pressed("point", one.name, event);
    if (this.movable(one)) this.shift.begin(one, event);
  }

  /** Choose a point or section by name. */
  go(key) {
    if (!key || !this.scene) return;
    const loom = (this.desk.slices.plan || []).find((x) => x.loom === key.split("/")[0]);
    if (loom && key.includes("/") && loom !== this.loom) { this.loomName = loom.loom; this.draw(true); }
    const section = this.loom.sections.find((x) => x.key === key || x.name === key || x.outer === key && !this.movable({ name: key, kind: "end" }));
    const one = section ? { kind: "section", key: section.key } : this.held({ kind: "point", key });
    if (!one) return;
    this.choose(one);
    this.bring(one);
  }

  /** Something was lit elsewhere: choose it here, too. */
  follow(lit) {
    const thing = lit.thing;
    if (!this.scene || !thing || !["section", "point"].includes(thing.kind)) return;
    const key = thing.kind === "section" && !thing.key.includes("/") ? `${this.loom.loom}/${thing.key}` : thing.key;
    const one = this.held({ kind: thing.kind, key });
    if (one && (one.kind !== this.chosen?.kind || one.key !== this.chosen?.key)) this.choose(one);
  }

  /** Choose a point or section; `again` = the same as before, drawn anew by a change from anywhere. */
  choose(one, again = false) {
    this.chosen = one;
    this.scene.choose(one);
    this.pick.value = one ? `${one.kind} ${one.key}` : "";
    refill(this.side, planSide(this, one), !again);
  }

  /** Ask for a step of the tree as edits; null = refused, and said. */
  async step(does) {
    try {
      return await send(`${this.desk.base}/tree-step`, does);
    } catch (fault) {
      this.desk.say(fault.status ? fault.message : "The program does not answer. Start it again.", 8);
      return null;
    }
  }

  /** Carry a step out at once; undo takes it back. */
  async carryOut(does) {
    const step = await this.step(does);
    if (!step) return this.scene?.back();
    if (does.point) this.chosen = { kind: "point", key: does.point };
    this.carried = true;
    const done = await this.desk.edit(step.edits, step.words);
    if (!done) return this.scene?.back();
    const again = step.again.length ? ` To be measured again: ${step.again.join(", ")}.` : "";
    this.desk.say(`${step.words}.${again} Undo takes it back.`, 8);
    return done;
  }

  /** Show first what a step would change. */
  async showFirst(does) {
    const step = await this.step(does);
    if (!step) return;
    const { askChange } = await import("../desk/ask.js");
    const again = step.again.length ? ` (measure again: ${step.again.join(", ")})` : "";
    await askChange(this.desk, step.edits, `${step.words}${again}`);
  }
}

