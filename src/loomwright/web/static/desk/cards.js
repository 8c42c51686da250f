// Findings as cards: what is, what should be, what to do, the way to the place, mend, accept.
import { ask, askChange } from "./ask.js";
import { SIGN, el, field, many, remove, set } from "./make.js";
import { values } from "./entry.js";

const MOST = 60;

/** Findings that nobody accepted, as groups in the order they came. */
export function groups(findings) {
  const found = new Map();
  for (const one of findings) {
    const key = `${one.severity}|${one.code}|${one.group}|${one.accepted}`;
    if (!found.has(key)) found.set(key, []);
    found.get(key).push(one);
  }
  return [...found.values()];
}

/** Cards of findings; grouped ones are one card. */
export function cards(desk, findings) {
  const all = groups(findings);
  const made = all.slice(0, MOST).map((group) => card(desk, group));
  if (all.length > MOST) made.push(el("p.small", {}, `and ${many(all.length - MOST, "finding")} more`));
  return made;
}

/** A card of one finding or of equal ones. */
export function card(desk, group) {
  const [first] = group;
  const head = el("p", {}, el("span.sign", {}, `${SIGN[first.severity]} ${first.severity} `), el("strong", {}, first.code), ` ${first.title}`);
  const places = el("p", {}, group.slice(0, 12).map((one) => placeButton(desk, one)), group.length > 12 ? ` and ${group.length - 12} more` : null);
  const words = [el("p", {}, first.what_is), el("p", {}, first.should), el("p", {}, el("strong", {}, first.remedy))];
  return el("article.finding", { class: first.severity, data: { code: first.code } }, head, places, words, first.accepted ? el("p.small", {}, `Accepted: ${first.accepted}`) : null, doing(desk, group));
}

function placeButton(desk, one) {
  const go = () => {
    if (one.lit) desk.lit.set(one.lit);
    if (one.screen) desk.go(one.screen, one.lit?.key || "");
  };
  return el("button.quiet", { type: "button", onclick: go, disabled: !one.screen && !one.lit, title: "Go to the place" }, one.place, one.screen ? " →" : null);
}

function doing(desk, group) {
  const [first] = group;
  const mends = group.flatMap((one) => one.mends);
  const buttons = [];
  if (mends.length) buttons.push(el("button", { type: "button", onclick: () => askChange(desk, mends, `Mend ${first.code}`) }, "Mend …"));
  if (first.accepted) buttons.push(el("button", { type: "button", onclick: () => unaccept(desk, group) }, "No longer accept"));
  else if (first.may_accept && first.severity !== "note") buttons.push(el("button", { type: "button", onclick: () => accept(desk, group) }, "Accept …"));
  return buttons.length ? el("div.row", {}, buttons) : null;
}

/** Keep findings with reason and initials; both stand on the cover. */
async function accept(desk, group) {
  const reason = el("input", { required: true, maxlength: 200, autofocus: true });
  const by = el("input", { required: true, maxlength: 8, size: 6, value: initials() });
  const inside = [el("p", {}, group.length === 1 ? group[0].what_is : `${many(group.length, "place")}: ${group.map((x) => x.place).join(", ")}`),
    el("p.small", {}, "Reason and initials are printed on the cover of the pack."), field("Reason", reason), field("Initials", by)];
  if (await ask(`Accept ${group[0].code}`, inside, [["yes", "Accept"]]) !== "yes") return;
  try { localStorage.setItem("initials", by.value); } catch { /* asked for again next time */ }
  const from = (values(desk).accept || []).length;
  const row = (one) => ({ finding: one.key, reason: reason.value.trim(), by: by.value.trim() });
  await desk.edit(group.map((one, n) => set(["accept", from + n], row(one))), `accept ${group[0].code}`);
}

function initials() {
  try { return localStorage.getItem("initials") || ""; } catch { return ""; }
}

function unaccept(desk, group) {
  const keys = new Set(group.map((one) => one.key));
  const edits = (values(desk).accept || []).map((one, n) => (keys.has(one.finding) ? remove(["accept", n]) : null)).filter(Boolean).reverse();
  return desk.edit(edits, `no longer accept ${group[0].code}`);
}

/** How many of each severity, with sign and word for screen readers. */
export function tally(findings) {
  const open = findings.filter((one) => !one.accepted);
  return ["fault", "caution", "note"].map((severity) => {
    const count = open.filter((one) => one.severity === severity).length;
    if (!count || severity === "note" && open.length > count) return null;
    return el("span.sign", { class: severity, title: many(count, severity) }, `${SIGN[severity]}${count} `, el("span.unseen", {}, many(count, severity)));
  });
}
