// Records: what was done last, what waits here, what can be lost, who works, look of the page.

import {judged} from "./reading.js";
import {apartNote, el} from "./parts.js";
import {loginPart} from "./enter.js";

const LATEST = 100;
const WORDS = {cut: "cut", marked: "marked", laid: "laid", spliced: "spliced", crimped: "crimped", inserted: "inserted", step: "step", pull: "pull", size: "size", trim: "trim", length: "length", test: "test", time: "time", note: "note"};

/** @param {import("./bench.js").Bench} bench @returns {Node[]} */
export function moreScreen(bench) {
  const {records, sending} = bench;
  const state = el("div", {class: "state"});
  const list = el("ul", {class: "rows log"});
  const showState = () => {
    const open = [...records.waiting.values()].filter((r) => !r.refused).length;
    const refused = [...records.byId.values()].filter((r) => r.refused);
    state.replaceChildren(...[
      el("p", {}, el("strong", {}, open ? `${open} records wait on this device.` : "Everything is sent.")),
      sending.line === "off" ? el("p", {class: "out"}, sending.why) : null,
      ...(sending.line === "login" ? loginPart(() => { sending.go(); bench.show(); }) : []),
      refused.length ? el("div", {class: "caution"}, el("strong", {}, "Refused by the program, kept here: "), ...refused.map((r) => el("p", {}, `${WORDS[r.what]} ${r.of} ${r.value} ${r.note}: ${r.refused}`))) : null,
    ].filter(Boolean));
  };
  const showList = () => list.replaceChildren(...records.ordered().reverse().slice(0, LATEST).map((r) => line(r, records.replaced.has(r.id))));
  showState();
  showList();
  bench.follow(showState);
  bench.follow(showList);
  return [
    el("h1", {}, "Records"),
    state,
    el("button", {type: "button", class: "filter", onclick: () => sending.go()}, "Send now"),
    differences(bench),
    losses(records.keeps),
    whoPart(bench),
    lookPart(bench),
    el("h2", {}, `Last ${LATEST} records`),
    list,
  ];
}

/** All things devices tell differently. */
function differences(bench) {
  const place = el("div", {});
  let shown = "";
  const show = () => {
    const things = bench.records.apart.map(([{what, of}]) => ({what, of}));
    const now = JSON.stringify(things);
    if (now === shown) return;
    shown = now;
    place.replaceChildren(...things.map((one) => apartNote(bench, one, `${WORDS[one.what]} ${one.of}`)));
  };
  show();
  bench.follow(show);
  return place;
}

function losses(keeps) {
  const words = keeps
    ? ["A tick is written to this device before it shows, and sent as soon as there is network, once. Sleep, a closed page or a dead battery lose nothing of it; it is sent when this page is opened again with network.",
      "Without network this page works as long as it stays open; closed or thrown out by the browser, it can't be opened again until the network is back.",
      "Lost is what was not sent yet when this browser's data are deleted, when the window is a private one and is closed, or when the device itself is lost or broken. A reading typed but not kept is lost, too. The times are those of this device's clock."]
    : ["This browser keeps nothing (a private window, or no room). Every tick is sent at once and counts only when it shows; without network nothing can be ticked."];
  return el("details", {class: "reel", open: !keeps}, el("summary", {}, el("h2", {}, "What can be lost")), ...words.map((one) => el("p", {}, one)));
}

function whoPart(bench) {
  const field = /** @type {HTMLInputElement} */ (el("input", {id: "initials", class: "value", maxlength: "12", value: bench.records.who, autocomplete: "off"}));
  field.addEventListener("change", () => bench.setWho(field.value.trim()));
  return el("p", {class: "ask"}, el("label", {for: "initials"}, "Initials at every tick"), field);
}

function lookPart(bench) {
  const looks = [["", "as the device"], ["light", "light"], ["dark", "dark"]];
  return el("fieldset", {}, el("legend", {}, "Look"), ...looks.map(([value, words]) =>
    el("label", {class: "choice"}, el("input", {type: "radio", name: "look", value, checked: bench.look === value, onchange: () => bench.setLook(value)}), words)));
}

function line(r, replaced) {
  const found = r.what === "test" || r.limits ? judged(r.value, r.limits) : "";
  const sign = found === "good" ? " ✓ good" : found === "out" ? " ✕ outside" : "";
  const text = [`${WORDS[r.what]} ${r.of}`, r.value === "done" ? "" : r.value, r.note].filter(Boolean).join(": ");
  return el("li", {class: replaced ? "replaced" : ""}, el("span", {class: "words"}, text, sign, el("small", {}, ` ${r.who}, ${r.when.slice(0, 16).replace("T", " ")}`, r.number ? "" : ", not sent yet", replaced ? ", replaced" : "")));
}
