// The run over a photo of the bay: points tapped, the way of each section drawn, by finger, mouse or in figures.
import { values } from "./entry.js";
import { choice, el, field, fill, put, remove, set } from "./make.js";
import { fetchJson } from "./store.js";

const SVG = "http://www.w3.org/2000/svg";
const WIDE = 1000;
const LONG_SIDE = 2400; // pixels a photo is brought down to, upright and without what the phone writes into it
const STILL = 4; // of WIDE: less is a tap, not a drag

/** @typedef {[number, number]} Spot shares of width from the left, of height from the top */

const svg = (tag, props = {}, ...inside) => {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(props)) made.setAttribute(name, String(value));
  made.append(...inside);
  return made;
};

const share = (value) => Math.round(Math.min(1, Math.max(0, value)) * 10000) / 10000;

export class RunPhoto {
  /** @param {HTMLElement} place @param {any} desk @param {(key: string) => void} choose tells that a section was chosen here */
  constructor(place, desk, choose) {
    Object.assign(this, { desk, choose, name: "", tool: "", points: {}, lines: {}, pending: 0, drag: null, ratio: 0.75 });
    this.bar = el("div.row");
    this.img = el("img", { alt: "", draggable: "false", onload: () => this.draw() });
    this.over = svg("svg", { "aria-hidden": "true" });
    this.stage = el("div.run-photo", { hidden: true }, this.img);
    this.stage.append(this.over);
    this.figures = el("div.two");
    for (const [name, does] of [["pointerdown", "down"], ["pointermove", "move"], ["pointerup", "up"]]) this.over.addEventListener(name, (event) => this[does](event));
    this.over.addEventListener("pointercancel", () => { this.drag = null; this.load(); });
    place.append(el("section.sheet.stack", { "aria-label": "Run on a photo" }, el("h3", {}, "On a photo"),
      el("p.small", {}, "Choose a point or a section, then tap where it is; drag what sits wrong. The figures below do the same. The route sheet prints it; nothing is measured from it."), this.bar, this.stage, this.figures));
    this.watch = new ResizeObserver(() => { if (!this.drag) this.draw(); });
    this.watch.observe(this.stage);
    this.load();
  }

  destroy() {
    this.watch.disconnect();
  }

  photos() {
    const held = values(this.desk).photo || {};
    return Object.keys(held).filter((name) => held[name] && typeof held[name] === "object");
  }

  held() {
    return values(this.desk).photo?.[this.name] || {};
  }

  sections() {
    return this.desk.slices.tree.flatMap((tree) => tree.sections);
  }

  names() {
    return [...new Set(this.sections().flatMap((one) => [one.inner, one.outer]))];
  }

  lineKey(one) {
    const twice = this.sections().some((x) => x.name === one.name && x.key !== one.key);
    return one.key in this.lines || (twice && !(one.name in this.lines)) ? one.key : one.name;
  }

  /** The section that is being drawn. */
  section() {
    return this.tool.startsWith("section ") ? this.sections().find((one) => `section ${one.key}` === this.tool) : undefined;
  }

  update() {
    if (!this.pending && !this.drag) this.load();
  }

  /** Take what the job file says. */
  load() {
    const names = this.photos();
    if (!names.includes(this.name)) this.name = names[0] || "";
    const held = this.held();
    const sound = (one) => Array.isArray(one) && one.length === 2 && one.every((x) => typeof x === "number");
    this.points = Object.fromEntries(Object.entries(held.points || {}).filter(([, one]) => sound(one)));
    this.lines = Object.fromEntries(Object.entries(held.lines || {}).filter(([, one]) => Array.isArray(one) && one.every(sound)));
    const tools = [...this.names().map((one) => `point ${one}`), ...this.sections().map((one) => `section ${one.key}`)];
    if (!tools.includes(this.tool)) this.tool = this.nextPoint() || tools[0] || "";
    this.show();
  }

  nextPoint() {
    const left = this.names().find((one) => !(one in this.points));
    return left ? `point ${left}` : "";
  }

  pick(key) {
    if (this.tool === `section ${key}`) return;
    this.tool = `section ${key}`;
    this.show();
  }

