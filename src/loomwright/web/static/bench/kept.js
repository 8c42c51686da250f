// What this device keeps by itself: records not sent yet, records seen, the job as last fetched, settings.
// Written to the browser's own database with strict durability, so that a tick is on the device before it shows.

const NAME = "loomwright-bench";
const STORES = ["queue", "photos", "seen", "settings"];

/** @type {IDBDatabase|null} */
let base = null;

/**
 * Open the device's database; false where the browser keeps nothing (a private window, a full disk).
 * @returns {Promise<boolean>}
 */
export async function open() {
  try {
    base = await new Promise((good, bad) => {
      const asked = indexedDB.open(NAME, 1);
      asked.onupgradeneeded = () => STORES.forEach((name) => asked.result.createObjectStore(name));
      asked.onsuccess = () => good(asked.result);
      asked.onerror = () => bad(asked.error);
      asked.onblocked = () => bad(new Error("blocked"));
    });
    base.onversionchange = () => base?.close();
    return true;
  } catch {
    base = null;
    return false;
  }
}

/**
 * Carry out changes, all or none; resolves when they are on the device.
 * @param {string[]} stores
 * @param {(store: (name: string) => IDBObjectStore) => void} change
 * @returns {Promise<void>}
 */
export function write(stores, change) {
  return new Promise((good, bad) => {
    if (!base) return bad(new Error("This browser keeps nothing."));
    const going = base.transaction(stores, "readwrite", {durability: "strict"});
    going.oncomplete = () => good();
    going.onerror = going.onabort = () => bad(going.error || new Error("It could not be kept."));
    change((name) => going.objectStore(name));
  });
}

/**
 * All values of a store whose keys begin with a job's id.
 * @param {string} store
 * @param {string} job
 * @returns {Promise<any[]>}
 */
export function all(store, job) {
  return new Promise((good, bad) => {
    if (!base) return good([]);
    const range = IDBKeyRange.bound([job], [job, []]);
    const asked = base.transaction(store).objectStore(store).getAll(range);
    asked.onsuccess = () => good(asked.result);
    asked.onerror = () => bad(asked.error);
  });
}

/**
 * One value, undefined where there is none.
 * @param {string} store
 * @param {string[]} key
 * @returns {Promise<any>}
 */
export function one(store, key) {
  return new Promise((good, bad) => {
    if (!base) return good(undefined);
    const asked = base.transaction(store).objectStore(store).get(key);
    asked.onsuccess = () => good(asked.result);
    asked.onerror = () => bad(asked.error);
  });
}

/**
 * Keep a setting.
 * @param {string} job
 * @param {string} name
 * @param {unknown} value
 * @returns {Promise<void>}
 */
export function setting(job, name, value) {
  return write(["settings"], (store) => store("settings").put(value, [job, name]));
}
