// Take in a table: devices and cavities, or a controller's pin list, from a file or pasted.
import { ask } from "./ask.js";
import { el, field, many } from "./make.js";
import { FILES, sheetsOf } from "./sheet_in.js";
import { send } from "./store.js";

/** Ask for a table, show what it would change, carry it out. */
export async function askTable(desk, device) {
  const file = el("input", { type: "file", accept: FILES });
  const text = el("textarea", { rows: 6, placeholder: "or paste rows here, the first one with headings: device, kind, cavity, circuit, amps …" });
  const of = el("input", { value: "", placeholder: device ? `e.g. ${device}` : "e.g. ECU.A" });
  const inside = [el("p.small", {}, "CSV or XLSX (its first sheet), or rows copied from a spreadsheet. Headings tell which column is what."), field("File", file), field("Rows", text), field("Only if it is the pin list of one plug: which", of)];
  if (await ask("Take in a table", inside, [["yes", "Show what it changes"]]) !== "yes") return;
  const raw = text.value.trim() || (file.files[0] ? await textOf(desk, file.files[0]) : "");
  if (!raw) return;
  try {
    const found = await send(`${desk.base}/take-in`, { text: raw, device: of.value.trim() });
    await confirm(desk, found);
  } catch (fault) {
    desk.say(fault.message, 8);
  }
}

/** A file's first sheet as text with tabs. */
async function textOf(desk, file) {
  const [first] = await sheetsOf(desk, file) || [];
  const cell = (one) => (/[\t\n"]/.test(one) ? `"${one.replaceAll('"', '""')}"` : one);
  return first ? first.rows.map((row) => row.map(cell).join("\t")).join("\n") : "";
}

async function confirm(desk, found) {
  const rows = found.rows.slice(0, 200).map((one) => el("tr", { class: one.outcome === "refused" ? "fault" : "" }, el("td", {}, one.row), el("td", {}, one.outcome), el("td", {}, one.what), el("td", {}, one.reason)));
  const table = el("div.scroll", {}, el("table", {}, el("thead", {}, el("tr", {}, ["row", "becomes", "what", "why"].map((x) => el("th", {}, x)))), el("tbody", {}, rows)));
  const pressed = await ask("What the table changes", [el("p", {}, `${many(found.edits.length, "change")}.`), table], found.edits.length ? [["yes", "Carry it out"]] : []);
  if (pressed === "yes") await desk.edit(found.edits, "table taken in");
}
