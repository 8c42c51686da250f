// Rows of a CSV or XLSX file into a table: which column is what, what it would change, then carried out.
import { ask, changeWords } from "./ask.js";
import { choice, el, field, fill, many, tick } from "./make.js";
import { fetchJson } from "./store.js";

const SHOWN = 6;
const LOOKED_AT = 15;
const MOST_ROWS = 200;
export const FILES = ".csv,.txt,.tsv,.xlsx";

/** The sheets of a file, or null where it can't be read (which is said). @param {File} file */
export async function sheetsOf(desk, file) {
  try {
    const found = await fetchJson(`${desk.base}/sheets`, { method: "POST", headers: { "content-type": "application/octet-stream" }, body: file });
    return found.sheets.filter((one) => one.rows.length);
  } catch (fault) {
    desk.say(fault.status ? fault.message : "The program does not answer; the file was not read.", 8);
    return null;
  }
}

/** A button that takes a file's rows into a grid. @param {import("./grid.js").Grid} grid */
export function sheetButton(grid) {
  const file = el("input", { type: "file", accept: FILES, hidden: true, tabindex: "-1", "aria-label": `File for ${grid.wants.title}`, onchange: async () => {
    const [chosen] = file.files;
    if (chosen) await takeFile(grid, chosen);
    file.value = "";
  } });
  return el("div.row", {}, file, el("button.quiet.small", { type: "button", onclick: () => file.click() }, "Rows from a CSV or XLSX file …", el("span.unseen", {}, ` into ${grid.wants.title}`)));
}

async function takeFile(grid, file) {
  const sheets = await sheetsOf(grid.desk, file);
  if (!sheets) return;
  if (!sheets.length) return void grid.desk.say(`There is nothing in ${file.name}.`);
  const chosen = await askColumns(grid, sheets, file.name);
  if (chosen) await askRows(grid, chosen, file.name);
}

/** Columns of a grid that can be given by a file. */
const given = (grid) => grid.wants.columns.filter((one) => one.kind !== "shown" && (one.write || grid.wants.add || grid.known().includes(one)));

const plain = (text) => String(text).toLowerCase().replace(/[^\p{L}\p{N}]+/gu, " ").trim();

/** The row with the headings, and for every column of the grid which of the file's it is; without headings as they stand. */
export function headings(columns, rows) {
  const found = rows.slice(0, LOOKED_AT).map((row) => columns.map((one) => row.findIndex((cell) => cell && [plain(one.title), plain(one.key)].includes(plain(cell)))));
  const scores = found.map((at) => at.filter((x) => x >= 0).length);
  const best = scores.indexOf(Math.max(...scores));
  if (scores[best] >= Math.min(2, columns.length)) return { row: best, at: found[best] };
  return { row: -1, at: columns.map((_, n) => n) };
}

async function askColumns(grid, sheets, name) {
  const columns = given(grid);
  const which = choice("0", sheets.map((one, n) => [String(n), `${one.name || "sheet"}: ${many(one.rows.length, "row")}`]));
  const headed = el("input", { type: "checkbox" });
  const place = el("div.stack");
  let picks = [];
  let from = 0;
  const show = () => {
    const sheet = sheets[Number(which.value)];
    const { row, at } = headings(columns, sheet.rows);
    const width = Math.max(...sheet.rows.map((one) => one.length));
    from = Math.max(row, 0);
    headed.checked = row >= 0;
    const heads = Array.from({ length: width }, (_, n) => [String(n), `${letter(n)}: ${(sheet.rows[from][n] || "–").slice(0, 30)}`]);
    picks = columns.map((_, n) => choice(at[n] >= 0 && at[n] < width ? String(at[n]) : "", [["", "not in the file"], ...heads]));
    const told = [sheet.formulas ? `${many(sheet.formulas, "cell")} with a formula: the value stored last counts, nothing is worked out.` : "", sheet.cut ? "Only the first rows and columns are read." : ""].filter(Boolean).join(" ");
    fill(place, el("div.row", {}, columns.map((one, n) => field(one.title, picks[n]))),
      el("div.scroll", {}, el("table", {}, el("tbody", {}, sheet.rows.slice(from, from + SHOWN).map((one, n) => el("tr", {}, el("th", { scope: "row" }, from + n + 1), Array.from({ length: width }, (_, x) => el("td", {}, one[x] || ""))))))), told ? el("p.small", {}, told) : null);
  };
  which.addEventListener("change", show);
  show();
  const inside = [sheets.length > 1 ? field("Sheet", which) : null, place, tick("the first of these rows are headings", headed)].filter(Boolean);
  if (await ask(`${name}: which column is what`, inside, [["yes", "Show what it changes"]]) !== "yes") return null;
  const start = from + (headed.checked ? 1 : 0);
  const at = picks.map((one) => (one.value === "" ? -1 : Number(one.value)));
  return { columns, rows: sheets[Number(which.value)].rows.slice(start).map((cells, n) => ({ number: start + n + 1, typed: at.map((x) => (x < 0 ? null : cells[x] || "")) })) };
}

const letter = (n) => (n < 26 ? String.fromCharCode(65 + n) : letter(Math.floor(n / 26) - 1) + letter(n % 26));

async function askRows(grid, { columns, rows }, name) {
  const edits = [];
  const told = rows.filter((one) => one.typed.some(Boolean)).map((one) => ({ ...one, ...grid.rowAsEdits(columns, one.typed) }));
  const twice = new Set();
  for (const one of told) {
    if (one.key && twice.has(one.key)) Object.assign(one, { add: false, edits: [], becomes: "refused", why: "named a second time" });
    if (one.key) twice.add(one.key);
  }
  let added = 0;
  for (const one of told) edits.push(...(one.add ? one.edits(added++) : one.edits));
  const lines = told.slice(0, MOST_ROWS).map((one) => el("tr", { class: one.becomes === "refused" ? "fault" : "" }, el("td", {}, one.number), el("td", {}, one.becomes), el("td", {}, one.typed.filter(Boolean).join(" · ")), el("td", {}, one.why || "")));
  const table = el("div.scroll.short", {}, el("table", {}, el("thead", {}, el("tr", {}, ["row", "becomes", "what", "why"].map((x) => el("th", {}, x)))), el("tbody", {}, lines)));
  const found = edits.length ? await grid.desk.preview(edits) : null;
  if (edits.length && !found) return;
  const count = (word) => told.filter((one) => one.becomes === word).length;
  const inside = [el("p", {}, ["added", "changed", "already so", "refused"].map((word) => `${count(word)} ${word}`).join(", ")), table, ...(found ? changeWords(found, edits) : [])];
  if (await ask(`${grid.wants.title}: what ${name} changes`, inside, edits.length ? [["yes", "Carry it out"]] : []) === "yes") await grid.desk.edit(edits, `${grid.wants.title} from ${name}`);
}
