// Test guide: plug by plug, stage by stage; readings typed or sent by a meter, judged, retests kept.

import {askFor, cautions, el, entry, extras} from "./parts.js";

const KINDS = {continuity: "Continuity", load: "Under load", short: "Shorts"};

/** @param {import("./bench.js").Bench} bench @returns {Node[]} */
export function testScreen(bench) {
  const stages = [...new Set(bench.job.groups.map((g) => g.stage))];
  if (!stages.length) return [el("h1", {}, "Tests"), el("p", {}, "There is nothing to test yet. The job is entered at the desk.")];
  return [
    el("h1", {}, "Tests"),
    el("p", {}, `Instrument: ${bench.job.instrument}. A meter that types like a keyboard sends its reading into the field that has the cursor; Enter goes on to the next.`),
    ...stages.flatMap((stage) => [
      el("h2", {}, stage),
      stage === "bench test" ? loadChoice(bench) : "",
      el("ul", {class: "rows"}, ...bench.job.groups.filter((g) => g.stage === stage).map((g) => groupRow(bench, g))),
    ]),
  ];
}

function loadChoice(bench) {
  const name = "load";
  const made = [["supply", "5 A from a bench supply"], ["lamp", "21 W lamp on 12 V"]].map(([value, words]) =>
    el("label", {class: "choice"}, el("input", {type: "radio", name, value, checked: bench.load === value, onchange: () => bench.setLoad(value)}), words));
  return el("fieldset", {}, el("legend", {}, "Load for feeds and grounds"), ...made);
}

function groupRow(bench, group) {
  const count = el("span", {class: "count"});
  const link = el("a", {class: "step", href: `#group=${encodeURIComponent(group.key)}`}, el("span", {class: "words"}, el("strong", {}, group.title)), count);
  const row = el("li", {}, link);
  const show = () => {
    const states = group.tests.map((t) => bench.records.stateOf("test", t.of));
    const of = (name) => states.filter((s) => s === name).length;
    const done = states.length - of("open");
    count.textContent = `${done} of ${states.length}${of("out") ? `, ${of("out")} ✕ outside` : done === states.length ? " ✓" : ""}`;
    row.classList.toggle("whole", done === states.length && !of("out"));
    row.classList.toggle("bad", of("out") > 0);
  };
  show();
  bench.follow(show);
  return row;
}

/** @param {import("./bench.js").Bench} bench @param {string} key @returns {Node[]} */
export function groupScreen(bench, key) {
  const {job} = bench;
  const at = job.groups.findIndex((g) => g.key === key);
  if (at < 0) return [el("h1", {}, "No such test"), el("a", {class: "next", href: "#test"}, "To the tests")];
  const group = job.groups[at];
  const before = job.groups[at - 1], after = job.groups[at + 1];
  let kind = "";
  const rows = [];
  for (const test of group.tests) {
    if (test.kind !== kind && KINDS[test.kind]) {
      rows.push(el("h2", {}, KINDS[test.kind]), howTo(job.how_to[test.kind]));
    }
    kind = test.kind;
    rows.push(entry(bench, asked(bench, test)));
  }
  const step = group.step ? job.steps.find((s) => s.key === group.step) : null;
  return [
    el("p", {class: "place"}, group.stage),
    ...cautions(group.cautions),
    el("h1", {}, group.title),
    group.words ? el("p", {}, group.words) : null,
    ...rows,
    extras(bench, `tests ${group.key}`, group.title),
    el("div", {class: "thumb"},
      before ? el("a", {class: "side", href: `#group=${encodeURIComponent(before.key)}`, "aria-label": before.title}, "‹") : el("span"),
      step ? el("a", {class: "done", href: `#step=${encodeURIComponent(step.key)}`}, "To the step") : el("a", {class: "done", href: "#test"}, "All tests"),
      after ? el("a", {class: "side", href: `#group=${encodeURIComponent(after.key)}`, "aria-label": after.title}, "›") : el("span")),
  ].filter(Boolean);
}

function asked(bench, test) {
  const lamp = bench.load === "lamp" && test.lamp_limits;
  const limits = lamp ? test.lamp_limits : test.limits;
  const unit = limits === "yes" ? "" : limits.split(" ").at(-1) || "";
  return {what: "test", of: test.of, words: test.where, detail: test.words, unit, should: lamp ? test.lamp_should : test.should, limits};
}

function howTo(words) {
  return el("button", {type: "button", class: "filter", onclick: () => askFor("How it is done", [el("p", {}, words)], [["Close", null]])}, "How it is done");
}
