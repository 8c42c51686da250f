// Beside the plan: everything that can be dragged, typed; exits by dial or car direction.
import { choice, el, field, figure, tick } from "../desk/make.js";
import { exitDial } from "./dial.js";

/** The fields for what is chosen. @param {import("./plan.js").Plan} plan @returns {Node[]} */
export function planSide(plan, chosen) {
  if (!chosen) return nothing(plan);
  if (chosen.kind === "section") return sectionFields(plan, plan.loom.sections.find((x) => x.key === chosen.key));
  return pointFields(plan, plan.loom.points.find((x) => x.name === chosen.key));
}

function nothing(plan) {
  const own = plan.loom.sections.filter((x) => x.built);
  return [
    el("h2", {}, `Loom ${plan.loom.loom}`),
    el("p.hint", {}, "Press a branch point or a section, or choose it above the plan."),
    own.length ? el("h3", {}, "Lengths that are not the rope's") : null,
    own.length ? el("ul.plain-list", {}, own.map((x) => el("li", {}, el("button.quiet", { type: "button", onclick: () => plan.chooseFrom(`section ${x.key}`) }, `${x.name} ${figure(x.mm, 0)} mm`), el("span.small", {}, x.rope_mm === null ? " never taped so" : ` rope ${figure(x.rope_mm, 0)}`)))) : null,
  ].filter(Boolean);
}

/** A form that carries a step out, with a second button that first shows what it will change. */
function form(plan, title, button, inside, ask) {
  const does = () => { const found = ask(); return found; };
  const made = el("form.stack", { "aria-label": title, onsubmit: (event) => { event.preventDefault(); if (made.reportValidity()) plan.carryOut(does()); } },
    el("h3", {}, title), ...inside,
    el("div.row", {}, el("button.main", { type: "submit" }, button), el("button", { type: "button", onclick: () => { if (made.reportValidity()) plan.showFirst(does()); } }, "Show first")));
  return made;
}

const number = (props) => el("input", { type: "number", step: "any", required: true, ...props });

function sectionFields(plan, one) {
  const mm = number({ min: 1, max: 100000, value: figure(one.mm, 1) });
  const reason = el("input", { maxlength: 200, placeholder: "why" });
  const at = number({ min: 1, max: Math.max(1, one.mm - 1), value: plan.pressedAt?.key === one.key ? plan.pressedAt.mm : figure(one.mm / 2, 0) });
  const name = el("input", { required: true, maxlength: 40, value: freeName(plan), size: 8 });
  const rope = one.rope_mm === null ? "Nobody taped it this way." : `The rope says ${figure(one.rope_mm, 0)} mm.`;
  const wires = (plan.desk.slices.wires || []).filter((x) => x.sections.includes(one.key));
  return [
    el("h2", {}, `Section ${one.name}`),
    el("p", {}, `${figure(one.mm, 1)} mm, give or take ${figure(one.give_mm, 0)}. ${rope} ${one.origin}.`),
    form(plan, "Length to build", "Set", [el("div.row", {}, field("Length, mm", mm), field("Reason", reason))],
      () => ({ does: "length", section: one.key, mm: Number(mm.value), reason: reason.value })),
    one.built ? el("button", { type: "button", onclick: () => plan.carryOut({ does: "measured", section: one.key }) }, "Take the rope's length again") : null,
    form(plan, "New point on it", "Insert", [el("div.row", {}, field("Name", name), field(`mm from ${one.inner}`, at))],
      () => ({ does: "insert", section: one.key, mm: Number(at.value), name: name.value.trim() })),
    el("div.row", {}, el("button", { type: "button", onclick: () => plan.desk.go("bundles", one.key) }, "Cut through it")),
    el("h3", {}, `${wires.length} wires in it`),
    el("div", {}, wires.map((x) => el("button.wire-chip", { type: "button", title: x.circuit, onclick: () => plan.desk.lit.toggle({ kind: "wire", key: x.label }) }, x.label))),
  ].filter(Boolean);
}

function freeName(plan) {
  const taken = new Set((plan.desk.slices.plan || []).flatMap((x) => x.points.map((p) => p.name)));
  for (let n = 1; ; n += 1) if (!taken.has(`N${n}`)) return `N${n}`;
}

function pointFields(plan, one) {
  const { sections } = plan.loom;
  const into = sections.find((x) => x.outer === one.name);
  const out = sections.filter((x) => x.inner === one.name);
  const parts = [
    el("h2", {}, one.kind === "datum" ? `Datum ${one.name}` : `${one.branch ? "Branch point" : "Point"} ${one.name}`),
    el("p", {}, one.kind === "datum" ? "All lengths start here." : `${figure(one.from_datum_mm, 0)} mm from ${plan.loom.datum}.`),
  ];
  if (into && out.length) parts.push(moveForm(plan, one, into, out), mergeForm(plan, one, into, out));
  if (into && out.length > 1) parts.push(splitForm(plan, one, into, out));
  if (out.length) parts.push(exitDial(plan.desk, plan.loom, one, out));
  return parts.filter(Boolean);
}

function moveForm(plan, one, into, out) {
  const along = choice(onward(out, plan.loom.sections).key, [[into.key, `back along ${into.name}`], ...out.map((x) => [x.key, `on along ${x.name}`])]);
  const mm = number({ min: 1, max: 100000, value: 20 });
  return form(plan, "Move it", "Move", [el("div.row", {}, field("mm", mm), field("Which way", along))],
    () => ({ does: "shift", point: one.name, section: along.value, mm: Number(mm.value) }));
}

function mergeForm(plan, one, into, out) {
  const near = [into, ...out].filter((x) => plan.loom.points.find((p) => p.name === (x === into ? x.inner : x.outer)).kind !== "end");
  if (!near.length) return null;
  const other = choice(near[0].key, near.map((x) => [x.key, x === into ? x.inner : x.outer]));
  return form(plan, "Make one branch point of two", "Merge", [field(`${one.name} goes; what leaves it leaves from`, other)],
    () => ({ does: "merge", point: one.name, section: other.value }));
}

function splitForm(plan, one, into, out) {
  const on = choice(into.key, [[into.key, `back on ${into.name}`], ...out.map((x) => [x.key, `on ${x.name}`])]);
  const mm = number({ min: 1, max: 100000, value: 50 });
  const name = el("input", { required: true, maxlength: 40, value: freeName(plan), size: 8 });
  const boxes = out.map((x) => [x, el("input", { type: "checkbox" })]);
  return form(plan, "Split some off", "Split", [
    el("div.row", {}, field("New point", name), field("mm away", mm), field("Where", on)),
    el("fieldset.choices", {}, el("legend.small", {}, "What shall leave from it"), boxes.map(([x, box]) => tick(x.name, box))),
  ], () => ({ does: "split", point: one.name, section: on.value, mm: Number(mm.value), name: name.value.trim(), take: boxes.filter(([, box]) => box.checked).map(([x]) => x.name) }));
}

/** What goes on from a point: a way that branches on before one that ends, then the longest. */
export function onward(out, sections) {
  const weight = (x) => (sections.some((y) => y.inner === x.outer) ? 1e6 : 0) + x.mm;
  return out.reduce((a, b) => (weight(b) > weight(a) ? b : a));
}
