// What the library knows, fetched once a page.
import { fetchJson } from "./store.js";

let known = null;

const NOTHING = Object.freeze({ kinds: [], faces: [], shop: [], levels: [] });

/** @returns {Promise<any>} kinds, faces and all closed lists of words; empty ones while nobody answers */
export function library() {
  known ??= fetchJson("/api/library").catch(() => { known = null; return NOTHING; });
  return known;
}
