// Findings: all of them, faults first; mend, accept, go to the place.
import { cards } from "./cards.js";
import { el, fill, many } from "./make.js";

const KINDS = [["fault", "Faults"], ["caution", "Cautions"], ["note", "Notes"], ["accepted", "Accepted"]];

export function mount(place, desk) {
  const shown = new Set(["fault", "caution", "accepted"]);
  const list = el("div.stack");
  const ticks = el("div.row", { role: "group", "aria-label": "Which findings" });
  place.append(el("div.stack", {}, el("h2", {}, "Findings"), ticks, list));

  const kind = (one) => (one.accepted ? "accepted" : one.severity);
  function show() {
    const all = desk.slices.findings;
    fill(ticks, KINDS.map(([name, words]) => {
      const count = all.filter((one) => kind(one) === name).length;
      const flip = () => { if (!shown.delete(name)) shown.add(name); show(); };
      return el("button", { type: "button", "aria-pressed": String(shown.has(name)), onclick: flip, class: name }, `${shown.has(name) ? "☑" : "☐"} ${words} ${count}`);
    }));
    const found = all.filter((one) => shown.has(kind(one)));
    const faults = all.filter((one) => kind(one) === "fault").length;
    const head = faults ? `${many(faults, "fault")} stand${faults === 1 ? "s" : ""} in the way; the sheets they touch are stamped NOT FOR BUILD.` : "No fault stands in the way.";
    fill(list, el("p.say", {}, head), cards(desk, found));
  }
  show();
  return { update: (names) => { if (names.has("findings")) show(); }, destroy() {} };
}
