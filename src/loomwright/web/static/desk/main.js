// The desk: stations in the order of work, one screen at a time, findings in the margin, the title block below.
import { cards, tally } from "./cards.js";
import { say } from "./ask.js";
import { el, figure, fill, many } from "./make.js";
import { searchField } from "./search.js";
import { Store } from "./store.js";

/** Stations: name in addresses, words, module. */
const STATIONS = Object.freeze([
  ["job", "Job & shop", "./screen_job.js"],
  ["devices", "Devices & cavities", "./screen_devices.js"],
  ["circuits", "Circuits", "./screen_circuits.js"],
  ["rope", "Rope", "./screen_rope.js"],
  ["plan", "Loom plan", "./screen_plan.js"],
  ["run", "Run", "./screen_run.js"],
  ["findings", "Findings", "./screen_findings.js"],
  ["bundles", "Bundles", "./screen_bundles.js"],
  ["board", "Forming board", "./screen_board.js"],
  ["pack", "Pack", "./screen_pack.js"],
  ["records", "Records & revisions", "./screen_records.js"],
]);

class Shell {
  constructor(desk) {
    this.desk = desk;
    this.screen = null;
    this.turn = 0;
    this.place = el("main.place", { id: "sheet", tabindex: "-1" });
    this.margin = el("aside.margin", { "aria-label": "Findings of this screen" });
    this.rail = el("nav.rail", { "aria-label": "Order of work" });
    this.block = el("footer.block", { "aria-label": "Title block" });
    this.search = searchField(desk);
    this.head = this.makeHead();
    document.body.append(this.head, this.rail, this.place, this.margin, this.block);
    desk.go = (screen, key = "") => this.go(screen, key);
    desk.subscribe((names) => this.changed(names));
    desk.lit.subscribe((lit) => this.showLit(lit));
    window.addEventListener("hashchange", () => this.show());
    document.addEventListener("keydown", (event) => this.pressed(event));
  }

  makeHead() {
    const { desk } = this;
    this.title = el("h1");
    this.undo = el("button", { type: "button", onclick: () => this.back("undo"), title: "Undo, Ctrl+Z" }, "↶ Undo");
    this.redo = el("button", { type: "button", onclick: () => this.back("redo"), title: "Redo, Ctrl+Y" }, "↷ Redo");
    this.litChip = el("button.lit-chip", { type: "button", hidden: true, onclick: () => desk.lit.set(null), title: "Put it out" });
    const theme = el("button.quiet", { type: "button", onclick: flipTheme, title: "Light or dark" }, "◐", el("span.unseen", {}, "Light or dark"));
    return el("header.head", {}, el("a.button.quiet", { href: "/", title: "All jobs" }, "☰", el("span.unseen", {}, "All jobs")), this.title, this.litChip, this.search.node, this.undo, this.redo, theme);
  }

  async back(what) {
    const names = await this.desk[what]();
    if (names) say(what === "undo" ? "Taken back." : "Brought back.", 2);
  }

  pressed(event) {
    const typing = event.target.closest?.("input, textarea, select, [contenteditable]");
    const command = event.ctrlKey || event.metaKey;
    if (command && event.key.toLowerCase() === "k" || event.key === "/" && !typing && !event.target.closest?.(".grid")) {
      event.preventDefault();
      this.search.focus();
    } else if (command && !typing && event.key.toLowerCase() === "z" && !event.shiftKey) {
      event.preventDefault();
      this.back("undo");
    } else if (command && !typing && (event.key.toLowerCase() === "y" || event.key.toLowerCase() === "z")) {
      event.preventDefault();
      this.back("redo");
    } else if (event.key === "Escape" && !typing && this.desk.lit.thing && !document.querySelector("dialog[open]")) this.desk.lit.set(null);
  }

  go(screen, key = "") {
    const hash = `#${screen}${key ? `/${encodeURIComponent(key)}` : ""}`;
    if (location.hash === hash) this.show();
    else location.hash = hash;
  }

  where() {
    const [screen, key = ""] = location.hash.slice(1).split("/");
    const name = STATIONS.some(([one]) => one === screen) ? screen : "devices";
    return { name, key: decode(key) };
  }

