// Both faces of a plug, wire side and mating side: press a cavity and its wire is lit everywhere.
import { el, fill } from "../desk/make.js";
import { drawingOf, outlineOf, withLook } from "./draw.js";

/**
 * @param {Element} place
 * @param {import("../desk/store.js").Store} desk
 * @param {string} end the plug's end name, "ECU.A"
 */
export function mount(place, desk, end) {
  withLook();
  return new Face(place, desk, end);
}

class Face {
  constructor(place, desk, end) {
    this.desk = desk;
    this.cells = [];
    this.box = el("div.stack");
    place.append(this.box);
    this.unlit = desk.lit.subscribe(() => this.light());
    this.go(end);
  }

  destroy() {
    this.gone = true;
    this.unlit();
    this.box.remove();
  }

  /** Show another plug. */
  go(end) {
    this.end = end || this.end;
    return this.fetch();
  }

  update(changed) {
    const names = new Set(changed);
    if (["devices", "wires", "circuits", "file"].some((name) => names.has(name))) this.fetch();
  }

  async fetch() {
    const end = this.end;
    try {
      const found = await this.desk.fetch(`face/${encodeURIComponent(end)}`);
      if (!this.gone && end === this.end) this.draw(found);
    } catch (fault) {
      if (!this.gone) fill(this.box, el("p", {}, fault.message));
    }
  }

  draw(face) {
    this.cells = [];
    this.face = face;
    const sides = face.sides.map((side, n) => this.side(face, side, n === 0));
    const none = face.sides.length ? null : el("p.hint", {}, "No face is known for this plug, so it is shown as a list. Give it a face, or describe its own in the job.");
    const doubt = face.sides.length && !face.checked ? el("p.small", {}, "Nobody has held this face against the numbers in the plug yet.") : null;
    fill(this.box, none, el("div.faces", {}, sides), doubt, this.said = el("p.small", { role: "status" }, "Press a cavity: its wire is lit everywhere."));
    this.light();
  }

  side(face, side, first) {
    const drawn = drawingOf(side, `${face.end}, ${side.caption}`);
    const cells = side.cavities.map((one, n) => {
      const told = face.cavities.find((x) => x.cavity === one.id);
      const cell = outlineOf(one.outline, {
        class: "cell", role: "button", tabindex: n ? "-1" : "0", "aria-label": words(told), "aria-pressed": "false", "data-pin": told.pin,
        onclick: () => this.press(told, cell), onkeydown: (event) => this.key(event, cells, n, told),
      });
      this.cells.push([told, cell]);
      return cell;
    });
    for (const cell of cells) drawn.append(cell);
    return el("figure", { "aria-label": `${side.caption}${first ? ", where the wires go in" : ""}` }, drawn);
  }

  key(event, cells, n, told) {
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      this.press(told, cells[n]);
      return;
    }
    const next = { ArrowRight: n + 1, ArrowLeft: n - 1, Home: 0, End: cells.length - 1 }[event.key] ?? nearest(event.key, cells, n);
    if (next === null || !cells[next]) return;
    event.preventDefault();
    cells[n].setAttribute("tabindex", "-1");
    cells[next].setAttribute("tabindex", "0");
    cells[next].focus();
  }

  press(told) {
    this.said.textContent = words(told);
    this.desk.lit.toggle({ kind: "cavity", key: told.pin });
  }

  light() {
    for (const [told, cell] of this.cells) {
      const lit = this.desk.lit.has("cavity", told.pin) || told.wires.some((x) => this.desk.lit.has("wire", x.label));
      cell.classList.toggle("lit", lit);
      cell.setAttribute("aria-pressed", String(lit));
    }
  }
}

/** What sits in a cavity, in words. */
function words(told) {
  if (!told.circuit) return `Cavity ${told.cavity}: empty`;
  const wires = told.wires.map((x) => [x.label, x.colour_words, x.size ? `${x.size} ${x.system}` : "", x.to ? `to ${x.to}` : ""].filter(Boolean).join(", "));
  return `Cavity ${told.cavity}: ${told.circuit}${told.words ? `, ${told.words}` : ""}${wires.length ? `; ${wires.join("; ")}` : "; no wire yet"}`;
}

/** The nearest cavity above or below. */
function nearest(key, cells, n) {
  const way = { ArrowUp: -1, ArrowDown: 1 }[key];
  if (!way) return null;
  const place = (cell) => { const b = cell.getBBox(); return [b.x + b.width / 2, b.y + b.height / 2]; };
  const [x, y] = place(cells[n]);
  let best = null;
  cells.forEach((cell, k) => {
    const [cx, cy] = place(cell);
    const far = Math.abs(cx - x) + Math.abs(cy - y);
    if ((cy - y) * way > 0.5 && (!best || far < best.far)) best = { k, far };
  });
  return best ? best.k : null;
}
