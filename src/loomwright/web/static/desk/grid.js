// A table to enter into: arrows, Enter, Tab, typing, paste from a spreadsheet, a last row to add one.
import { el, fill, valueAt } from "./make.js";
import { sheetButton } from "./sheet_in.js";

/**
 * @typedef {object} Column
 * @property {string} key
 * @property {string} title
 * @property {"text"|"number"|"flag"|"shown"} [kind] "shown" can't be entered
 * @property {string[]|(() => string[])} [choices] offered while typing
 * @property {boolean} [long] holds long rows of words
 * @property {(row: any) => any} read value shown and edited
 * @property {(row: any, value: any) => import("./store.js").Edit[]} [write] edits that set it
 * @property {(row: any) => Node|string} [show] another look than the value's text
 */

/**
 * @typedef {object} Wants
 * @property {string} title what the table holds, read out by screen readers
 * @property {Column[]} columns
 * @property {(row: any) => string} id stable name of a row
 * @property {(values: Record<string, any>, rows: any[], nth: number) => import("./store.js").Edit[]|null} [add] edits that add a row; null = not yet enough
 * @property {string[]} [known] columns a row of a file is known by
 * @property {(row: any) => boolean} [blank] whether a row is shown and not there yet
 * @property {(row: any) => import("./store.js").Edit[]} [remove] edits that take a row away
 * @property {(row: any|null) => void} [chosen] called when the active row changes
 * @property {(row: any) => {kind: string, key: string}|null} [lit] what a row lights when it is active
 * @property {string} [words] how an edit is called in the log
 */

let grids = 0;

export class Grid {
  /** @param {HTMLElement} place @param {import("./store.js").Store} desk @param {Wants} wants */
  constructor(place, desk, wants) {
    this.desk = desk;
    this.wants = wants;
    this.name = `grid${++grids}`;
    this.rows = [];
    this.draft = {};
    this.at = { row: 0, column: 0 };
    this.editing = null;
    this.adding = null;
    this.body = el("tbody");
    const heads = wants.columns.map((one) => el("th", { scope: "col", class: one.kind === "number" ? "number" : "" }, one.title));
    this.table = el("table.grid", { role: "grid", "aria-label": wants.title }, el("thead", {}, el("tr", { role: "row" }, heads)), this.body);
    this.lists = el("div", { hidden: true });
    const writes = wants.add || wants.columns.some((one) => one.write);
    place.append(el("div.scroll", {}, this.table), writes ? sheetButton(this) : "", this.lists);
    this.table.addEventListener("keydown", (event) => this.pressed(event));
    this.table.addEventListener("focusin", (event) => this.focused(event));
    this.table.addEventListener("dblclick", (event) => { if (event.target.closest("td")) this.begin(); });
    this.table.addEventListener("paste", (event) => this.paste(event));
    this.table.addEventListener("copy", (event) => this.copy(event));
    this.unlit = desk.lit.subscribe(() => this.markLit());
  }

  destroy() {
    this.unlit();
  }

  /** Show rows; what is being typed stays. @param {any[]} rows */
  update(rows) {
    this.rows = rows;
    if (this.editing) {
      this.late = true;
      return;
    }
    const had = this.table.contains(document.activeElement);
    this.at.row = Math.min(this.at.row, this.last());
    fill(this.body, rows.map((row, n) => this.line(row, n)), this.wants.add ? this.newLine() : null);
    this.markLit();
    if (had) this.focus(this.at.row, this.at.column, false);
  }

  last() {
    return this.rows.length - (this.wants.add ? 0 : 1);
  }

  line(row, n) {
    return el("tr", { role: "row", data: { row: n } }, this.wants.columns.map((one, c) => this.cell(one, row, n, c)));
  }

  cell(column, row, n, c) {
    const shown = column.show ? column.show(row) : text(column, column.read(row));
    const fixed = !column.write;
    const active = n === this.at.row && c === this.at.column;
    return el("td", { role: "gridcell", tabIndex: active ? 0 : -1, class: [column.kind === "number" && "number", fixed && "fixed", column.long && "long"].filter(Boolean).join(" "),
      "aria-readonly": fixed ? "true" : null, data: { column: c } }, shown);
  }

