// Turning a section on the board, with all that hangs on it, by pointer or keys: one element moves, whatever hangs on it.
import { svg } from "./draw.js";

const STEP_DEG = 5;
const FINE_DEG = 1;

export class Turning {
  constructor(view) {
    this.view = view;
    this.now = null;
    const { root } = view.surface;
    root.addEventListener("pointermove", (event) => { if (this.pointer === event.pointerId) this.drag(event); });
    for (const name of ["pointerup", "pointercancel"]) {
      root.addEventListener(name, (event) => { if (this.pointer === event.pointerId) this.end(name === "pointerup"); });
    }
    root.addEventListener("keydown", (event) => { if (this.key(event)) event.preventDefault(); });
  }

  /** Gather what turns: the section from where it leaves, and all beyond. */
  take(one) {
    const { scene, loom } = this.view;
    const pivot = one.line.length > 2 ? one.line.at(-2) : one.line[0];
    const names = hanging(loom.sections, one);
    const keys = new Set([...names].map((x) => x.key));
    const points = new Set([...names].map((x) => x.outer));
    const group = svg("g.turning");
    if (one.line.length === 2) group.append(scene.sections.get(one.key).group);
    for (const key of keys) if (key !== one.key) group.append(scene.sections.get(key).group);
    for (const name of points) group.append(scene.points.get(name).group);
    for (const [mark, made] of this.view.marks) if (keys.has(mark.section)) group.append(made);
    scene.group.append(group);
    scene.sections.get(one.key).group.classList.add("moving");
    this.now = { one, pivot, group, from: angleOf(one.line), deg: angleOf(one.line), bent: one.line.length > 2 };
  }

  begin(one, event) {
    this.stop();
    this.held = { one, x: event.clientX, y: event.clientY };
    this.pointer = event.pointerId;
    this.view.surface.hold();
    this.view.surface.root.setPointerCapture(event.pointerId);
  }

  drag(event) {
    if (!this.now) {
      if (Math.hypot(event.clientX - this.held.x, event.clientY - this.held.y) < 4) return;
      this.take(this.held.one);
      this.start = this.pointing(this.view.surface.at({ clientX: this.held.x, clientY: this.held.y }));
    }
    const step = event.shiftKey ? FINE_DEG : STEP_DEG;
    const by = this.pointing(this.view.surface.at(event)) - this.start;
    this.set(Math.round((this.now.from + by) / step) * step);
    this.show(event.clientX, event.clientY);
  }

  pointing({ x, y }) {
    const [px, py] = this.now.pivot;
    return (Math.atan2(py - y, x - px) * 180) / Math.PI;
  }

  /** Turn to a direction on the board, 0 = right, anticlockwise. */
  set(deg) {
    const now = this.now;
    now.deg = ((deg % 360) + 360) % 360;
    const [x, y] = now.pivot;
    now.group.setAttribute("transform", `rotate(${now.from - now.deg} ${x} ${y})`);
    if (!now.bent) return;
    const { line } = now.one;
    const size = Math.hypot(line.at(-1)[0] - x, line.at(-1)[1] - y);
    const turn = (now.deg * Math.PI) / 180;
    this.view.scene.moveLine(now.one.key, [...line.slice(0, -1), [x + size * Math.cos(turn), y - size * Math.sin(turn)]]);
  }

  show(left, top) {
    const { readOut, surface } = this.view;
    const frame = surface.rect || surface.root.getBoundingClientRect();
    readOut.textContent = `${this.now.one.name}: ${Math.round(this.now.from * 10) / 10}° → ${Math.round(this.now.deg)}°`;
    readOut.hidden = false;
    readOut.style.transform = `translate(${Math.round(left - frame.left + 16)}px, ${Math.round(top - frame.top + 12)}px)`;
  }

  end(carry) {
    this.pointer = null;
    this.view.surface.letGo();
    if (carry && this.now) this.write();
    else this.stop();
  }

  write() {
    const { one, deg, from } = this.now;
    if (Math.abs(deg - from) < 0.05) return this.stop();
    this.leave();
    return this.view.fix(one, Math.round(deg * 10) / 10);
  }

  leave() {
    this.now = null;
    this.pointer = null;
    this.view.readOut.hidden = true;
    this.view.surface.letGo();
  }

  /** Leave everything as it was. */
  stop() {
    if (!this.now) return;
    this.leave();
    if (this.view.scene) this.view.draw(false);
  }

  key(event) {
    const by = { ArrowLeft: 1, ArrowUp: 1, ArrowRight: -1, ArrowDown: -1 }[event.key];
    const one = this.view.section;
    if (!one || event.target !== this.view.surface.root || event.ctrlKey || event.metaKey) return false;
    if (event.key === "Escape" && this.now) this.stop();
    else if (event.key === "Enter" && this.now) this.write();
    else if (by) {
      if (!this.now) this.take(one);
      this.set(this.now.deg + by * (event.shiftKey ? FINE_DEG : STEP_DEG));
      const frame = this.view.surface.root.getBoundingClientRect();
      this.show(frame.left, frame.top);
    } else return false;
    return true;
  }
}

/** Direction of a line's last piece, 0 = right, anticlockwise, as on the paper. */
export function angleOf(line) {
  const [x1, y1] = line.at(-2);
  const [x2, y2] = line.at(-1);
  return (((Math.atan2(y1 - y2, x2 - x1) * 180) / Math.PI) + 360) % 360;
}

/** A section with all beyond it, and what is drawn running beside it. */
function hanging(sections, one) {
  const found = new Set([one]);
  const riders = one.line.length > 2 ? [] : sections.filter((x) => x.inner === one.inner && x.line.length > 2 && x.beside.includes(one.name));
  const waiting = [one, ...riders];
  for (const here of waiting) {
    found.add(here);
    for (const x of sections) if (x.inner === here.outer && !found.has(x)) waiting.push(x);
  }
  return found;
}
