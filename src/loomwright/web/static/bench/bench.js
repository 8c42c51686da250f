// The bench: one page that stays open, with or without network. Screens by the part of the address after "#".

import * as kept from "./kept.js";
import {Records} from "./records.js";
import {NoAnswer, Sending, ask} from "./sending.js";
import {askFor, el, say} from "./parts.js";
import {cutScreen} from "./cut.js";
import {buildScreen, minutesOf, stepScreen, stopTimer} from "./build.js";
import {groupScreen, testScreen} from "./tests.js";
import {findScreen} from "./find.js";
import {moreScreen} from "./more.js";
import {loginPart, whichJob} from "./enter.js";

const TABS = [["cut", "Cut"], ["build", "Build"], ["test", "Test"], ["find", "Find"], ["more", "Records"]];
const OF_TAB = {step: "build", group: "test"};
const PHOTO_PX = 2000; // long side of a photo as it is kept; ours
const FRESH_MS = 60000;

export class Bench {
  /** @param {string} id */
  constructor(id) {
    this.records = new Records(id);
    this.sending = new Sending(this.records, () => this.showHead());
    this.job = null;
    this.newer = null;
    this.timer = null;
    this.load = "supply";
    this.look = document.documentElement.dataset.theme || "";
    /** @type {Set<() => void>} */
    this.followers = new Set();
    this.records.subscribe(() => this.refresh());
  }

  /** Called whenever a record is added, until the screen changes. @param {() => void} show */
  follow(show) {
    this.followers.add(show);
  }

  refresh() {
    for (const show of this.followers) show();
    this.showHead();
  }

  async begin() {
    const id = this.records.job;
    await this.records.load();
    this.timer = (await kept.one("settings", [id, "timer"])) || null;
    this.load = (await kept.one("settings", ["", "load"])) || "supply";
    this.job = (await kept.one("settings", [id, "view"])) || null;
    addEventListener("hashchange", () => this.show());
    if (this.job) this.show();
    await this.fetchJob();
    addEventListener("beforeunload", (leaving) => {
      if (this.records.waiting.size || !this.records.keeps) leaving.preventDefault();
    });
    navigator.storage?.persist?.().catch(() => {});
    setInterval(() => this.timer && this.refresh(), 6000);
    setInterval(() => document.hidden || this.fetchJob(), FRESH_MS);
    this.sending.start();
  }

  /** The job as it is now; where it changed while somebody works on, the page says so and waits. */
  async fetchJob() {
    let job;
    try {
      job = await ask(`${this.sending.path}/bench`);
    } catch (fault) {
      this.sending.set(fault.status === 401 ? "login" : "off", fault.message);
      if (!this.job) this.showFault(fault);
      return;
    }
    if (this.job?.digest === job.digest) return;
    kept.setting(this.records.job, "view", job).catch(() => {});
    this.fetchDevices();
    if (this.job && document.activeElement?.matches("input, textarea")) {
      this.newer = job;
      this.showHead();
      return;
    }
    const had = Boolean(this.job);
    this.job = job;
    this.show();
    if (had) say("The job has changed. This is how it is now.");
  }

  /** All device pages at once, so that they open without network. */
  async fetchDevices() {
    try {
      const {pages} = await ask(`${this.sending.path}/device`);
      await kept.setting(this.records.job, "devices", pages);
    } catch { /* each page is asked for when it is opened */ }
  }

  showFault(fault) {
    const place = document.getElementById("place");
    if (fault.status === 401) return place.replaceChildren(...loginPart(() => location.reload()));
    place.replaceChildren(el("h1", {}, "The bench can't be shown"), el("p", {}, fault.message),
      el("button", {type: "button", class: "filter", onclick: () => location.reload()}, "Try again"));
  }

  show() {
    if (!this.job) return;
    const [name, ...rest] = decodeURIComponent(location.hash.slice(1) || "build").split("=");
    const of = rest.join("=");
    this.followers.clear();
    const place = document.getElementById("place");
    const made = {
      cut: () => cutScreen(this), step: () => stepScreen(this, of), test: () => testScreen(this),
      group: () => groupScreen(this, of), find: () => findScreen(this, of), more: () => moreScreen(this),
    }[name] || (() => buildScreen(this));
    place.replaceChildren(...made());
    document.title = `${this.job.title} · bench`;
    this.showTabs(OF_TAB[name] || name);
    this.showHead();
    scrollTo(0, 0);
  }

  showTabs(now) {
    const known = TABS.some(([name]) => name === now) ? now : "build";
    document.getElementById("tabs").replaceChildren(...TABS.map(([name, words]) =>
      el("a", {href: `#${name}`, "aria-current": name === known ? "page" : null}, words)));
  }

