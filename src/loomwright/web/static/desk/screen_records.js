// Records and revisions: what is issued, issue the next one, the bench's ticks and readings.
import { apart } from "../bench/apart.js";
import { ask } from "./ask.js";
import { SIGN, el, field, fill, many, tick } from "./make.js";
import { Learnt } from "./learnt.js";
import { sharePanel } from "./share.js";
import { send } from "./store.js";

const HELD = ["revisions"];
const MOST = 200;

export function mount(place, desk) {
  return new RecordsScreen(place, desk);
}

class RecordsScreen {
  constructor(place, desk) {
    this.desk = desk;
    this.revisions = el("section.stack", { "aria-label": "Revisions" });
    this.told = el("p.say", { role: "status" });
    this.records = el("section.stack", { "aria-label": "Records" });
    this.learnt = new Learnt(desk);
    place.append(el("div.stack", {}, el("h2", {}, "Records & revisions"), this.revisions, this.told, el("p", {}, el("a.button", { href: `/bench/${desk.id}` }, "Open the bench →")), this.learnt.node, this.records));
    this.need();
    this.showRecords();
    sharePanel().then((panel) => this.told.after(panel));
  }

  async need() {
    if (await this.desk.need(HELD)) this.show();
  }

  update(names) {
    if (!this.desk.slices.revisions) this.need();
    else if (names.has("revisions")) this.show();
    if (names.has("bundles")) this.learnt.load();
  }

  show() {
    const rows = (this.desk.slices.revisions || []).map((one) => el("tr", {}, el("td", {}, el("a", { href: `${this.desk.base}/issued/${encodeURIComponent(one.revision)}/pack/build-pack.pdf`, target: "_blank", rel: "noopener" }, one.revision)),
      el("td", {}, one.when), el("td", {}, one.digest), el("td", {}, one.not_for_build.length ? `NOT FOR BUILD: ${one.not_for_build.join(", ")}` : ""), el("td", {}, one.touched.length ? `▲ touched: ${one.touched.join("; ")}` : "✓ untouched")));
    fill(this.revisions, rows.length ? el("div.scroll", {}, el("table", {}, el("thead", {}, el("tr", {}, ["revision", "issued", "digest", "stamps", "since then"].map((x) => el("th", {}, x)))), el("tbody", {}, rows)))
      : el("p.hint", {}, "No revision is issued yet. An issue freezes the job and its pack under a name, sealed by digests; wire numbers are given for good."),
    el("div.row", {}, el("button.main", { type: "button", onclick: () => this.issue() }, "Issue a revision …")));
  }

  async issue() {
    const { slices } = this.desk;
    const faults = slices.findings.filter((one) => one.severity === "fault" && !one.accepted).length;
    const name = el("input", { value: next(slices), size: 8, required: true, maxlength: 30, autofocus: true });
    const despite = el("input", { type: "checkbox" });
    const inside = [field("Name", name), faults ? tick(`Issue in spite of ${many(faults, "fault")}; sheets say NOT FOR BUILD`, despite) : null].filter(Boolean);
    if (await ask("Issue a revision", inside, [["yes", "Issue it"]]) !== "yes") return;
    this.told.textContent = "Writing the papers …";
    try {
      const found = await send(`${this.desk.base}/issue`, { rev: name.value.trim(), with_faults: despite.checked });
      this.told.textContent = `Revision ${found.revision} is issued, digest ${found.printed_digest}.`;
      delete slices.revisions;
      await this.need();
    } catch (fault) {
      this.told.textContent = fault.message;
    }
  }

  async showRecords() {
    const records = [];
    try {
      for (let more = true, last = 0; more;) {
        const found = await this.desk.fetch(`records?after=${last}`);
        records.push(...found.records);
        ({ more, last } = found);
      }
    } catch {
      return;
    }
    const rows = records.slice(-MOST).reverse().map((one) => el("tr", {}, ["when", "who", "what", "of", "value", "note"].map((key) => el("td", {}, typeof one[key] === "object" && one[key] !== null ? JSON.stringify(one[key]) : one[key] ?? ""))));
    fill(this.records, el("h3", {}, "What the bench recorded"), differences(records), rows.length ? el("div.scroll", {}, el("table", {}, el("thead", {}, el("tr", {}, ["when", "who", "what", "of", "value", "note"].map((x) => el("th", {}, x)))), el("tbody", {}, rows)))
      : el("p.hint", {}, "Nothing is ticked or measured yet."));
  }

  destroy() {
    this.desk.release(HELD);
  }
}

/** Words on what two devices tell differently; it is settled at the bench, with the piece in the hand. */
function differences(records) {
  const things = new Map();
  for (const one of records) if (!["time", "note"].includes(one.what)) things.set(`${one.what} ${one.of}`, [...(things.get(`${one.what} ${one.of}`) || []), one]);
  const told = [...things].map(([words, several]) => [words, apart(several)]).filter(([, several]) => several.length);
  if (!told.length) return null;
  return el("div.caution", {}, el("p", {}, el("span.sign", {}, `${SIGN.caution} `), `Two devices tell different things of ${many(told.length, "piece")}. Both are kept, the later one counts; settle it at the bench.`),
    el("ul", {}, told.map(([words, several]) => el("li", {}, `${words}: ${several.map((one) => `${one.value} (${one.who}, ${one.when.slice(0, 16).replace("T", " ")})`).join(" or ")}`))));
}

/** The next letter or number after the last issued one. */
function next({ job, revisions }) {
  const taken = new Set((revisions || []).map((one) => one.revision.toLowerCase()));
  if (!taken.has(job.revision.toLowerCase())) return job.revision;
  if (/^[A-Y]$/i.test(job.revision)) return String.fromCharCode(job.revision.charCodeAt(0) + 1);
  return /^\d+$/.test(job.revision) ? String(Number(job.revision) + 1) : `${job.revision}-2`;
}
