// The records as this device knows them: those stored by the program and those still waiting here.
// A record is made here with an id of its own, so that sending it twice does no harm.

import * as kept from "./kept.js";
import {apart, headsOf, replacedBy} from "./apart.js";
import {judged} from "./reading.js";

/** @typedef {{id: string, who: string, when: string, what: string, of: string, value: string, note: string,
 *   photo: string, replaces: string, limits: string, number?: number, turn?: number, refused?: string}} Record */

const TICKS = new Set(["cut", "marked", "laid", "spliced", "crimped", "inserted", "step"]);
const READINGS = new Set(["pull", "size", "trim", "length", "test"]);
const MOST_REPLACED = 8;
const KEY = (what, of) => `${what}\n${of}`;

/** A random id; the browser's own maker of ids is closed to plain http. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

/** Time with the offset of this place, as 2026-05-04T17:20:31+02:00. */
export function now() {
  const here = new Date();
  const off = -here.getTimezoneOffset();
  const two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  const local = new Date(here.getTime() + off * 60000).toISOString().slice(0, 19);
  return `${local}${off < 0 ? "-" : "+"}${two(off / 60)}:${two(off % 60)}`;
}

export class Records {
  /** @param {string} job */
  constructor(job) {
    this.job = job;
    /** @type {Map<string, Record>} */
    this.byId = new Map();
    /** @type {Map<string, Record>} */
    this.waiting = new Map();
    this.last = 0;
    this.turn = 0;
    this.keeps = true;
    this.who = "";
    /** @type {Set<() => void>} */
    this.listeners = new Set();
    /** @type {((record: Record) => Promise<void>)|null} */
    this.sendNow = null;
    this.sort();
  }

  /** Fetch what this device kept of the job. */
  async load() {
    this.keeps = await kept.open();
    for (const one of await kept.all("seen", this.job)) this.byId.set(one.id, one);
    for (const one of await kept.all("queue", this.job)) {
      this.byId.set(one.id, one);
      this.waiting.set(one.id, one);
      this.turn = Math.max(this.turn, one.turn || 0);
    }
    this.last = (await kept.one("settings", [this.job, "last"])) || 0;
    this.who = (await kept.one("settings", ["", "who"])) || "";
    this.sort();
  }