  /** One line above everything: job, what is not sent, timer. */
  showHead() {
    const head = document.getElementById("head");
    if (!this.job) return head.replaceChildren();
    head.replaceChildren(...[
      el("a", {href: "#more", class: `line ${this.sending.line}`, id: "line"}, this.lineWords()),
      el("span", {class: "job"}, this.job.title, this.job.revision ? ` · ${this.job.revision}` : "", this.job.demo ? " · invented data" : ""),
      this.records.apart.length ? el("a", {href: "#more", class: "line differ"}, `≠ ${this.records.apart.length} told differently`) : null,
      this.job.stamp ? el("span", {class: "stamp"}, this.job.stamp) : null,
      this.timer ? el("button", {type: "button", class: "clock", onclick: () => stopTimer(this)}, `${minutesOf(this.timer)} min · ${this.timer.words}`) : null,
      this.newer ? el("button", {type: "button", class: "clock", onclick: () => this.takeNewer()}, "The job has changed: show it") : null,
    ].filter(Boolean));
  }

  takeNewer() {
    this.job = this.newer;
    this.newer = null;
    this.show();
  }

  lineWords() {
    const {waiting, keeps} = this.records;
    const open = [...waiting.values()].filter((r) => !r.refused).length;
    const refused = [...this.records.byId.values()].filter((r) => r.refused).length;
    const count = open ? `${open} kept here, not sent yet` : "all sent";
    const line = {on: "", off: "no network; keep this page open. ", login: "log in again. "}[this.sending.line];
    const odd = refused ? ` ${refused} refused!` : "";
    return `${this.sending.line === "on" ? "●" : "○"} ${line}${keeps ? count : "this browser keeps nothing: every tick needs the network"}${odd}`;
  }

  /** Whether somebody told their initials; asks for them. */
  async known() {
    if (this.records.who) return true;
    const field = /** @type {HTMLInputElement} */ (el("input", {id: "who", maxlength: "12", autocomplete: "off", autocapitalize: "characters"}));
    const told = await askFor("Who works here?", [el("label", {for: "who"}, "Initials; they stand at every tick made on this device"), field], [["Go on", true], ["Not now", false]]);
    if (told && field.value.trim()) await this.setWho(field.value.trim());
    return Boolean(this.records.who);
  }

  async setWho(who) {
    this.records.who = who;
    await kept.setting("", "who", who).catch(() => {});
  }

  async setLoad(load) {
    this.load = load;
    await kept.setting("", "load", load).catch(() => {});
  }

  /** Kept where the desk's pages look for it, too. */
  setLook(look) {
    this.look = look;
    if (look) document.documentElement.dataset.theme = look;
    else delete document.documentElement.dataset.theme;
    try {
      if (look) localStorage.setItem("theme", look);
      else localStorage.removeItem("theme");
    } catch { /* nothing may be stored here: the choice holds until the page is closed */ }
  }

  async setTimer(timer) {
    this.timer = timer;
    await kept.setting(this.records.job, "timer", timer).catch(() => {});
    this.refresh();
  }

  startTimer(of, words) {
    return this.setTimer({of, words, since: Date.now()});
  }

  async note(of, words) {
    if (!(await this.known())) return;
    const field = /** @type {HTMLTextAreaElement} */ (el("textarea", {id: "note", rows: "4", maxlength: "1900"}));
    const told = await askFor(`Note on ${words}`, [el("label", {for: "note"}, "What the next one should know"), field], [["Keep", true], ["Close", false]]);
    if (told && field.value.trim()) await this.keepNote({what: "note", of, note: field.value.trim()});
  }

  async photo(of, words, file) {
    try {
      const small = await smaller(file);
      const field = /** @type {HTMLInputElement} */ (el("input", {id: "note", maxlength: "300"}));
      const told = await askFor(`Photo of ${words}`, [el("label", {for: "note"}, "What it shows (may stay empty)"), field], [["Keep", true], ["Throw away", false]]);
      if (told) await this.keepNote({what: "note", of, value: "photo", note: field.value.trim()}, small);
    } catch (fault) {
      say(`The photo can't be taken: ${fault.message}`);
    }
  }

  async keepNote(one, photo = null) {
    try {
      await this.records.add([one], photo);
      this.sending.go();
    } catch (fault) {
      say(`Not kept: ${fault instanceof NoAnswer ? fault.message : "this device has no room."}`);
    }
  }
}

/** A photo at a size that travels; place and time of taking are left out of it. @param {Blob} file */
async function smaller(file) {
  const picture = await createImageBitmap(file);
  const share = Math.min(1, PHOTO_PX / Math.max(picture.width, picture.height));
  const sheet = document.createElement("canvas");
  sheet.width = Math.round(picture.width * share);
  sheet.height = Math.round(picture.height * share);
  sheet.getContext("2d").drawImage(picture, 0, 0, sheet.width, sheet.height);
  const made = await new Promise((good) => sheet.toBlob(good, "image/jpeg", 0.85));
  if (!made) throw new Error("the browser gave no picture");
  return made;
}

const id = decodeURIComponent(location.pathname.split("/")[2] || "");
if (id) {
  const bench = new Bench(id);
  bench.begin();
} else {
  whichJob();
}