  show() {
    this.showBar();
    const src = this.name ? `${this.desk.base}/run-photo/${encodeURIComponent(this.name)}?file=${encodeURIComponent(this.held().file || "")}` : "";
    if (src && this.img.getAttribute("src") !== src) this.img.setAttribute("src", src);
    this.img.alt = this.held().words || `photo ${this.name}`;
    this.stage.hidden = this.figures.hidden = !this.name;
    this.draw();
    this.showFigures();
  }

  showBar() {
    const at = this.bar.contains(document.activeElement) ? document.activeElement.dataset.key : "";
    const input = el("input", { type: "file", accept: "image/png,image/jpeg", data: { key: "file" }, onchange: (event) => this.putIn(event.target.files[0]) });
    const inside = [field(this.name ? "put another photo in" : "put a photo in", input)];
    if (this.name) {
      const tools = [...this.names().map((one) => [`point ${one}`, `point ${one}${one in this.points ? " ✓" : ""}`]), ...this.sections().map((one) => [`section ${one.key}`, `way of ${one.name}${this.lineKey(one) in this.lines ? " ✓" : ""}`])];
      inside.unshift(field("photo", choice(this.name, this.photos(), { data: { key: "photo" }, onchange: (event) => { this.name = event.target.value; this.tool = ""; this.load(); } })),
        field("tap", choice(this.tool, tools, { data: { key: "tap" }, onchange: (event) => this.take(event.target.value) })),
        field("what it shows", el("input", { value: this.held().words || "", data: { key: "words" }, onchange: (event) => this.save([set(["photo", this.name, "words"], event.target.value.trim())]) })));
      inside.push(el("button", { type: "button", onclick: () => this.save([remove(["photo", this.name])]) }, "take the photo out"));
    }
    fill(this.bar, ...inside);
    if (at) this.bar.querySelector(`[data-key="${at}"]`)?.focus();
  }

  take(tool) {
    this.tool = tool;
    this.show();
    const one = this.section();
    if (one) this.choose(one.key);
  }

