// Job & shop: what stands on every sheet, and how this shop builds; every default shows where it comes from.
import { give, values } from "./entry.js";
import { library } from "./library.js";
import { choice, el, field, figure, fill } from "./make.js";

const HEAD = [["title", "Title, on every sheet", 34], ["car", "Car", 20], ["customer", "Customer", 20], ["revision", "Revision", 6]];
const LISTS = { sleeve: "sleeves", branch_cover: "branch_covers", wire_family: "wire_families", instrument: "instruments" };
const CLOSED = { lay: ["straight", "concentric"], covering: ["sleeve", "braid", "convoluted tube", "tape", "none"] };

export function mount(place, desk) {
  const head = el("div.row");
  const shop = el("div.scroll");
  place.append(el("div.stack", {}, el("h2", {}, "Job & shop"), el("section.sheet.stack", {}, el("h3", {}, "Job"), head),
    el("section.sheet.stack", {}, el("h3", {}, "How this shop builds"), el("p.small", {}, "Left empty, the default holds. Its mark says how far to trust it."), shop)));
  let known = null;

  function number(path, typed) {
    const value = typed.trim() === "" ? "" : Number(typed.replace(",", "."));
    if (Number.isNaN(value)) desk.say(`"${typed}" is no number.`);
    else desk.edit(give(desk, path, value), path.join(" "));
  }

  function showHead() {
    const held = values(desk).job || {};
    const text = ([key, words, size]) => field(words, el("input", { value: held[key] ?? "", size, data: { key }, onchange: (event) => desk.edit(give(desk, ["job", key], event.target.value.trim()), key) }));
    const pick = (key, words, options) => field(words, choice(held[key] ?? "", ["", ...options], { data: { key }, onchange: (event) => desk.edit(give(desk, ["job", key], event.target.value), key) }));
    const of = (path, words) => field(words, el("input", { value: figure(values(desk)[path[0]]?.[path[1]], 4), size: 7, inputmode: "decimal", data: { key: path[1] }, onchange: (event) => number(path, event.target.value) }));
    keep(head, HEAD.map(text), pick("level", "Level of build", known?.levels || []), pick("paper", "Paper", ["A4", "Letter"]), of(["job", "volts"], "Volts, engine running"), of(["supply", "ohm"], "Battery and cables, ohm"));
  }

  function showShop() {
    if (!known) return;
    const held = values(desk).shop || {};
    keep(shop, el("table", {}, el("thead", {}, el("tr", {}, ["key", "yours", "default", "where it comes from"].map((x) => el("th", {}, x)))),
      el("tbody", {}, known.shop.map((one) => el("tr", {}, el("td", {}, words(one.key)), el("td", {}, input(one, held[one.key])), el("td", {}, one.number ? figure(one.default, 4) : one.default), el("td.small", {}, one.mark))))));
  }

  function input(one, value) {
    const path = ["shop", one.key];
    const data = { key: one.key };
    const label = words(one.key);
    const closed = CLOSED[one.key] || known[LISTS[one.key]];
    if (closed) return choice(value ?? "", ["", ...closed], { data, "aria-label": label, onchange: (event) => desk.edit(give(desk, path, event.target.value), label) });
    const shown = Array.isArray(value) ? value.join(", ") : one.number ? figure(value, 4) : value ?? "";
    const write = (typed) => {
      if (one.number) number(path, typed);
      else desk.edit(give(desk, path, one.list && typed ? typed.split(",").map((x) => x.trim()).filter(Boolean) : typed), label);
    };
    return el("input", { value: shown, data, "aria-label": label, inputmode: one.number ? "decimal" : null, onchange: (event) => write(event.target.value.trim()) });
  }

  const update = (names) => { if (names.has("file")) { showHead(); showShop(); } };
  update(new Set(["file"]));
  library().then((found) => { known = found; update(new Set(["file"])); });
  return { update, destroy() {} };
}

/** Fill a place again; the field in use keeps its focus. */
function keep(place, ...inside) {
  const key = place.contains(document.activeElement) ? document.activeElement.dataset.key : "";
  fill(place, ...inside);
  if (key) place.querySelector(`[data-key="${key}"]`)?.focus();
}

const words = (key) => key.replace(/_mm$/, ", mm").replaceAll("_", " ");
