// Moving a branch point along the sections that meet there, by pointer or by keys; only what meets there is redrawn.
import { lengthOf, nearestOn, partOf, placeOn } from "./draw.js";

const STEP_MM = 5;
const FINE_MM = 1;
const STAY = 0.7; // another section has to be so much nearer before the point changes over to it

export class Shift {
  constructor(plan) {
    this.plan = plan;
    this.now = null;
    const root = plan.surface.root;
    root.addEventListener("pointermove", (event) => { if (this.pointer === event.pointerId) this.drag(event); });
    for (const name of ["pointerup", "pointercancel"]) {
      root.addEventListener(name, (event) => { if (this.pointer === event.pointerId) this.end(name === "pointerup"); });
    }
    root.addEventListener("keydown", (event) => { if (event.key === "Escape" && this.now) { this.stop(); event.preventDefault(); } });
  }

  /** Take up a branch point: what meets there, which way out first. */
  take(one) {
    const { sections } = this.plan.loom;
    const into = sections.find((x) => x.outer === one.name);
    const out = sections.filter((x) => x.inner === one.name);
    const onward = out.reduce((a, b) => (weight(b, sections) > weight(a, sections) ? b : a));
    this.now = { one, into, out, along: onward, mm: 0 };
    for (const x of [into, ...out]) this.plan.scene.sections.get(x.key).group.classList.add("moving");
  }

  /** Begin to drag. */
  begin(one, event) {
    this.stop();
    this.take(one);
    this.pointer = event.pointerId;
    this.plan.surface.hold();
    this.plan.surface.root.setPointerCapture(event.pointerId);
  }

  drag(event) {
    const at = this.plan.surface.at(event);
    this.towards(at.x, at.y, event.shiftKey ? FINE_MM : STEP_MM);
    this.show(event.clientX, event.clientY);
  }

  /** Put the point at the place nearest to x, y on a section that meets there. */
  towards(x, y, step) {
    const now = this.now;
    let best = null;
    for (const along of [now.into, ...now.out]) {
      const { mm, off } = nearestOn(along.line, x, y);
      const way = along === now.into ? lengthOf(along.line) - mm : mm;
      const rated = off * (along === now.along ? STAY : 1);
      if (!best || rated < best.rated) best = { along, way, rated };
    }
    this.set(best.along, Math.round(best.way / step) * step);
  }

  set(along, mm) {
    const now = this.now;
    now.along = along;
    now.mm = Math.max(0, Math.min(mm, Math.floor(along.mm - FINE_MM)));
    const drawn = (now.mm * lengthOf(along.line)) / along.mm;
    const { scene } = this.plan;
    const inward = along === now.into;
    const at = placeOn(along.line, inward ? lengthOf(along.line) - drawn : drawn);
    scene.movePoint(now.one.name, at.x, at.y);
    const whole = lengthOf(along.line);
    if (inward) {
      scene.moveLine(along.key, partOf(along.line, 0, whole - drawn));
      for (const x of now.out) scene.moveLine(x.key, [...partOf(along.line, whole - drawn, whole), ...x.line.slice(1)]);
      return;
    }
    const gone = partOf(along.line, 0, drawn);
    scene.moveLine(now.into.key, [...now.into.line, ...gone.slice(1)]);
    scene.moveLine(along.key, partOf(along.line, drawn, whole));
    for (const x of now.out) {
      if (x === along) continue;
      const beside = x.beside.some((run) => run.section === along.name && run.until_mm >= now.mm);
      scene.moveLine(x.key, beside ? [[at.x, at.y], ...x.line.slice(1)] : [...gone.slice().reverse(), ...x.line.slice(1)]);
    }
  }

  words() {
    const { one, into, along, mm } = this.now;
    const way = along === into ? `back along ${along.name}` : `on along ${along.name}`;
    const from = along === into ? into.mm - mm : into.mm + mm;
    return `${one.name}: ${mm} mm ${way}\n${into.name} ${Math.round(from)} mm`;
  }

  show(left, top) {
    const note = this.plan.readOut;
    const frame = this.plan.surface.rect || this.plan.surface.root.getBoundingClientRect();
    note.textContent = this.words();
    note.hidden = false;
    note.style.transform = `translate(${Math.round(left - frame.left + 16)}px, ${Math.round(top - frame.top + 12)}px)`;
  }

  end(carry) {
    const now = this.now;
    this.pointer = null;
    this.plan.surface.letGo();
    if (carry && now && now.mm >= 1) this.write();
    else this.stop();
  }

  write() {
    const { one, along, mm } = this.now;
    this.leave();
    return this.plan.carryOut({ does: "shift", point: one.name, section: along.key, mm });
  }

  leave() {
    this.now = null;
    this.pointer = null;
    this.plan.readOut.hidden = true;
    this.plan.surface.letGo();
    for (const one of this.plan.scene?.sections.values() || []) one.group.classList.remove("moving");
  }

  /** Leave everything as it was. */
  stop() {
    if (!this.now) return;
    this.leave();
    this.plan.scene?.back();
  }

  /** Let keys move a point that has the focus. */
  keys(name, group) {
    const one = this.plan.scene.points.get(name).data;
    group.addEventListener("focus", () => {
      this.plan.choose({ kind: "point", key: name });
      this.plan.surface.see(one.x, one.y);
    });
    group.addEventListener("blur", () => { if (!this.pointer) this.stop(); });
    group.addEventListener("keydown", (event) => {
      if (this.key(one, event)) event.preventDefault();
    });
  }

  key(one, event) {
    const step = event.shiftKey ? FINE_MM : STEP_MM;
    const by = { ArrowRight: step, ArrowUp: step, ArrowLeft: -step, ArrowDown: -step }[event.key];
    if (event.ctrlKey || event.metaKey) return false;
    if (!this.now && (by || event.key === "Tab")) {
      if (!by) return false;
      this.take(one);
    }
    if (!this.now) return false;
    if (event.key === "Enter") {
      if (this.now.mm >= 1) this.write();
      else this.stop();
    } else if (event.key === "Escape") this.stop();
    else if (event.key === "/" || event.key === "o") this.other();
    else if (by) this.creep(by);
    else return false;
    if (this.now) this.showAtPoint();
    return true;
  }

  /** Move by keys: on, or back over the old place onto the section it came by. */
  creep(by) {
    const now = this.now;
    const where = (now.along === now.into ? -now.mm : now.mm) + by;
    if (where < 0) this.set(now.into, -where);
    else this.set(now.along === now.into ? this.onward() : now.along, where);
  }

  onward() {
    return this.now.out.reduce((a, b) => (weight(b, this.plan.loom.sections) > weight(a, this.plan.loom.sections) ? b : a));
  }

  /** Take the next section that leaves there. */
  other() {
    const { out, along, mm } = this.now;
    this.plan.scene.back();
    this.set(out[(out.indexOf(along) + 1) % out.length], mm);
  }

  showAtPoint() {
    const frame = this.plan.surface.root.getBoundingClientRect();
    const knob = this.plan.scene.points.get(this.now.one.name).group.getBoundingClientRect();
    this.show(Math.min(knob.right, frame.right - 240), Math.min(knob.bottom, frame.bottom - 60));
  }
}

/** What goes on furthest counts most: a way that branches on before one that ends. */
function weight(one, sections) {
  return (sections.some((x) => x.inner === one.outer) ? 1e6 : 0) + one.mm;
}
