// Find by name or by the code on a label: the page of a device, the row of a wire, the steps at a splice or point.

import {el, extras, tick, say} from "./parts.js";
import * as kept from "./kept.js";
import {ask} from "./sending.js";
import {hashOf} from "./build.js";

/** @param {import("./bench.js").Bench} bench @param {string} wanted @returns {Node[]} */
export function findScreen(bench, wanted) {
  const field = /** @type {HTMLInputElement} */ (el("input", {id: "find", class: "value", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", value: wanted, enterkeyhint: "search"}));
  const place = el("div", {class: "found"});
  const form = el("form", {class: "pair", onsubmit: (e) => {
    e.preventDefault();
    const name = nameOf(bench, field.value);
    if (name) location.hash = `#find=${encodeURIComponent(name)}`;
  }}, field, el("button", {class: "keep"}, "Find"));
  if (wanted) found(bench, wanted, place);
  else place.append(el("ul", {class: "rows"}, ...bench.job.devices.map((d) => el("li", {}, el("a", {class: "step", href: `#find=${encodeURIComponent(d.name)}`}, el("span", {class: "words"}, d.title))))));
  return [
    el("h1", {}, "Find"),
    el("label", {for: "find"}, "Name or label code: INJ1, ECU.A, W12, SP3, B2; a scanner types it by itself"),
    form, codePhoto(bench), place,
  ].filter(Boolean);
}

/** What a code or a name means in this job; "" with words where it is another job's. */
function nameOf(bench, text) {
  const code = /^LW1:([0-9A-F]{6}):(.+)$/i.exec(text.trim());
  if (!code) return text.trim();
  if (code[1].toUpperCase() !== bench.job.mark) {
    say("That label belongs to another job.");
    location.href = `/d/${encodeURIComponent(text.trim())}`;
    return "";
  }
  return code[2];
}

/** A photo of the code is read on this device; no camera stream is open to plain http. */
function codePhoto(bench) {
  const file = /** @type {HTMLInputElement} */ (el("input", {type: "file", accept: "image/*", capture: "environment", class: "hidden", "aria-label": "Photo of a label's code"}));
  file.addEventListener("change", async () => {
    const photo = file.files?.[0];
    file.value = "";
    if (!photo) return;
    try {
      const {codeIn} = await import("./code.js");
      const text = await codeIn(photo);
      const name = text && nameOf(bench, text);
      if (name) location.hash = `#find=${encodeURIComponent(name)}`;
      else if (!text) say("No code was found in the photo. Hold it flat, the code as wide as half the picture.");
    } catch (fault) {
      say(`The photo can't be read: ${fault.message}`);
    }
  });
  return el("div", {}, el("button", {type: "button", class: "filter", onclick: () => file.click()}, "Read a code by photo"), file);
}

async function found(bench, wanted, place) {
  const upper = wanted.toUpperCase();
  const {job} = bench;
  const device = job.devices.find((d) => d.name.toUpperCase() === upper || d.name.toUpperCase() === upper.split(".")[0]);
  const wires = job.cut_list.flatMap((reel) => reel.rows.map((row) => ({reel, row})));
  const wire = wires.find(({row}) => row.wire.toUpperCase() === upper);
  if (device) place.append(...await devicePart(bench, device));
  if (wire) place.append(...wirePart(bench, wire));
  const word = new RegExp(`(^|[^\\w.])${upper.replace(/[^\w]/g, "\\$&")}($|[^\\w])`, "i");
  const steps = job.steps.filter((s) => word.test(`${s.key} ${s.words} ${s.items.join(" ")}`));
  if (steps.length) {
    place.append(el("h2", {}, "Its steps"), el("ul", {class: "rows"}, ...steps.slice(0, 40).map((s) => el("li", {}, el("a", {class: "step", href: hashOf(s)}, el("span", {class: "words"}, el("strong", {}, `${s.number} `), s.words, bench.records.isDone("step", s.key) ? " ✓" : ""))))));
  }
  if (!device && !wire && !steps.length) place.append(el("p", {}, `Nothing here is called ${wanted}.`));
}

function wirePart(bench, {reel, row}) {
  return [
    el("h2", {}, `${row.wire} · ${row.circuit}`),
    el("p", {class: "big"}, `${row.mm} mm, ${row.colour}`),
    el("p", {}, `${row.a} to ${row.b}; trim ${row.trims}. ${reel.title}`),
    tick(bench, {what: "cut", of: row.wire}, "cut"), tick(bench, {what: "marked", of: row.wire}, "marked"),
    extras(bench, row.wire, row.wire),
  ];
}

/** The page as it is now; without network as this device fetched it last. */
async function devicePart(bench, device) {
  let page, old = false;
  try {
    page = await ask(`${bench.sending.path}/device/${encodeURIComponent(device.name)}`);
  } catch (fault) {
    page = (await kept.one("settings", [bench.records.job, "devices"]))?.[device.name];
    old = true;
    if (!page) return [el("h2", {}, device.title), el("p", {}, `${fault.message} This device has not fetched the page before.`)];
  }
  return [
    el("h2", {}, page.title),
    old ? el("p", {class: "place"}, "As last fetched by this device.") : null,
    ...page.stamps.map((one) => el("p", {class: "stop"}, one)),
    ...page.blocks.map(block),
    extras(bench, device.name, device.name),
  ].filter(Boolean);
}

function block(one) {
  switch (one.kind) {
    case "heading": return el("h3", {}, one.text);
    case "paragraph": return el("p", {}, one.text);
    case "facts": return el("dl", {}, ...one.pairs.flatMap(([name, value]) => [el("dt", {}, name), el("dd", {}, value)]));
    case "figures": return el("div", {class: "figures"}, ...one.figures.map((f) => el("figure", {}, el("img", {src: `data:image/svg+xml;charset=utf-8,${encodeURIComponent(f.svg)}`, alt: f.words, width: f.width, height: f.height}), el("figcaption", {}, f.words))));
    default: return el("div", {class: "wide", tabindex: "0", role: "region", "aria-label": one.title || "Table"}, el("table", {}, one.title ? el("caption", {}, one.title) : null,
      el("thead", {}, el("tr", {}, ...one.heads.map((h) => el("th", {scope: "col"}, h)))),
      el("tbody", {}, ...one.rows.map((r) => el("tr", {}, ...r.map((c, n) => el(n ? "td" : "th", n ? {} : {scope: "row"}, c)))))), one.note ? el("p", {class: "detail"}, one.note) : null);
  }
}
