// Readings as people and meters write them, held against limits. The program judges by the same rules
// (records/bench_reading.py); one table of samples is tried on both.

const OVERLOAD = /^[+-]?\s*(o\.?l\.?|ovl?d?|overload|inf(inity)?|open|> ?range)$/i;
const NUMBER = /^([+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([nuµmkKMG]?)\s*(ohms?|Ω|V|A|N|Hz|°?C)?\s*(?:DC|AC)?$/;
const MILLIMETRES = /^([+-]?(?:\d+[.,]?\d*|[.,]\d+))\s*(?:mm)?$/;
const SCPI_INFINITY = 9.9e37;
const TIMES = {n: 1e-9, u: 1e-6, "µ": 1e-6, m: 1e-3, "": 1, k: 1e3, K: 1e3, M: 1e6, G: 1e9};
const UNITS = {
  ohm: ["ohm", 1], mOhm: ["ohm", 1e-3], kOhm: ["ohm", 1e3], MOhm: ["ohm", 1e6],
  V: ["v", 1], mV: ["v", 1e-3], A: ["a", 1], N: ["n", 1], mm: ["mm", 1], min: ["min", 1], "°C": ["c", 1],
};
const UNIT = Object.keys(UNITS).join("|");
const BETWEEN = new RegExp(`^([-\\d.e+]+) to ([-\\d.e+]+) (${UNIT})$`);
const AT_MOST = new RegExp(`^at most ([-\\d.e+]+) (${UNIT})$`);
const AT_LEAST = new RegExp(`^at least ([-\\d.e+]+) (${UNIT})$`);

/** @typedef {{low: number|null, high: number|null, unit: string}} Limits */

/**
 * Limits that words say, null where they say none.
 * @param {string} text
 * @returns {Limits|null}
 */
export function limitsOf(text) {
  let found = BETWEEN.exec(text);
  if (found) return {low: Number(found[1]), high: Number(found[2]), unit: found[3]};
  found = AT_MOST.exec(text);
  if (found) return {low: null, high: Number(found[1]), unit: found[2]};
  found = AT_LEAST.exec(text);
  return found ? {low: Number(found[1]), high: null, unit: found[2]} : null;
}

/**
 * What a text says in a unit; Infinity = overload, null = no number or one of another unit.
 * @param {string} typed
 * @param {string} unit
 * @returns {number|null}
 */
export function readingOf(typed, unit) {
  const text = typed.trim();
  if (OVERLOAD.test(text)) return Infinity;
  const [base, size] = UNITS[unit];
  if (base === "mm" || base === "min") {
    const plain = MILLIMETRES.exec(text);
    return plain ? Number(plain[1].replace(",", ".")) : null;
  }
  const found = NUMBER.exec(text.replace("Ohm", "ohm").replace("OHM", "ohm"));
  if (!found) return null;
  const value = Number(found[1].replace(",", "."));
  const told = (found[3] || "").replace(/s$/, "").replace("Ω", "ohm").replace(/^°/, "").toLowerCase();
  if (told && told !== base) return null;
  if (Math.abs(value) >= SCPI_INFINITY) return Infinity;
  if (!told && !found[2]) return value;
  return value * TIMES[found[2]] / size;
}

/**
 * "good", "out", or "" where nobody can tell from the limits.
 * @param {string} value
 * @param {string} limits
 * @returns {""|"good"|"out"}
 */
export function judged(value, limits) {
  if (limits === "yes") return value === "yes" ? "good" : "out";
  const found = limitsOf(limits);
  const reading = found ? readingOf(value, found.unit) : null;
  if (!found || reading === null) return "";
  if (!Number.isFinite(reading) && found.high !== null) return "out";
  const low = found.low === null ? -Infinity : found.low;
  const high = found.high === null ? Infinity : found.high;
  return low <= reading && reading <= high ? "good" : "out";
}
