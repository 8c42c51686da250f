// Sending what waits, fetching what others did. Network may be gone for hours: nothing is dropped, everything
// is tried again, and a record sent twice is stored once.

import * as kept from "./kept.js";

const EVERY_MS = 3000;
const WAIT_MS = 15000;
const BATCH = 100;
const FIELDS = ["id", "who", "when", "what", "of", "value", "note", "photo", "replaces", "limits"];

/** A fault with the number of the answer; 0 = no answer came. */
export class NoAnswer extends Error {
  constructor(status, say) {
    super(say);
    this.status = status;
  }
}

/**
 * Ask the program; errors: NoAnswer.
 * @param {string} path
 * @param {RequestInit} [how]
 * @returns {Promise<any>}
 */
export async function ask(path, how = {}) {
  let answer;
  try {
    answer = await fetch(path, {...how, signal: AbortSignal.timeout(WAIT_MS), cache: "no-store"});
  } catch {
    throw new NoAnswer(0, "No network, or the program at the desk is not running.");
  }
  let said = {};
  try {
    said = await answer.json();
  } catch {
    if (answer.ok) throw new NoAnswer(0, "The answer was cut off.");
  }
  if (!answer.ok) throw new NoAnswer(answer.status, said.say || `The program answered ${answer.status}.`);
  return said;
}

export class Sending {
  /** @param {import("./records.js").Records} records @param {(state: object) => void} tell */
  constructor(records, tell) {
    this.records = records;
    this.tell = tell;
    /** @type {"on"|"off"|"login"} */
    this.line = "on";
    this.why = "";
    this.busy = false;
    this.again = false;
    records.sendNow = (one, photo) => this.sendOne(one, photo);
  }

  get path() {
    return `/api/job/${encodeURIComponent(this.records.job)}`;
  }

  /** Begin; goes on as long as the page is open. */
  start() {
    addEventListener("online", () => this.go());
    document.addEventListener("visibilitychange", () => document.hidden || this.go());
    addEventListener("pageshow", () => this.go());
    setInterval(() => document.hidden || this.go(), EVERY_MS);
    this.go();
  }

  /** Send and fetch now. */
  async go() {
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    try {
      do {
        this.again = false;
        await this.sendWaiting();
        await this.fetchNew();
      } while (this.again);
      this.set("on", "");
    } catch (fault) {
      this.set(fault.status === 401 ? "login" : "off", fault.message);
    } finally {
      this.busy = false;
    }
  }

  set(line, why) {
    this.line = line;
    this.why = why;
    this.tell();
  }

  async sendWaiting() {
    for (;;) {
      const open = [...this.records.waiting.values()].filter((r) => !r.refused);
      const batch = open.sort((a, b) => a.turn - b.turn).slice(0, BATCH);
      if (!batch.length) return;
      for (const one of batch) await this.sendPhoto(one);
      const body = JSON.stringify({records: batch.filter((r) => !r.refused).map(bare)});
      const said = await ask(`${this.path}/records`, {method: "POST", body, headers: JSON_HEAD});
      await this.records.stored(said.accepted);
      await this.records.refused(said.refused);
    }
  }

  /** A photo goes first; its record then names it by its digest. */
  async sendPhoto(one) {
    const photo = this.records.keeps ? await kept.one("photos", [this.records.job, one.id]) : undefined;
    if (!photo) return;
    try {
      one.photo = await this.photo(photo);
    } catch (fault) {
      if (fault.status !== 413 && fault.status !== 422 && fault.status !== 415) throw fault;
      await this.records.refused([{id: one.id, why: fault.message}]);
      return;
    }
    const key = [this.records.job, one.id];
    await kept.write(["queue", "photos"], (store) => {
      store("queue").put(one, key);
      store("photos").delete(key);
    });
  }

  /** @param {Blob} photo @returns {Promise<string>} its digest */
  async photo(photo) {
    const head = {"content-type": photo.type || "image/jpeg"};
    const said = await ask(`${this.path}/photo`, {method: "POST", body: photo, headers: head});
    return String(said.photo).split(".")[0];
  }

  /** Where the device keeps nothing: stored by the program, or an error. */
  async sendOne(one, photo) {
    if (photo) one.photo = await this.photo(photo);
    const body = JSON.stringify({records: [bare(one)]});
    const said = await ask(`${this.path}/records`, {method: "POST", body, headers: JSON_HEAD});
    if (said.refused.length) throw new NoAnswer(422, said.refused[0].why);
    one.number = said.accepted[0].number;
  }

  async fetchNew() {
    for (let more = true; more;) {
      const said = await ask(`${this.path}/records?after=${this.records.last}`);
      await this.records.seen(said.records, said.last);
      more = said.more;
    }
  }
}

const JSON_HEAD = {"content-type": "application/json"};

function bare(one) {
  return Object.fromEntries(FIELDS.map((name) => [name, one[name]]));
}
