// Build order: phases with their steps; one step at a time in big type, ticked with the thumb.

import {apartNote, askFor, cautions, el, entry, extras, say, tick} from "./parts.js";

const LONG = 24; // entries of a step that are folded away

/** @param {import("./bench.js").Bench} bench @returns {Node[]} */
export function buildScreen(bench) {
  const {job, records} = bench;
  const next = firstOpen(bench);
  const phases = [...new Set(job.steps.map((s) => s.phase))];
  return [
    el("h1", {}, "Build order"),
    next ? el("a", {class: "next", href: hashOf(next)}, el("small", {}, "Next open step"), el("span", {}, `${next.number} ${next.words}`)) : el("p", {class: "all"}, job.steps.length ? "Every step is ticked." : "There is nothing to build yet. The job is entered at the desk."),
    ...phases.map((phase) => {
      const steps = job.steps.filter((s) => s.phase === phase);
      const count = el("span", {class: "count"});
      const rows = steps.map((s) => stepRow(bench, s));
      const part = el("details", {class: "reel"}, el("summary", {}, el("h2", {}, phase), count), el("ul", {class: "rows"}, ...rows));
      const show = () => {
        const done = steps.filter((s) => records.isDone("step", s.key)).length;
        count.textContent = `${done} of ${steps.length}`;
        part.classList.toggle("whole", done === steps.length);
      };
      show();
      bench.follow(show);
      part.open = next?.phase === phase;
      return part;
    }),
  ];
}

function stepRow(bench, step) {
  const sign = el("span", {class: "box", "aria-hidden": "true"});
  const state = el("span", {class: "unseen"});
  const row = el("li", {}, el("a", {class: "step", href: hashOf(step)}, sign, el("span", {class: "words"}, el("strong", {}, `${step.number} `), looms(bench) && step.loom ? `${step.loom}: ` : "", step.words, step.irreversible ? el("small", {class: "stop"}, " no way back") : "", state)));
  const show = () => {
    const done = bench.records.isDone("step", step.key);
    row.classList.toggle("whole", done);
    row.firstElementChild.classList.toggle("done", done);
    state.textContent = done ? " (done)" : "";
  };
  show();
  bench.follow(show);
  return row;
}

const looms = (bench) => new Set(bench.job.steps.map((s) => s.loom).filter(Boolean)).size > 1;
export const hashOf = (step) => `#step=${encodeURIComponent(step.key)}`;
const firstOpen = (bench) => bench.job.steps.find((s) => !bench.records.isDone("step", s.key));

/** @param {import("./bench.js").Bench} bench @param {string} key @returns {Node[]} */
export function stepScreen(bench, key) {
  const {job} = bench;
  const at = job.steps.findIndex((s) => s.key === key);
  if (at < 0) return [el("h1", {}, "No such step"), el("p", {}, "The build order has changed. "), el("a", {class: "next", href: "#build"}, "To the build order")];
  const step = job.steps[at];
  const before = job.steps[at - 1], after = job.steps[at + 1];
  return [
    el("p", {class: "place"}, `Step ${step.number} of ${job.steps.length} · ${step.phase}${step.loom ? ` · loom ${step.loom}` : ""}`),
    ...cautions(step.cautions),
    el("h1", {class: "do"}, step.words),
    step.irreversible ? el("p", {class: "stop"}, "NO WAY BACK. Look twice.") : null,
    step.items.length && !step.ticks.length ? el("ul", {class: "items"}, ...step.items.map((one) => el("li", {}, one))) : null,
    apartNote(bench, {what: "step", of: step.key}),
    ...ticksPart(bench, step),
    ...entriesPart(bench, step),
    step.tests ? el("a", {class: "next", href: step.tests === "bench" ? "#test" : `#group=${encodeURIComponent(step.tests)}`}, "To its tests") : null,
    step.rules.length ? el("p", {class: "rules"}, `Rules: ${step.rules.join(", ")}`) : null,
    timerPart(bench, step),
    extras(bench, step.key, `step ${step.number}`),
    el("div", {class: "thumb"},
      before ? el("a", {class: "side", href: hashOf(before), "aria-label": `Step ${before.number}`}, "‹") : el("span"),
      doneButton(bench, step, after),
      after ? el("a", {class: "side", href: hashOf(after), "aria-label": `Step ${after.number}`}, "›") : el("span")),
  ].filter(Boolean);
}

