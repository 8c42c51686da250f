// Dialogs: a question, a form, what an edit would change, two versions of a changed value.
import { SIGN, el, figure, fill, many } from "./make.js";

/**
 * Show a dialog and wait for what was pressed; Escape and "Leave" give null.
 * @param {string} title @param {Node[]} inside @param {[string, string][]} buttons value and words, the first is the main one
 * @returns {Promise<string|null>}
 */
export function ask(title, inside, buttons = [["yes", "Do it"]]) {
  return new Promise((done) => {
    const box = el("dialog", { "aria-label": title });
    const close = (value) => { box.close(); box.remove(); done(value); };
    const form = el("form", { onsubmit: (event) => { event.preventDefault(); if (form.reportValidity()) close(buttons[0]?.[0] ?? null); } },
      el("h2", {}, title), ...inside,
      el("div.row.end", {},
        el("button", { type: "button", onclick: () => close(null) }, buttons.length ? "Leave it" : "Close"),
        ...buttons.slice(1).map(([value, words]) => el("button", { type: "button", onclick: () => close(value) }, words)),
        buttons.length ? el("button.main", { type: "submit" }, buttons[0][1]) : null));
    box.append(form);
    box.addEventListener("cancel", (event) => { event.preventDefault(); close(null); });
    document.body.append(box);
    box.showModal();
    (form.querySelector("[autofocus], input, select, textarea") || form.querySelector("button.main"))?.focus();
  });
}

/** Show what edits would change, and carry them out when told to. */
export async function askChange(desk, edits, words) {
  const found = await desk.preview(edits);
  if (!found) return false;
  const pressed = await ask(words, changeWords(found, edits), [["yes", "Carry it out"]]);
  return pressed === "yes" ? Boolean(await desk.edit(edits, words)) : false;
}

/** What a preview says, as paragraphs and lists. */
export function changeWords(found, edits) {
  const parts = [el("h3", {}, "In the job file"), el("ul", {}, edits.slice(0, 30).map((one) => el("li", {}, editWords(one))))];
  parts.push(el("h3", {}, "Findings"));
  if (!found.go.length && !found.come.length) parts.push(el("p", {}, "None goes, none comes."));
  for (const one of found.go) parts.push(el("p.good", {}, el("span.sign", {}, `${SIGN.good} goes: `), `${one.code} ${one.place}. ${one.what_is}`));
  for (const one of found.come) parts.push(el("p", { class: one.severity }, el("span.sign", {}, `${SIGN[one.severity]} comes: `), `${one.code} ${one.place}. ${one.what_is}`));
  const counts = countWords(found.counts);
  if (counts.length || found.wires.length) parts.push(el("h3", {}, "Figures"));
  if (counts.length) parts.push(el("p", {}, counts.join(" · ")));
  if (found.wires.length) parts.push(wireTable(found));
  return parts;
}

function countWords({ now, then }) {
  return Object.keys(now).filter((key) => now[key] !== then[key]).map((key) => `${key}: ${figure(now[key])} → ${figure(then[key])}`);
}

function wireTable(found) {
  const cell = (one) => (one ? `${figure(one.cut_mm)} mm, ${one.size}` : "–");
  const body = found.wires.map((one) => el("tr", {}, el("td", {}, one.wire), el("td", {}, cell(one.now)), el("td", {}, cell(one.then))));
  const more = found.more_wires ? el("p.small", {}, `and ${many(found.more_wires, "wire")} more`) : null;
  return el("div.scroll", {}, el("table", {}, el("thead", {}, el("tr", {}, ["wire", "now", "then"].map((x) => el("th", {}, x)))), el("tbody", {}, body)), more);
}

/** An edit in words. */
export function editWords(one) {
  const path = one.path.join(" › ");
  if (one.verb === "remove") return `take away ${path}`;
  if (one.verb === "rename") return `${path} is called ${one.value} from now on`;
  return `${path} = ${typeof one.value === "string" ? `"${one.value}"` : JSON.stringify(one.value)}`;
}

/** Show what was wanted beside what is there now; "mine" = write it all the same. */
export function askClash(said) {
  const show = (value) => (value === null || value === undefined ? "nothing" : typeof value === "string" ? value : JSON.stringify(value));
  const rows = said.clashes.map((one) => el("tr", {}, el("td", {}, one.path.join(" › ")), el("td", {}, show(one.now)), el("td", {}, show(one.wanted))));
  const table = el("table", {}, el("thead", {}, el("tr", {}, ["where", "there now", "yours"].map((x) => el("th", {}, x)))), el("tbody", {}, rows));
  return ask("Changed meanwhile", [el("p", {}, said.say), rows.length ? table : null, el("p.small", {}, "Nothing was written. Both are shown here; what you leave is not kept.")].filter(Boolean),
    [["mine", "Write mine"], ["copy", "Copy mine"]]);
}

/** Say something in passing; read out by screen readers. */
export function say(words, seconds = 4) {
  let place = document.querySelector(".words");
  if (!place) document.body.append(place = el("div.words", { role: "status", "aria-live": "polite" }));
  fill(place, words);
  place.hidden = false;
  clearTimeout(Number(place.dataset.timer));
  place.dataset.timer = String(setTimeout(() => { place.hidden = true; }, seconds * 1000));
}
