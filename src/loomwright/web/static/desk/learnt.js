// What the bench teaches: the shop's own minutes and measured bundles, where each comes from, shown first, then taken over.
import { ask, askChange } from "./ask.js";
import { el, figure, fill, many } from "./make.js";
import { send } from "./store.js";

/** A place that tells it. @param {import("./store.js").Store} desk */
export class Learnt {
  constructor(desk) {
    this.desk = desk;
    this.node = el("section.stack", { "aria-label": "What the bench teaches" });
    this.told = el("p.say", { role: "status" });
    this.load();
  }

  async load() {
    try {
      this.show(await this.desk.fetch("bench/learnt"));
    } catch (fault) {
      fill(this.node, el("h3", {}, "What the bench teaches"), el("p.hint", {}, fault.status ? fault.message : "The program does not answer; what the bench teaches can't be told now."));
    }
  }

  show(found) {
    this.found = found;
    const nothing = !found.minutes.length && !found.sizes.length;
    fill(this.node, el("h3", {}, "What the bench teaches"),
      nothing ? el("p.hint", {}, "Nothing yet. Minutes are told once three of a kind were timed at the bench; bundles once they were measured there.") : null,
      found.minutes.length ? this.minutes(found) : null, this.undo(found), found.sizes.length ? this.sizes(found) : null, this.told);
  }

  minutes(found) {
    const rows = found.minutes.map((one) => el("tr", {}, el("th", { scope: "row" }, one.words), el("td.number", {}, figure(one.minutes, 1)), el("td.number", {}, one.now === null ? "the table's" : figure(one.now, 1)),
      el("td", {}, from(`${figure(one.spent, 1)} min for ${one.number}`, one.from)), el("td", {}, one.taken ? "✓ taken over" : "")));
    const fresh = found.minutes.filter((one) => !one.taken);
    const button = fresh.length ? el("button", { type: "button", onclick: () => this.askMinutes(fresh) }, "Minutes: show first") : null;
    return el("div.stack", {}, table("Minutes", ["minutes of", "timed", "the shop says", "from", ""], rows),
      el("div.row", {}, button, el("span.small", {}, found.job_goes_before)));
  }

  undo({ can_undo: can }) {
    return can ? el("div.row", {}, el("button", { type: "button", onclick: () => this.send("shop-minutes/undo", {}, "Taken back; the shop's minutes are as before.") }, "↶ Take back the last change of the shop's minutes")) : null;
  }

  sizes(found) {
    const rows = found.sizes.map((one) => el("tr", {}, el("th", { scope: "row" }, one.section), el("td.number", {}, figure(one.value, 2)), el("td.number", {}, `${figure(one.now, 2)}${one.measured ? "" : " reckoned"}`),
      el("td", {}, told(one.from)), el("td", {}, one.taken ? "✓ taken over" : "")));
    const fresh = found.sizes.filter((one) => !one.taken);
    const button = fresh.length ? el("button", { type: "button", onclick: () => this.askSizes(fresh) }, "Bundles: show first") : null;
    return el("div.stack", {}, table("Bundles", ["section", "measured, mm", "the job says, mm", "from", ""], rows), el("div.row", {}, button));
  }

  /** Minutes go into the shop's stock.toml. */
  async askMinutes(fresh) {
    const { hours, stock_digest: base } = this.found;
    const lines = fresh.map((one) => el("li", {}, `minutes › ${one.key}: ${one.now === null ? "the table's" : figure(one.now, 1)} → ${figure(one.minutes, 1)}`));
    const inside = [el("h3", {}, "In the shop's stock.toml"), el("ul", {}, lines), el("h3", {}, "Figures"), el("p", {}, `hours of this job: ${figure(hours.now, 1)} → ${figure(hours.then, 1)}`),
      el("p.small", {}, "A price follows its hours. No sheet that is built from changes.")];
    if (await ask("Take the minutes over", inside, [["yes", "Carry it out"]]) !== "yes") return;
    await this.send("shop-minutes", { base, keys: fresh.map((one) => one.key) }, "Taken over into stock.toml.");
  }

  async send(path, body, words) {
    try {
      this.show(await send(`${this.desk.base}/${path}`, body));
      this.told.textContent = words;
    } catch (fault) {
      await this.load();
      this.told.textContent = fault.status ? fault.message : "The program does not answer; nothing was taken over.";
    }
  }

  /** Bundles go into the job, as any edit; Undo takes them back. */
  async askSizes(fresh) {
    const words = `${many(fresh.length, "bundle")} as measured at the bench`;
    if (await askChange(this.desk, fresh.map((one) => one.edit), words)) {
      await this.load();
      this.told.textContent = "Taken over into the job. Undo takes it back.";
    }
  }
}

function table(words, heads, rows) {
  return el("div.scroll", {}, el("table", {}, el("caption", {}, words), el("thead", {}, el("tr", {}, heads.map((x) => el("th", { scope: "col" }, x)))), el("tbody", {}, rows)));
}

/** Records something comes from, folded away. */
function from(words, records) {
  return el("details", {}, el("summary", {}, words), el("ul", {}, records.map((one) => el("li", {}, `${one.of}: ${one.value} min, ${told(one)}`))));
}

function told({ who, when }) {
  return `${who}, ${when.slice(0, 16).replace("T", " ")}`;
}
