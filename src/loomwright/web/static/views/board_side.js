// Beside the board: a section's direction typed, fixed with a reason, or let go.
import { el, field, figure, many } from "../desk/make.js";
import { angleOf } from "./turning.js";

/** @param {import("./board.js").BoardView} view @returns {Node[]} */
export function boardSide(view, one) {
  return one ? section(view, one) : whole(view);
}

function whole(view) {
  const { loom } = view;
  const fixed = loom.sections.filter((x) => x.fixed);
  return [
    el("h2", {}, `Board of ${loom.loom}`),
    el("p", {}, `${figure(loom.wide_mm / 1000, 2)} by ${figure(loom.high_mm / 1000, 2)} m at full size. ${loom.crossings ? crossingWords(loom) : "Nothing crosses."}`),
    el("p.hint", {}, "Press a section, or choose it above the board, then drag it or type its direction."),
    fixed.length ? el("h3", {}, "Fixed by you") : null,
    fixed.length ? el("ul.plain-list", {}, fixed.map((x) => el("li", {}, el("button.quiet", { type: "button", onclick: () => view.choose(x.key, true) }, `${x.name} ${figure(angleOf(x.line), 0)}°`), el("span.small", {}, ` ${x.reason}`)))) : null,
  ].filter(Boolean);
}

/** Why something crosses. */
export function crossingWords(loom) {
  const fixed = loom.sections.some((x) => x.fixed);
  return `${many(loom.crossings, "crossing")}: ${fixed ? "the others can't give way to what you fixed. Turn that, or let it find its place" : "turn what is in the way"}.`;
}

function section(view, one) {
  const now = angleOf(one.line);
  const deg = el("input", { type: "number", required: true, min: -360, max: 360, step: "any", value: figure(now, 1) });
  const reason = el("input", { maxlength: 200, value: one.reason, placeholder: "why" });
  const form = el("form.stack", { "aria-label": "Direction on the board", onsubmit: (event) => { event.preventDefault(); if (form.reportValidity()) view.fix(one, Number(deg.value), reason.value.trim()); } },
    el("div.row", {}, field("Direction, °", deg), field("Reason", reason)),
    el("p.small", {}, "0 = right, 90 = up on the paper."),
    el("div.row", {}, el("button.main", { type: "submit" }, "Fix it"), one.fixed ? el("button", { type: "button", onclick: () => view.letGo(one) }, "Let it find its place") : null));
  return [
    el("h2", {}, `Section ${one.name}`),
    el("p", {}, `${figure(one.mm, 0)} mm, ${figure(one.od_mm, 1)} mm thick${one.trim_mm ? `, ${figure(one.trim_mm, 0)} mm of trim beyond` : ""}. ${one.hand_words ? `Leaves ${one.hand_words}.` : "Its exit is not noted."}`),
    one.against_hand ? el("p.caution", {}, el("span.sign", {}, "◆ "), "Fixed on the other hand than it leaves on the car.") : null,
    form,
    el("div.row", {}, el("button", { type: "button", onclick: () => view.desk.go("plan", one.key) }, "On the plan"), el("button", { type: "button", onclick: () => view.desk.go("bundles", one.key) }, "Cut through it")),
  ].filter(Boolean);
}
