// A surface to look at a large drawing on: zoom with wheel, pinch or keys, push it about, ask where a pointer is.
import { el } from "../desk/make.js";
import { svg } from "./draw.js";

const STEP = 1.25;
const NEAREST = 0.05; // mm a pixel
const FURTHEST = 40;
const NEAR_MM = 1.1; // mm a pixel below which all words are shown; ours
const MIDDLE_MM = 2.6;
const NAMES_X = 40; // pixels kept free for names
const NAMES_Y = 14;

/** A loom's box. */
export function around(loom) {
  const more = 0.01 * loom.wide_mm;
  return { x: -more, y: -more, wide: loom.wide_mm + 2 * more, high: loom.high_mm + 2 * more };
}

export class Surface {
  /**
   * @param {Element} place
   * @param {string} label what it shows, for screen readers
   * @param {() => void} [onzoom] called after the scale changed
   */
  constructor(place, label, onzoom = () => {}) {
    this.onzoom = onzoom;
    this.box = { x: 0, y: 0, wide: 100, high: 100 };
    this.whole = this.box;
    this.pointers = new Map();
    this.root = svg("svg.surface", { tabindex: "0", role: "group", "aria-label": label, preserveAspectRatio: "xMidYMid meet" });
    const press = (words, title, does) => el("button", { type: "button", title, "aria-label": title, onclick: does }, words);
    this.frame = el("div.surface-frame", {},
      el("div.surface-keys", {}, press("+", "Nearer", () => this.zoom(1 / STEP)), press("−", "Further", () => this.zoom(STEP)), press("Whole", "Show the whole loom", () => this.fit())));
    this.frame.prepend(this.root);
    place.append(this.frame);
    this.listen();
    this.watcher = new ResizeObserver(() => this.scaled());
    this.watcher.observe(this.root);
  }

  destroy() {
    this.watcher.disconnect();
    this.frame.remove();
  }

  /** Set what the whole is, and show it. */
  show(box) {
    this.whole = box;
    this.fit();
  }

  /** Show the whole drawing, with room for the names at its edges. */
  fit() {
    const { width, height } = this.root.getBoundingClientRect();
    const { x, y, wide, high } = this.whole;
    const mm = Math.max(wide / Math.max(1, width - 2 * NAMES_X), high / Math.max(1, height - 2 * NAMES_Y));
    const [left, top] = width > 3 * NAMES_X && height > 3 * NAMES_Y ? [NAMES_X * mm, NAMES_Y * mm] : [0, 0];
    this.look({ x: x - left, y: y - top, wide: wide + 2 * left, high: high + 2 * top });
  }

  look(box) {
    this.box = box;
    this.root.setAttribute("viewBox", `${box.x} ${box.y} ${box.wide} ${box.high}`);
    this.scaled();
  }

  /** Tell the styles how many mm a pixel is, so that words and handles keep their size. */
  scaled() {
    const { width, height } = this.root.getBoundingClientRect();
    if (!width || !height) return;
    const now = Math.max(this.box.wide / width, this.box.high / height);
    if (now === this.mm) return;
    this.mm = now;
    this.root.style.setProperty("--mm", `${now}px`);
    this.root.style.setProperty("--mm-plain", String(now));
    this.root.classList.toggle("near", now < NEAR_MM);
    this.root.classList.toggle("far", now >= MIDDLE_MM);
    this.onzoom();
  }

  /** Zoom by a factor, about a place in mm or the middle. */
  zoom(by, at = null) {
    const { x, y, wide, high } = this.box;
    const about = at || { x: x + wide / 2, y: y + high / 2 };
    const mm = Math.min(FURTHEST, Math.max(NEAREST, (this.mm || 1) * by));
    const share = mm / (this.mm || 1);
    this.look({ x: about.x - (about.x - x) * share, y: about.y - (about.y - y) * share, wide: wide * share, high: high * share });
  }

  /** Push what is shown by some pixels. */
  push(dx, dy) {
    this.look({ ...this.box, x: this.box.x - dx * this.mm, y: this.box.y - dy * this.mm });
  }

  /** Bring a place into view. */
  see(x, y) {
    const b = this.box;
    if (x > b.x && x < b.x + b.wide && y > b.y && y < b.y + b.high) return;
    this.look({ ...b, x: x - b.wide / 2, y: y - b.high / 2 });
  }

  /** Where a pointer is, in mm of the drawing. */
  at(event) {
    const frame = this.rect || this.root.getBoundingClientRect();
    const left = (frame.width - this.box.wide / this.mm) / 2;
    const top = (frame.height - this.box.high / this.mm) / 2;
    return { x: this.box.x + (event.clientX - frame.left - left) * this.mm, y: this.box.y + (event.clientY - frame.top - top) * this.mm };
  }

  /** Remember where the surface lies while something is dragged, so that no frame has to ask for it. */
  hold() {
    this.rect = this.root.getBoundingClientRect();
  }

  letGo() {
    this.rect = null;
  }

  listen() {
    this.root.addEventListener("wheel", (event) => {
      if (!event.ctrlKey && !this.root.contains(document.activeElement)) return; // the page scrolls until the drawing is pressed
      event.preventDefault();
      this.zoom(event.deltaY > 0 ? STEP : 1 / STEP, this.at(event));
    }, { passive: false });
    this.root.addEventListener("pointerdown", (event) => {
      if (event.defaultPrevented) return;
      this.pointers.set(event.pointerId, event);
      this.root.setPointerCapture(event.pointerId);
    });
    this.root.addEventListener("pointermove", (event) => this.moved(event));
    for (const name of ["pointerup", "pointercancel"]) this.root.addEventListener(name, (event) => this.pointers.delete(event.pointerId));
    this.root.addEventListener("keydown", (event) => this.key(event));
  }

  moved(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const others = [...this.pointers.values()].filter((one) => one.pointerId !== event.pointerId);
    if (others.length === 1) {
      const size = (one) => Math.hypot(one.clientX - others[0].clientX, one.clientY - others[0].clientY) || 1;
      this.zoom(size(before) / size(event), this.at(others[0]));
    } else if (!others.length) {
      this.push(event.clientX - before.clientX, event.clientY - before.clientY);
    }
    this.pointers.set(event.pointerId, event);
  }

  key(event) {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
    const does = { "+": () => this.zoom(1 / STEP), "=": () => this.zoom(1 / STEP), "-": () => this.zoom(STEP), 0: () => this.fit() };
    const push = { ArrowLeft: [60, 0], ArrowRight: [-60, 0], ArrowUp: [0, 60], ArrowDown: [0, -60] }[event.key];
    if (does[event.key]) does[event.key]();
    else if (push && event.target === this.root) this.push(...push);
    else return;
    event.preventDefault();
  }
}