function ticksPart(bench, step) {
  if (!step.ticks.length) return [];
  const all = el("button", {type: "button", class: "filter", onclick: async () => {
    if (!(await bench.known())) return;
    try {
      await bench.records.tick(step.ticks);
      bench.sending.go();
    } catch (fault) {
      say(`Not ticked: ${fault.message}`);
    }
  }}, `Tick all ${step.ticks.length}`);
  return [el("div", {class: "ticks"}, ...step.ticks.map((t) => tick(bench, t, wordsOf(t)))), all];
}

function wordsOf(t) {
  if (t.what === "crimped") return `${t.words}: crimped`;
  return t.what === "cut" ? `${t.words}: cut` : t.words;
}

function entriesPart(bench, step) {
  if (!step.entries.length) return [];
  const made = step.entries.map((one) => entry(bench, one));
  if (made.length <= LONG) return made;
  return [el("details", {class: "reel"}, el("summary", {}, el("h2", {}, `${made.length} to measure`)), ...made)];
}

function timerPart(bench, step) {
  const button = el("button", {type: "button", class: "timer"});
  const show = () => {
    const on = bench.timer;
    button.textContent = !on ? "Start the timer" : on.of === step.key ? `Stop the timer, ${minutesOf(on)} min` : `Timer runs at ${on.words}: stop it`;
  };
  button.addEventListener("click", () => bench.timer ? stopTimer(bench) : bench.startTimer(step.key, `step ${step.number}`));
  show();
  bench.follow(show);
  return button;
}

export const minutesOf = (timer) => Math.round((Date.now() - timer.since) / 6000) / 10;

/** Minutes are shown before they are kept: a device asleep counts on. */
export async function stopTimer(bench) {
  const {timer} = bench;
  if (!timer || !(await bench.known())) return;
  const field = /** @type {HTMLInputElement} */ (el("input", {id: "minutes", inputmode: "decimal", value: minutesOf(timer)}));
  const told = await askFor(`Time for ${timer.words}`, [
    el("label", {for: "minutes"}, "Minutes of work, breaks taken off"), field,
  ], [["Keep", "keep"], ["Throw away", "away"], ["Let it run", undefined]]);
  if (told === undefined) return;
  const minutes = Number(field.value.replace(",", "."));
  if (told === "keep" && !(minutes > 0 && minutes < 10000)) {
    say("That is no number of minutes. The timer still runs.");
    return;
  }
  if (told === "keep") await bench.records.add([{what: "time", of: timer.of, value: String(minutes)}]);
  await bench.setTimer(null);
  bench.sending.go();
}

function doneButton(bench, step, after) {
  const {records} = bench;
  const button = el("button", {type: "button", class: "done"});
  const show = () => {
    const done = records.isDone("step", step.key);
    button.setAttribute("aria-pressed", String(done));
    button.textContent = done ? "✓ Done. Take back" : "Done";
  };
  button.addEventListener("click", async () => {
    if (!(await bench.known())) return;
    const done = records.isDone("step", step.key);
    const things = [{what: "step", of: step.key}];
    const open = step.ticks.filter((t) => !records.isDone(t.what, t.of));
    if (!done && open.length) {
      const told = await askFor(`${open.length} of ${step.ticks.length} not ticked`, [el("p", {}, open.slice(0, 12).map((t) => t.words).join(", ") + (open.length > 12 ? " and more" : ""))],
        [["Tick them, too", "all"], ["The step alone", "step"], ["Not yet", undefined]]);
      if (!told) return;
      if (told === "all") things.push(...open);
    }
    try {
      await records.tick(things, !done);
    } catch (fault) {
      say(`Not ticked: ${fault.message}`);
      return;
    }
    bench.sending.go();
    if (!done && after) location.hash = hashOf(after);
  });
  show();
  bench.follow(show);
  return button;
}