  newLine() {
    const n = this.rows.length;
    const cells = this.wants.columns.map((one, c) => {
      const held = this.draft[one.key];
      return el("td", { role: "gridcell", tabIndex: n === this.at.row && c === this.at.column ? 0 : -1, data: { column: c } },
        held === undefined ? (c === 0 ? "+ new" : "") : text(one, held));
    });
    return el("tr.new", { role: "row", data: { row: n } }, cells);
  }

  markLit() {
    if (!this.wants.lit) return;
    for (const line of this.body.rows) {
      const row = this.rows[Number(line.dataset.row)];
      const thing = row && this.wants.lit(row);
      line.classList.toggle("lit", Boolean(thing && this.desk.lit.has(thing.kind, thing.key)));
    }
  }

  td(row, column) {
    return this.body.rows[row]?.cells[column];
  }

  focus(row, column, scroll = true) {
    const cell = this.td(row, column);
    if (!cell) return;
    cell.focus({ preventScroll: !scroll });
  }

  focused(event) {
    const cell = event.target.closest("td");
    if (!cell) return;
    const row = Number(cell.parentElement.dataset.row);
    const moved = row !== this.at.row || this.shown !== this.rows[row];
    const old = this.td(this.at.row, this.at.column);
    if (old) old.tabIndex = -1;
    this.at = { row, column: Number(cell.dataset.column) };
    cell.tabIndex = 0;
    if (moved && !this.editing) this.choose(row);
  }

  choose(row) {
    this.shown = this.rows[row];
    for (const line of this.body.rows) line.classList.toggle("chosen", Number(line.dataset.row) === row && row < this.rows.length);
    this.wants.chosen?.(this.rows[row] || null);
  }

  /** Make the row of a name the active one. */
  goTo(id, focus = true) {
    const n = this.rows.findIndex((row) => this.wants.id(row) === id);
    if (n < 0) return false;
    this.at = { row: n, column: 0 };
    this.update(this.rows);
    this.choose(n);
    this.td(n, 0)?.scrollIntoView({ block: "nearest" });
    if (focus) this.focus(n, 0);
    return true;
  }