  /** Show the screen of the address. */
  async show() {
    const { name, key } = this.where();
    if (this.name === name && this.screen) {
      this.screen.go?.(key);
      return;
    }
    const turn = ++this.turn;
    const module = await import(STATIONS.find(([one]) => one === name)[2]).catch(() => null);
    if (turn !== this.turn) return;
    if (!module) {
      say("The program does not answer; this screen can't be opened. Start it again and load this page anew.", 8);
      return;
    }
    this.screen?.destroy();
    this.name = name;
    fill(this.place);
    this.screen = module.mount(this.place, this.desk, key);
    if (key) this.screen.go?.(key);
    this.showRail();
    this.showMargin();
    document.title = `${STATIONS.find(([one]) => one === name)[1]} · ${this.desk.slices.job.title}`;
  }

  changed(names) {
    this.showHead();
    if (names.has("findings")) { this.showRail(); this.showMargin(); }
    this.screen?.update(names);
  }

  showHead() {
    const { desk } = this;
    const { job } = desk.slices;
    this.title.textContent = job.title || "Job without a title";
    this.undo.disabled = !desk.can_undo;
    this.redo.disabled = !desk.can_redo;
    const { counts } = job;
    const cells = [["job", job.title], ["revision", job.revision], ["digest", job.digest], ["devices", counts.devices], ["wires", counts.wires], ["wire", `${figure(counts.metres, 1)} m`],
      ["sections", counts.sections], ["splices", counts.splices], ["level", job.level], job.demo ? ["data", "invented"] : null];
    fill(this.block, cells.filter(Boolean).map(([words, value]) => el("div", {}, el("span", {}, words), value)));
  }

  showRail() {
    const all = this.desk.slices.findings;
    const focus = this.rail.contains(document.activeElement) ? document.activeElement.getAttribute("href") : "";
    fill(this.rail, el("ol", {}, STATIONS.map(([name, words], n) => {
      const mine = name === "findings" ? all : all.filter((one) => one.screen === name);
      return el("li", {}, el("a", { href: `#${name}`, "aria-current": name === this.name ? "page" : null }, el("span.step", {}, n || "·"), el("span", {}, words), el("span.tally", {}, tally(mine))));
    })));
    if (focus) this.rail.querySelector(`a[href="${focus}"]`)?.focus();
    const here = this.rail.querySelector("[aria-current]");
    if (here && this.rail.scrollWidth > this.rail.clientWidth) this.rail.scrollLeft = here.offsetLeft - (this.rail.clientWidth - here.offsetWidth) / 2;
  }

  showMargin() {
    const mine = this.name === "findings" ? [] : this.desk.slices.findings.filter((one) => one.screen === this.name && !one.accepted);
    const wide = this.folded ?? !mine.length;
    document.body.classList.toggle("wide", wide);
    const flip = () => { this.folded = !wide; this.showMargin(); };
    const fold = el("button.fold.quiet", { type: "button", "aria-expanded": String(!wide), onclick: flip }, wide ? "◂" : "Findings here ▸", wide ? el("span.unseen", {}, "Show findings") : null);
    const empty = this.name === "findings" ? "All findings stand on the sheet." : "None.";
    fill(this.margin, fold, el("div.stack", {}, mine.length ? cards(this.desk, mine) : el("p.small", {}, empty)));
  }

  showLit(lit) {
    this.litChip.hidden = !lit.thing;
    if (!lit.thing) return;
    const wires = lit.with.wires.size;
    fill(this.litChip, `☀ ${lit.thing.kind} ${lit.thing.key}`, wires > 1 ? ` · ${many(wires, "wire")}` : null, " ✕");
  }
}

function decode(key) {
  try { return decodeURIComponent(key); } catch { return ""; }
}

function flipTheme() {
  const root = document.documentElement;
  const dark = root.dataset.theme ? root.dataset.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
  root.dataset.theme = dark ? "light" : "dark";
  try { localStorage.setItem("theme", root.dataset.theme); } catch { /* stays until the page is closed */ }
}

async function start() {
  const desk = new Store(decode(location.pathname.split("/")[2] || ""));
  try {
    await desk.open();
  } catch (fault) {
    document.body.append(el("main.place", {}, el("h1", {}, "This job can't be opened"), el("p", {}, fault.message), el("a.button", { href: "/" }, "All jobs")));
    return;
  }
  const shell = new Shell(desk);
  shell.showHead();
  await shell.show();
  desk.watch();
}

start();
