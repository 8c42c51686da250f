// The job as this window knows it: its slices, edits with undo, what other windows and programs change.
import { askClash, say } from "./ask.js";
import { Lit } from "./lit.js";

/** @typedef {{verb: "set"|"remove"|"rename", path: (string|number)[], value?: any, reason?: string}} Edit */

const AGAIN_MS = 1500;

/** Fetch JSON; what the server refuses is thrown as {status, body}, an answer cut off half way as a server that does not answer. */
export async function fetchJson(path, options = {}) {
  const answer = await fetch(path, options);
  const body = answer.status === 204 ? null : await answer.json().catch((fault) => {
    if (answer.ok) throw fault;
    return { say: "The answer can't be read." };
  });
  if (!answer.ok) throw Object.assign(new Error(body.say), { status: answer.status, body });
  return body;
}

/** Send JSON. */
export function send(path, body) {
  return fetchJson(path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) });
}

export class Store {
  /** @param {string} id the job's id in addresses */
  constructor(id) {
    this.id = id;
    this.base = `/api/job/${id}`;
    this.digest = "";
    /** @type {Record<string, any>} */
    this.slices = {};
    this.can_undo = this.can_redo = false;
    this.lit = new Lit();
    this.listeners = new Set();
    this.held = new Set();
    this.tail = Promise.resolve();
    this.waiting = null;
    this.closed = false;
    /** set by the shell: show a screen @type {(screen: string, key?: string) => void} */
    this.go = () => {};
    this.say = say;
  }

  /** Read the job for the first time. */
  async open() {
    this.take(await fetchJson(this.base), "slices");
  }

  /** Call a function with the names of changed slices after every change; returns what ends it. */
  subscribe(tell) {
    this.listeners.add(tell);
    return () => this.listeners.delete(tell);
  }

  /** Fetch from below the job's address. */
  fetch(path) {
    return fetchJson(`${this.base}/${path}`);
  }

  /**
   * See that slices are here; heavy ones are fetched and kept fresh while a screen holds them.
   * Where nobody answers they come once somebody does, told as any change.
   * @param {string[]} names @returns {Promise<boolean>} whether they are here
   */
  async need(names) {
    for (const name of names) this.held.add(name);
    const missing = names.filter((name) => !(name in this.slices));
    if (!missing.length) return true;
    try {
      Object.assign(this.slices, (await this.read(missing)).slices);
      return true;
    } catch (fault) {
      say(fault.status ? fault.message : "The program does not answer; what this screen shows comes once it does.");
      return false;
    }
  }

  read(names) {
    return fetchJson(`${this.base}?${names.map((x) => `want=${x}`).join("&")}`);
  }

  /** Fetch what screens hold and could not get. */
  async makeGood() {
    const missing = [...this.held].filter((name) => !(name in this.slices));
    if (!missing.length) return;
    const { slices } = await this.read(missing);
    Object.assign(this.slices, slices);
    for (const tell of [...this.listeners]) tell(new Set(missing));
  }

  /** Let heavy slices go that no screen holds any more. */
  release(names) {
    for (const name of names) this.held.delete(name);
  }

  take(found, key) {
    this.digest = found.digest;
    this.can_undo = found.can_undo;
    this.can_redo = found.can_redo;
    for (const name of found.stale || []) if (!(name in found[key])) delete this.slices[name];
    Object.assign(this.slices, found[key]);
    const names = new Set([...Object.keys(found[key]), ...(found.stale || [])]);
    if (["wires", "tree", "devices"].some((name) => names.has(name))) this.lit.know(this.slices);
    for (const tell of [...this.listeners]) tell(names);
    return names;
  }

  want() {
    return this.held.size ? [...LIGHT, ...this.held] : LIGHT;
  }

  /** Carry out edits, all or none, one after the other; null = nothing was changed. @param {Edit[]} edits @returns {Promise<Set<string>|null>} */
  edit(edits, words = "") {
    return this.step("edits", { edits, words }, edits);
  }

  undo() {
    return this.step("undo", {});
  }

  redo() {
    return this.step("redo", {});
  }

  step(what, body, edits = null) {
    const done = this.tail.then(() => this.carryOut(what, body, edits)).catch((fault) => this.refused(fault));
    this.tail = done;
    return done;
  }

  async carryOut(what, body, edits) {
    this.waiting?.abort();
    try {
      return this.take(await send(`${this.base}/${what}`, { base: this.digest, want: this.want(), ...body }), "changed");
    } catch (fault) {
      if (fault.status !== 409) throw fault;
      return this.settle(fault.body, what, body, edits);
    }
  }

  /** Somebody else changed what an edit touches: show both; write again only when told to. */
  async settle(said, what, body, edits) {
    await this.refresh();
    if (!edits) {
      say(said.say);
      return null;
    }
    const pressed = await askClash(said);
    if (pressed === "copy") await navigator.clipboard?.writeText(JSON.stringify(edits, null, 1)).catch(() => {});
    return pressed === "mine" ? this.carryOut(what, body, edits) : null;
  }

  refused(fault) {
    say(fault.status ? fault.message : "The program does not answer. What you typed is not saved; start it again.", 8);
    return null;
  }

  /** What edits would change; null = refused. @param {Edit[]} edits */
  async preview(edits) {
    try {
      return await send(`${this.base}/preview`, { base: this.digest, edits });
    } catch (fault) {
      return this.refused(fault);
    }
  }

  /** Ask for everything that changed since the state known here. */
  async refresh() {
    const found = await this.read(this.want());
    if (found.digest !== this.digest) this.take({ ...found, stale: [] }, "slices");
  }

  /** Wait for changes from other windows and programs, as long as the page is open. */
  async watch() {
    while (!this.closed) {
      this.waiting = new AbortController();
      try {
        const want = this.want().map((x) => `want=${x}`).join("&");
        const found = await fetchJson(`${this.base}/since/${this.digest}?${want}`, { signal: this.waiting.signal });
        if (found && found.digest !== this.digest) this.take(found, "changed");
      } catch (fault) {
        if (fault.name === "AbortError") await this.tail;
        else {
          await new Promise((on) => { setTimeout(on, AGAIN_MS); });
          await this.refresh().then(() => this.makeGood()).catch(() => {});
        }
      }
    }
  }
}

const LIGHT = Object.freeze(["job", "file", "devices", "circuits", "rope", "exits", "passes", "tree", "wires", "splices", "bundles", "findings"]);