  pressed(event) {
    if (this.editing) return;
    const { row, column } = this.at;
    const moves = { ArrowUp: [row - 1, column], ArrowDown: [row + 1, column], ArrowLeft: [row, column - 1], ArrowRight: [row, column + 1],
      Home: [row, 0], End: [row, this.wants.columns.length - 1], PageUp: [Math.max(0, row - 15), column], PageDown: [Math.min(this.last(), row + 15), column] };
    if (moves[event.key] && !event.ctrlKey && !event.metaKey && !event.altKey) {
      event.preventDefault();
      this.focus(...moves[event.key]);
    } else if (event.key === "Enter" || event.key === "F2") {
      event.preventDefault();
      this.begin();
    } else if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      if (event.ctrlKey || event.metaKey) this.removeRow(row);
      else this.commit(row, column, "");
    } else if (event.key === "l" && event.altKey) {
      event.preventDefault();
      this.light(row);
    } else if (event.key === " " && this.wants.columns[column].kind === "flag") {
      event.preventDefault();
      this.begin();
    } else if (event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) {
      event.preventDefault();
      this.begin(event.key);
    }
  }

  light(row) {
    const thing = this.rows[row] && this.wants.lit?.(this.rows[row]);
    if (thing) this.desk.lit.toggle(thing);
  }

  removeRow(row) {
    if (this.rows[row] && this.wants.remove) this.desk.edit(this.wants.remove(this.rows[row]), `${this.wants.words || this.wants.title}: taken away`);
  }

  value(row, column) {
    const one = this.wants.columns[column];
    return row < this.rows.length ? one.read(this.rows[row]) : this.draft[one.key];
  }

  /** Begin to type in the active cell. @param {string} [typed] what was typed instead of what is there */
  begin(typed) {
    const { row, column } = this.at;
    const one = this.wants.columns[column];
    if (row < this.rows.length && !one.write || row === this.rows.length && one.kind === "shown") return;
    if (one.kind === "flag") {
      this.commit(row, column, this.value(row, column) ? "no" : "yes");
      return;
    }
    const cell = this.td(row, column);
    const input = el("input", { type: "text", value: typed ?? text(one, this.value(row, column)), "aria-label": one.title, list: this.offer(one),
      autocomplete: "off", spellcheck: "false", inputmode: one.kind === "number" ? "decimal" : null });
    this.editing = { row, column, input };
    cell.append(input);
    input.focus();
    if (typed === undefined) input.select();
    input.addEventListener("keydown", (event) => this.typed(event));
    input.addEventListener("blur", () => { if (this.editing?.input === input) this.end(true); });
  }

  offer(column) {
    const choices = typeof column.choices === "function" ? column.choices() : column.choices;
    if (!choices?.length) return null;
    const id = `${this.name}-${column.key}`;
    this.lists.querySelector(`#${id}`)?.remove();
    this.lists.append(el("datalist", { id }, choices.map((one) => el("option", { value: one }))));
    return id;
  }

  typed(event) {
    event.stopPropagation();
    if (event.key === "Escape") {
      event.preventDefault();
      this.end(false);
    } else if (event.key === "Enter") {
      event.preventDefault();
      this.end(true, 1, 0);
    } else if (event.key === "Tab") {
      event.preventDefault();
      this.end(true, 0, event.shiftKey ? -1 : 1);
    }
  }

  /** End typing. @param {boolean} keep @param {number} down @param {number} right where to go then */
  end(keep, down = 0, right = 0) {
    const { row, column, input } = this.editing;
    const value = input.value;
    const was = text(this.wants.columns[column], this.value(row, column));
    const inside = document.activeElement === input;
    this.editing = null;
    input.remove();
    if (this.late) {
      this.late = false;
      this.update(this.rows);
    }
    const added = row === this.rows.length;
    if (keep && value.trim() !== was) this.commit(row, column, value);
    if (inside) this.step(row, column, added && down ? 0 : down, right);
  }

  step(row, column, down, right) {
    const wide = this.wants.columns.length;
    let to = column + right;
    let line = row + down;
    if (to >= wide) { to = 0; line += 1; }
    if (to < 0) { to = wide - 1; line -= 1; }
    this.focus(Math.max(0, Math.min(line, this.last())), to);
  }

  commit(row, column, typed) {
    const one = this.wants.columns[column];
    const value = meant(one, typed);
    if (value === undefined) {
      this.desk.say(`${one.title}: "${typed}" is no number.`);
      return;
    }
    if (row >= this.rows.length && this.adding) {
      this.adding.then(() => this.commit(row, column, typed)); // it belongs to the row that is on its way
    } else if (row >= this.rows.length) {
      this.draft[one.key] = value;
      this.addDraft();
    } else if (one.write) {
      const edits = one.write(this.rows[row], value);
      if (edits.length) this.desk.edit(edits, `${this.wants.words || this.wants.title}: ${one.title}`);
    }
  }

  async addDraft() {
    const edits = this.wants.add(this.draft, this.rows, 0);
    if (!edits) {
      this.update(this.rows);
      return;
    }
    const held = this.draft;
    this.draft = {};
    this.adding = this.desk.edit(edits, `${this.wants.words || this.wants.title}: added`);
    const done = await this.adding;
    this.adding = null;
    if (done) return;
    this.draft = { ...held, ...this.draft }; // refused: what was typed stays
    this.update(this.rows);
  }

  copy(event) {
    if (this.editing) return;
    event.preventDefault();
    event.clipboardData.setData("text/plain", text(this.wants.columns[this.at.column], this.value(this.at.row, this.at.column)));
  }

  /** Take in a block from a spreadsheet, from the active cell to the right and down; rows beyond the last are added. */
  paste(event) {
    if (this.editing) return;
    event.preventDefault();
    const block = cells(event.clipboardData.getData("text/plain"));
    const edits = [];
    const faults = [];
    block.forEach((line, down) => edits.push(...this.pasted(line, this.at.row + down, faults)));
    if (faults.length) this.desk.say(faults.slice(0, 3).join(" "));
    else if (edits.length) this.desk.edit(edits, `${this.wants.words || this.wants.title}: ${block.length} rows pasted`);
  }

  pasted(line, row, faults) {
    const values = {};
    line.forEach((typed, right) => {
      const one = this.wants.columns[this.at.column + right];
      if (!one || one.kind === "shown") return;
      const value = meant(one, typed);
      if (value === undefined) faults.push(`${one.title}: "${typed}" is no number.`);
      else values[one.key] = value;
    });
    if (row >= this.rows.length) return this.wants.add?.(values, this.rows, row - this.rows.length) || [];
    return this.written(this.rows[row], values);
  }

  /** Edits that give a row values; a name comes last, since the paths of the others hold it. */
  written(row, values) {
    if (this.wants.blank?.(row)) return this.wants.add({ ...row, ...values }, this.rows, 0) || [];
    let held = row;
    const edits = [];
    for (const one of [...this.wants.columns].sort((a, b) => (a.key === "name") - (b.key === "name"))) {
      if (!(one.key in values) || !one.write) continue;
      edits.push(...one.write(held, values[one.key]));
      if (one.key !== "name") held = { ...held, [one.key]: values[one.key] };
    }
    return edits;
  }

  /** What a row of a file becomes: of one with its name edits, else a function of how many were added before; refused with why. */
  rowAsEdits(columns, typed) {
    const values = {};
    for (const [n, one] of columns.entries()) {
      if (typed[n] === null || typed[n] === "") continue;
      const value = meant(one, typed[n]);
      if (value === undefined) return { edits: [], becomes: "refused", why: `${one.title}: "${typed[n]}" is no number` };
      values[one.key] = value;
    }
    const keys = this.known();
    if (keys.some((one) => !(one.key in values))) return { edits: [], becomes: "refused", why: `no ${keys.map((one) => one.title).join(", ")}` };
    const key = keys.map((one) => String(values[one.key])).join("\n");
    const there = this.rows.find((row) => keys.map((one) => text(one, one.read(row))).join("\n") === key);
    if (there) {
      const edits = this.written(there, values).filter((one) => !this.held(one));
      return { key, edits, becomes: edits.length ? "changed" : "already so" };
    }
    if (!this.wants.add?.(values, this.rows, 0)) return { key, edits: [], becomes: "refused", why: this.wants.add ? "too little is told to add it" : "there is none of that name" };
    return { key, add: true, edits: (nth) => this.wants.add(values, this.rows, nth), becomes: "added" };
  }

  /** Columns a row of a file is known by: those named for it, the first ones that are not written, or the first. */
  known() {
    const { columns, known } = this.wants;
    if (known) return columns.filter((one) => known.includes(one.key));
    const written = columns.findIndex((one) => one.write || one.kind === "shown");
    return columns.slice(0, Math.max(1, written));
  }

  held(edit) {
    return edit.verb === "set" && JSON.stringify(valueAt(this.desk.slices.file.values, edit.path)) === JSON.stringify(edit.value);
  }
}

/** Rows and cells of copied text: tabs between cells, quotes around cells with line ends. */
export function cells(pasted) {
  const rows = [[]];
  const matches = pasted.replace(/\r\n?/g, "\n").replace(/\n$/, "").matchAll(/(?:"((?:[^"]|"")*)"|([^\t\n]*))(\t|\n|$)/g);
  for (const [whole, quoted, plain, end] of matches) {
    if (!whole && !end && rows.at(-1).length) break;
    rows.at(-1).push((quoted === undefined ? plain : quoted.replaceAll('""', '"')).trim());
    if (end === "\n") rows.push([]);
    else if (end === "") break;
  }
  return rows;
}

function text(column, value) {
  if (value === null || value === undefined) return "";
  if (column.kind === "flag") return value ? "✓ yes" : "";
  return String(value);
}

/** What was typed as a value; "" = nothing is given; undefined = it is none. */
function meant(column, typed) {
  const plain = String(typed).trim();
  if (column.kind === "flag") return /^(y|yes|x|1|true|✓.*)$/i.test(plain);
  if (column.kind !== "number" || plain === "") return plain;
  const number = Number(plain.replace(/\s|mm$|A$/g, "").replace(",", "."));
  return Number.isFinite(number) ? number : undefined;
}
