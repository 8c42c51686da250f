// Cut list: reel by reel, each wire a row to tick as cut and as marked; the real length where it differs.

import {askFor, cautions, el, entry, extras, tick} from "./parts.js";

/** @param {import("./bench.js").Bench} bench @returns {Node[]} */
export function cutScreen(bench) {
  const {job} = bench;
  const open = el("button", {type: "button", class: "filter", "aria-pressed": "false"}, "Only what is open");
  const reels = job.cut_list.map((reel) => reelPart(bench, reel));
  open.addEventListener("click", () => {
    const on = open.getAttribute("aria-pressed") !== "true";
    open.setAttribute("aria-pressed", String(on));
    document.body.classList.toggle("only-open", on);
  });
  if (!reels.length) return [el("h1", {}, "Cut list"), el("p", {}, "There is nothing to cut yet. The job is entered at the desk.")];
  return [
    el("h1", {}, "Cut list"),
    ...cautions(job.cut_cautions),
    el("p", {}, "Cut reel by reel, number both ends before the wire leaves the bench. Trim is in the length already."),
    open,
    ...reels,
  ];
}

function reelPart(bench, reel) {
  const {records} = bench;
  const count = el("span", {class: "count"});
  const rows = reel.rows.map((row) => wireRow(bench, row));
  const part = el("details", {class: "reel"}, el("summary", {}, el("h2", {}, reel.title), count), el("ul", {class: "rows"}, ...rows));
  const show = () => {
    const done = reel.rows.filter((r) => records.isDone("cut", r.wire) && records.isDone("marked", r.wire)).length;
    count.textContent = `${done} of ${reel.rows.length}`;
    part.classList.toggle("whole", done === reel.rows.length);
  };
  show();
  bench.follow(show);
  part.open = reel.rows.some((r) => !records.isDone("cut", r.wire)) && bench.job.cut_list.length < 8;
  return part;
}

function wireRow(bench, row) {
  const {records} = bench;
  const line = el("li", {class: "wire", id: `wire-${row.wire}`});
  const length = el("span", {class: "big"}, `${row.mm} mm`);
  const from = el("small", {}, `${row.colour} · ${row.a} to ${row.b} · trim ${row.trims}`);
  line.append(
    tick(bench, {what: "cut", of: row.wire}, row.wire, " ", length, el("br"), from),
    tick(bench, {what: "marked", of: row.wire}, "marked"),
    el("button", {type: "button", class: "more", "aria-label": `More about ${row.wire}`, onclick: () => wireMore(bench, row)}, "⋯"),
  );
  const show = () => line.classList.toggle("whole", records.isDone("cut", row.wire) && records.isDone("marked", row.wire));
  show();
  bench.follow(show);
  return line;
}

/** @param {import("./bench.js").Bench} bench */
export function wireMore(bench, row) {
  const asked = {what: "length", of: row.wire, words: `${row.wire} as cut`, unit: "mm", should: `${row.mm} mm by the list`, limits: ""};
  return askFor(`${row.wire}, ${row.circuit}`, [entry(bench, asked), extras(bench, row.wire, row.wire)], [["Close", null]]);
}
