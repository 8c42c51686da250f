// Search for any wire, cavity, device, circuit, section, splice: words in any order, Enter goes there.
import { el, fill } from "./make.js";

const MOST = 14;

/** Everything that can be found. */
export function index(slices) {
  const found = [];
  const add = (kind, key, words, screen, more = "") => found.push({ kind, key, words, screen, more, text: `${key} ${words} ${more}`.toLowerCase() });
  for (const device of slices.devices) {
    add("device", device.name, device.words, "devices", device.is);
    for (const connector of device.connectors) {
      if (connector.name) add("end", connector.end, device.words, "devices", "plug");
      for (const pin of connector.pins) add("cavity", pin.id, pin.circuit, "devices", pin.words);
    }
  }
  for (const circuit of slices.circuits) add("circuit", circuit.name, circuit.kind, "circuits");
  for (const wire of slices.wires) add("wire", wire.label, `${wire.circuit}: ${wire.a.name} – ${wire.b.name}`, "circuits", `${wire.colour} ${wire.size}`);
  for (const splice of slices.splices) add("splice", splice.name, splice.circuit, "plan", "splice");
  for (const tree of slices.tree) {
    for (const section of tree.sections) add("section", section.key, `${Math.round(section.mm)} mm`, "bundles", "section");
    for (const point of tree.branch_points) add("point", point, `branch point of ${tree.loom}`, "plan");
  }
  return found;
}

/** The best places for words, exact keys first. */
export function search(all, typed) {
  const words = typed.toLowerCase().split(/\s+/).filter(Boolean);
  if (!words.length) return [];
  const rank = (one) => (one.key.toLowerCase() === words[0] ? 0 : one.key.toLowerCase().startsWith(words[0]) ? 1 : 2);
  return all.filter((one) => words.every((word) => one.text.includes(word))).sort((a, b) => rank(a) - rank(b)).slice(0, MOST);
}

/** The search field of the desk. */
export function searchField(desk) {
  const input = el("input", { type: "search", placeholder: "Find a wire, cavity, device, circuit", "aria-label": "Find a wire, cavity, device, circuit", role: "combobox", "aria-expanded": "false",
    "aria-controls": "found", autocomplete: "off", spellcheck: "false" });
  const list = el("ul.found", { id: "found", role: "listbox", "aria-label": "Found", hidden: true });
  let hits = [];
  let at = 0;
  function go(hit) {
    list.hidden = true;
    input.value = "";
    desk.lit.set({ kind: hit.kind, key: hit.key });
    desk.go(hit.screen, hit.key);
  }
  function show() {
    fill(list, hits.map((hit, n) => el("li", { role: "option", id: `found-${n}`, "aria-selected": String(n === at), onmousedown: (event) => { event.preventDefault(); go(hit); } },
      el("span", {}, el("strong", {}, hit.key), " ", hit.words), el("small", {}, hit.kind))));
    if (input.value.trim() && !hits.length) fill(list, el("li", { role: "option", "aria-selected": "false" }, "Nothing of that name."));
    list.hidden = !input.value.trim();
    input.setAttribute("aria-expanded", String(!list.hidden));
    input.setAttribute("aria-activedescendant", hits.length ? `found-${at}` : "");
  }
  input.addEventListener("input", () => { hits = search(index(desk.slices), input.value); at = 0; show(); });
  input.addEventListener("blur", () => { list.hidden = true; });
  input.addEventListener("keydown", (event) => {
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      at = Math.max(0, Math.min(hits.length - 1, at + (event.key === "ArrowDown" ? 1 : -1)));
      show();
    } else if (event.key === "Enter" && hits[at]) go(hits[at]);
    else if (event.key === "Escape") { input.value = ""; show(); input.blur(); }
  });
  return { node: el("div.search", {}, input, list), focus: () => input.focus() };
}