  /** @param {() => void} listener */
  subscribe(listener) {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Records in the order they count: stored ones by number, then those waiting by turn. */
  ordered() {
    const rank = (r) => (r.number ? r.number : 1e12 + (r.turn || 0));
    return [...this.byId.values()].filter((r) => !r.refused).sort((a, b) => rank(a) - rank(b));
  }

  /** Find again what stands; tell everybody. */
  sort() {
    this.ticks = new Map();
    this.told = new Map();
    this.readings = new Map();
    this.notes = new Map();
    this.spent = new Map();
    const ordered = this.ordered();
    this.replaced = new Set(ordered.flatMap(replacedBy));
    for (const one of ordered) {
      const key = KEY(one.what, one.of);
      if (TICKS.has(one.what) || READINGS.has(one.what)) this.told.set(key, [...(this.told.get(key) || []), one]);
      if (TICKS.has(one.what)) this.ticks.set(key, one);
      else if (READINGS.has(one.what)) this.readings.set(key, [...(this.readings.get(key) || []), one]);
      else if (!this.replaced.has(one.id)) {
        const map = one.what === "time" ? this.spent : this.notes;
        map.set(one.of, [...(map.get(one.of) || []), one]);
      }
    }
    this.apart = [...this.told.values()].map(apart).filter((several) => several.length);
    for (const listener of this.listeners) listener();
  }

  /** What devices tell differently of a thing, the later first; none where they agree. @returns {Record[]} */
  apartOf(what, of) {
    return apart(this.told.get(KEY(what, of)) || []);
  }

  /** Ids of all records of a thing a new one takes the place of. */
  headIds(what, of) {
    return headsOf(this.told.get(KEY(what, of)) || []).slice(-MOST_REPLACED).map((r) => r.id).join(" ");
  }

  /** Settle what devices tell differently: a new record that says what holds. @param {Record} holds */
  settle({what, of, value, limits}) {
    const told = this.apartOf(what, of).map((r) => `${r.value} (${r.who})`).join(", ");
    return this.add([{what, of, value, limits, note: `settled between ${told}`, replaces: this.headIds(what, of)}]);
  }

  /** @param {string} what @param {string} of */
  isDone(what, of) {
    return this.ticks.get(KEY(what, of))?.value === "done";
  }

  /** @param {string} what @param {string} of @returns {Record|undefined} */
  tickOf(what, of) {
    return this.ticks.get(KEY(what, of));
  }

  /** Readings of a thing, oldest first; the last one counts. @returns {Record[]} */
  readingsOf(what, of) {
    return this.readings.get(KEY(what, of)) || [];
  }

  /** "open", "good", "out" or "noted". */
  stateOf(what, of) {
    const last = this.readingsOf(what, of).at(-1);
    return last ? judged(last.value, last.limits) || "noted" : "open";
  }

  /**
   * Make a record and put it on the device; resolves when it is kept, then the page may show it.
   * @param {Partial<Record>[]} told
   * @param {Blob|null} photo
   */
  async add(told, photo = null) {
    const made = told.map((one) => ({
      id: newId(), who: this.who, when: now(), value: "", note: "", photo: "", replaces: "", limits: "",
      what: "", of: "", ...one, turn: ++this.turn,
    }));
    if (this.keeps) {
      await kept.write(["queue", "photos"], (store) => {
        for (const one of made) store("queue").put(one, [this.job, one.id]);
        if (photo) store("photos").put(photo, [this.job, made[0].id]);
      });
    } else if (this.sendNow) {
      for (const one of made) await this.sendNow(one, photo);
    }
    for (const one of made) {
      this.byId.set(one.id, one);
      if (this.keeps) this.waiting.set(one.id, one);
    }
    this.sort();
    return made;
  }

  /** Tick or take back several things at once. */
  tick(things, done = true) {
    const changed = things.filter((t) => this.isDone(t.what, t.of) !== done);
    const value = done ? "done" : "taken back";
    return this.add(changed.map((t) => ({
      what: t.what, of: t.of, value, replaces: this.headIds(t.what, t.of),
    })));
  }

  /** Enter a reading; the ones before it are kept. */
  enter(what, of, value, limits, note = "") {
    return this.add([{what, of, value, limits, note, replaces: this.headIds(what, of)}]);
  }

  /** What the program says it stored: not waiting any more. @param {{id: string, number: number}[]} accepted */
  async stored(accepted) {
    const told = accepted.map((a) => [this.byId.get(a.id), a.number]).filter(([one]) => one);
    const clean = told.map(([one, number]) => ({...one, number}));
    if (this.keeps) {
      await kept.write(["queue", "seen"], (store) => {
        for (const one of clean) {
          store("seen").put(one, [this.job, one.id]);
          store("queue").delete([this.job, one.id]);
        }
      });
    }
    for (const one of clean) {
      this.byId.set(one.id, one);
      this.waiting.delete(one.id);
    }
    this.sort();
  }

  /** Records the program can't take stay here, with its reason. @param {{id: string, why: string}[]} refused */
  async refused(refused) {
    for (const {id, why} of refused) {
      const one = this.byId.get(id);
      if (!one) continue;
      one.refused = why;
      if (this.keeps) await kept.write(["queue"], (store) => store("queue").put(one, [this.job, id]));
    }
    if (refused.length) this.sort();
  }

  /** Records of other devices, and own ones with their numbers. @param {Record[]} records @param {number} last */
  async seen(records, last) {
    if (!records.length && last === this.last) return;
    if (this.keeps) {
      await kept.write(["seen", "queue", "settings"], (store) => {
        for (const one of records) {
          store("seen").put(one, [this.job, one.id]);
          store("queue").delete([this.job, one.id]);
        }
        store("settings").put(last, [this.job, "last"]);
      });
    }
    for (const one of records) {
      this.byId.set(one.id, one);
      this.waiting.delete(one.id);
    }
    this.last = last;
    if (records.length) this.sort();
  }
}
