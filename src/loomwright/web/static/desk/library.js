// What the library knows, fetched once a page.
import { fetchJson } from "./store.js";

let known = null;

/** @returns {Promise<any>} kinds, faces and all closed lists of words */
export function library() {
  known ??= fetchJson("/api/library").catch((fault) => { known = null; throw fault; });
  return known;
}