  /** Bring a photo down to size, upright, and keep it. */
  async putIn(file) {
    if (!file) return;
    try {
      if (["image/jpeg", "image/png"].includes(file.type)) await fetchJson(`${this.desk.base}/photo/look`, { method: "POST", headers: { "content-type": file.type }, body: file });
      const picture = await createImageBitmap(file);
      const scale = Math.min(1, LONG_SIDE / Math.max(picture.width, picture.height));
      const canvas = el("canvas", { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((on) => { canvas.toBlob(on, "image/jpeg", 0.86); });
      const { photo } = await fetchJson(`${this.desk.base}/photo`, { method: "POST", headers: { "content-type": "image/jpeg" }, body: blob });
      const names = this.photos();
      let name = "bay";
      for (let n = 2; names.includes(name); n += 1) name = `bay${n}`;
      if (await this.save([set(["photo", name], { file: `photos/${photo}` })])) {
        this.name = name;
        this.tool = "";
        this.load();
      }
    } catch (fault) {
      this.desk.say(fault.status ? fault.message : "That is no photo the browser can read; take a PNG or JPEG.");
    }
  }

  async save(edits) {
    this.pending += 1;
    const done = await this.desk.edit(edits, "photo of the run");
    this.pending -= 1;
    if (!this.pending) this.load();
    return done;
  }

  /** Write one point or line as it is here; the whole table where there is none yet. */
  write(table, key) {
    const path = ["photo", this.name, table];
    const here = this[table];
    const there = this.held()[table];
    if (!(key in here)) return there && key in there ? this.save([remove([...path, key])]) : this.load();
    return this.save([there ? set([...path, key], here[key]) : set(path, here)]);
  }

  at([x, y]) {
    return [x * WIDE, y * WIDE * this.ratio];
  }

  /** The spots of a section's way, points tapped at its ends. */
  way(one) {
    return [this.points[one.inner], ...(this.lines[this.lineKey(one)] || []), this.points[one.outer]].filter(Boolean);
  }

  draw() {
    const { width, height } = this.img.getBoundingClientRect(); // as shown: what a file says of turning it is not followed, as on paper
    if (width && height) this.ratio = Math.round((height / width) * 1000) / 1000;
    this.over.setAttribute("viewBox", `0 0 ${WIDE} ${WIDE * this.ratio}`);
    const chosen = this.section();
    const marks = [];
    const words = [];
    this.unit = WIDE / (this.over.clientWidth || WIDE);
    for (const one of this.sections()) {
      const drawn = this.lineKey(one) in this.lines;
      const way = this.way(one);
      if (way.length < 2 || (!drawn && !(one.inner in this.points && one.outer in this.points))) continue;
      const points = way.map((spot) => this.at(spot).join(",")).join(" ");
      marks.push(svg("polyline", { class: "halo", points }), svg("polyline", { class: `way${drawn ? "" : " undrawn"}${one === chosen ? " chosen" : ""}`, points, "data-section": one.name }));
    }
    if (chosen) (this.lines[this.lineKey(chosen)] || []).forEach((spot, nth) => marks.push(...this.handle(spot, "corner", { "data-corner": nth })));
    for (const name of this.names().filter((one) => one in this.points)) {
      const [x, y] = this.at(this.points[name]);
      const [left, low] = [x > 0.8 * WIDE, y < 24 * this.unit];
      words.push(svg("text", { x: x + (left ? -13 : 13) * this.unit, y: y + (low ? 22 : -9) * this.unit, "text-anchor": left ? "end" : "start", "font-size": 16 * this.unit }, name));
      marks.push(...this.handle(this.points[name], `point ${name}` === this.tool ? "tap chosen" : "tap", { "data-point": name }));
    }
    this.over.replaceChildren(...marks, ...words);
  }

  handle(spot, name, data) {
    const [cx, cy] = this.at(spot);
    const reach = (matchMedia("(pointer: coarse)").matches ? 22 : 12) * this.unit;
    return [svg("circle", { class: name, cx, cy, r: 7 * this.unit, ...data }), svg("circle", { class: "reach", cx, cy, r: reach, ...data })];
  }

  spot(event) {
    const box = this.over.getBoundingClientRect();
    return [share((event.clientX - box.left) / box.width), share((event.clientY - box.top) / box.height)];
  }

  down(event) {
    if (event.button) return;
    const { point, corner } = event.target.dataset || {};
    const one = this.section();
    const what = point ? { table: "points", key: point } : corner !== undefined && one ? { table: "lines", key: this.lineKey(one), nth: Number(corner) } : null;
    this.drag = { what, from: this.spot(event), moved: false };
    if (what) this.over.setPointerCapture(event.pointerId);
  }

  move(event) {
    if (!this.drag) return;
    const to = this.spot(event);
    const far = Math.hypot(to[0] - this.drag.from[0], (to[1] - this.drag.from[1]) * this.ratio) * WIDE;
    if (far > STILL) this.drag.moved = true;
    const { what } = this.drag;
    if (!what || !this.drag.moved) return;
    if (what.table === "points") this.points = { ...this.points, [what.key]: to };
    else this.lines = { ...this.lines, [what.key]: this.lines[what.key].map((spot, nth) => (nth === what.nth ? to : spot)) };
    this.draw();
  }

  up(event) {
    const { drag } = this;
    this.drag = null;
    if (!drag) return;
    if (!drag.what && !drag.moved) this.tap(this.spot(event));
    else if (drag.what && drag.moved) this.write(drag.what.table, drag.what.key);
    else if (drag.what?.table === "points" && !this.section()) this.take(`point ${drag.what.key}`);
  }

  tap(spot) {
    const one = this.section();
    if (one) {
      const key = this.lineKey(one);
      this.lines = { ...this.lines, [key]: [...(this.lines[key] || []), spot] };
      this.show();
      this.write("lines", key);
    } else if (this.tool) {
      const name = this.tool.slice("point ".length);
      this.points = { ...this.points, [name]: spot };
      this.tool = this.nextPoint() || this.tool;
      this.show();
      this.write("points", name);
    }
  }

  showFigures() {
    const active = document.activeElement;
    const inside = this.figures.contains(active);
    if (inside && active.tagName === "INPUT" && active.value !== active.defaultValue) return;
    const at = inside ? active.dataset.key : "";
    fill(this.figures, this.pointFigures(), this.lineFigures());
    if (at) [...this.figures.querySelectorAll("[data-key]")].find((one) => one.dataset.key === at)?.focus();
  }

  pointFigures() {
    const known = this.names();
    const lost = Object.keys(this.points).filter((name) => !known.includes(name));
    const rows = [...known, ...lost].map((name) => this.row(lost.includes(name) ? `${name} (not in the loom)` : name, this.points[name], (spot) => {
      this.points = { ...this.points, [name]: spot };
      return this.write("points", name);
    }, () => {
      this.points = Object.fromEntries(Object.entries(this.points).filter(([one]) => one !== name));
      return this.write("points", name);
    }));
    const keys = this.sections().map((one) => this.lineKey(one));
    const strange = Object.keys(this.lines).filter((key) => !keys.includes(key));
    return put(this.table("Points on the photo", rows), strange.map((key) => el("button", { type: "button", onclick: () => {
      this.lines = Object.fromEntries(Object.entries(this.lines).filter(([one]) => one !== key));
      this.write("lines", key);
    } }, `take the way ${key} off: no such section`)));
  }

  lineFigures() {
    const one = this.section();
    if (!one) return el("p.hint", {}, "Choose the way of a section under \"tap\" to draw it corner by corner.");
    const key = this.lineKey(one);
    const corners = this.lines[key] || [];
    const give = (list) => {
      this.lines = { ...this.lines, [key]: list };
      return this.write("lines", key);
    };
    const rows = corners.map((spot, nth) => this.row(`corner ${nth + 1}`, spot, (to) => give(corners.map((x, n) => (n === nth ? to : x))), () => give(corners.filter((_, n) => n !== nth))));
    const last = corners.at(-1) || this.points[one.inner] || [0.5, 0.5];
    const next = this.points[one.outer] || [0.5, 0.5];
    const buttons = el("div.row", {}, el("button", { type: "button", data: { key: "add" }, onclick: () => give([...corners, [share((last[0] + next[0]) / 2), share((last[1] + next[1]) / 2)]]) }, "add a corner"),
      key in this.lines ? el("button", { type: "button", data: { key: "wipe" }, onclick: () => {
        this.lines = Object.fromEntries(Object.entries(this.lines).filter(([x]) => x !== key));
        this.write("lines", key);
      } }, "wipe the way") : el("button", { type: "button", data: { key: "straight" }, onclick: () => give([]) }, "it runs straight"));
    return put(this.table(`Way of ${one.name}, from ${one.inner}`, rows), buttons);
  }

  table(title, rows) {
    return el("div.stack", {}, el("div.scroll", {}, el("table", { "aria-label": title }, el("caption", {}, title), el("thead", {}, el("tr", {}, ["", "from left, %", "from top, %", ""].map((x) => el("th", { scope: "col" }, x)))), el("tbody", {}, rows))));
  }

  /** One spot in figures; a new one is taken once both are typed. */
  row(name, spot, give, wipe) {
    const typed = () => inputs.map((one) => (one.value.trim() === "" ? NaN : Number(one.value.replace(",", ".")) / 100));
    const changed = () => {
      const to = typed();
      if (to.every((x) => x >= 0 && x <= 1)) give(to.map(share));
      else if (spot || inputs.every((one) => one.value.trim())) this.desk.say("A place on the photo is 0 to 100 % from the left and from the top.");
    };
    const inputs = [0, 1].map((n) => el("input", { value: spot ? String(Number((spot[n] * 100).toFixed(2))) : "", size: 6, inputmode: "decimal", "aria-label": `${name}, ${n ? "from top" : "from left"}, %`, data: { key: `${name} ${n}` }, onchange: changed }));
    for (const one of inputs) one.setAttribute("value", one.value);
    return el("tr", {}, el("td", {}, name), inputs.map((one) => el("td", {}, one)), el("td", {}, spot ? el("button.quiet", { type: "button", "aria-label": `take ${name} off`, onclick: wipe }, "take off") : ""));
  }
}
