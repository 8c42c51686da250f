// The list of jobs: open one, begin one from a starter, a demo, a copy or a job file.
import { ask, say } from "./ask.js";
import { choice, el, field, fill } from "./make.js";
import { sharePanel } from "./share.js";
import { fetchJson, send } from "./store.js";

const place = document.querySelector("#place");
const WORDS = { "starter:bare": "nothing but the tables every job has", "starter:four-cylinder": "a four-cylinder on throttle bodies", "starter:v8": "a V8 with electronic throttle",
  "demo:six": "demo: six devices, the manual's example (invented)", "demo:hillclimb": "demo: hill-climb four-cylinder (invented)", "demo:hillclimb-faults": "demo: the same with planted faults (invented)", "demo:v8": "demo: V8, 70 devices (invented)" };

async function show() {
  const found = await fetchJson("/api/jobs");
  const rows = found.jobs.map((one) => el("li", {}, el("a", { href: `/job/${encodeURIComponent(one.id)}` },
    el("strong", {}, one.title || one.folder), el("small", {}, one.revision ? `revision ${one.revision}` : ""),
    el("small", {}, one.fault || [one.car, one.customer, one.demo ? "invented data" : ""].filter(Boolean).join(" · ") || one.folder), el("small", {}, one.folder))));
  fill(place, el("h1", {}, "Jobs"), el("p.small", {}, found.folder),
    rows.length ? el("ul.job-list", {}, rows) : el("p.hint", {}, "No job is here yet. Begin one below; a demo is a good one to look round in."),
    el("div.row", {}, el("button.main", { type: "button", onclick: () => begin(found) }, "New job …"), el("button", { type: "button", onclick: takeIn }, "From a job file …")),
    await sharePanel(),
    el("p.small", {}, `loomwright ${found.version}. Figures are a design aid; check them.`));
}

async function begin(found) {
  const name = el("input", { required: true, maxlength: 100, autofocus: true });
  const sources = [...found.starters.map((x) => `starter:${x}`), ...found.demos.map((x) => `demo:${x}`)].map((x) => [x, WORDS[x] || x.split(":")[1]]);
  sources.push(...found.jobs.map((one) => [`copy:${one.id}`, `copy of ${one.title || one.folder}`]));
  const from = choice(sources.find(([x]) => x === "starter:bare")?.[0] || sources[0][0], sources);
  if (await ask("New job", [field("Name", name), field("Begin from", from)], [["yes", "Begin"]]) === "yes") await make({ name: name.value, from: from.value });
}

async function takeIn() {
  const file = el("input", { type: "file", accept: ".toml", required: true });
  const name = el("input", { maxlength: 100, placeholder: "the file's own title" });
  if (await ask("From a job file", [field("job.toml", file), field("Name", name)], [["yes", "Take it in"]]) !== "yes") return;
  await make({ name: name.value, from: "import", text: await file.files[0].text() });
}

async function make(said) {
  try {
    const made = await send("/api/jobs", said);
    location.href = `/job/${encodeURIComponent(made.id)}`;
  } catch (fault) {
    say(fault.message, 8);
  }
}

show().catch((fault) => fill(place, el("h1", {}, "Jobs"), el("p.say", {}, fault.message)));
