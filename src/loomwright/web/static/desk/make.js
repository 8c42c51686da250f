// Making elements: every text goes in as text, never as markup.

/**
 * Make an element.
 * @param {string} tag name, with classes behind dots: "p.small"
 * @param {Record<string, any>} [props] attributes; on... are listeners, in `data` data attributes, `value` and the like properties
 * @param {...(Node|string|number|null|undefined|false)} inside children
 */
export function el(tag, props = {}, ...inside) {
  const [name, ...classes] = tag.split(".");
  const made = document.createElement(name);
  if (classes.length) made.className = classes.join(" ");
  give(made, props);
  put(made, ...inside);
  return made;
}

const PROPERTIES = new Set(["value", "checked", "disabled", "hidden", "selected", "indeterminate", "tabIndex", "readOnly", "open"]);

function give(made, props) {
  for (const [name, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false && !PROPERTIES.has(name)) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "class") made.className = `${made.className} ${value}`.trim();
    else if (name === "data") Object.assign(made.dataset, value);
    else if (PROPERTIES.has(name)) made[name] = value;
    else made.setAttribute(name, value === true ? "" : String(value));
  }
}

/** Put children into an element; empty ones are left out. */
export function put(place, ...inside) {
  for (const one of inside.flat()) {
    if (one === null || one === undefined || one === false) continue;
    place.append(one instanceof Node ? one : String(one));
  }
  return place;
}

/** Empty an element and put children into it. */
export function fill(place, ...inside) {
  place.replaceChildren();
  return put(place, ...inside);
}

/** A field with its label. */
export function field(words, input, more) {
  const id = `field${++fields}`;
  if (!input.hasAttribute("aria-label")) input.setAttribute("aria-labelledby", id);
  return el("label.field", {}, el("span", { id }, words), input, more || null);
}

let fields = 0;

/** A tick box with its label. */
export function tick(words, input) {
  return el("label.tick", {}, input, words);
}

/** A list to choose from; options are texts or [value, words]. */
export function choice(value, options, props = {}) {
  const pairs = options.map((one) => (Array.isArray(one) ? one : [one, one]));
  if (!pairs.some(([held]) => held === value)) pairs.unshift([value, value]);
  return el("select", props, pairs.map(([held, words]) => el("option", { value: held, selected: held === value }, words || "–")));
}

/** A number as the trade writes it, without needless digits; "" for nothing. */
export function figure(value, digits = 2) {
  if (value === null || value === undefined || value === "") return "";
  return String(Number(Number(value).toFixed(digits)));
}

/** Many or one: "1 wire", "3 wires". */
export function many(count, one, more = `${one}s`) {
  return `${count} ${count === 1 ? one : more}`;
}

/** Signs of the severities, so that colour is never the only carrier. */
export const SIGN = Object.freeze({ fault: "▲", caution: "◆", note: "○", good: "✓" });

/** Make a value at a key path out of nested tables and lists; undefined where there is none. */
export function valueAt(values, path) {
  let here = values;
  for (const step of path) {
    if (here === null || typeof here !== "object" || !Object.hasOwn(here, step)) return undefined;
    here = here[step];
  }
  return here;
}

/** A set edit. */
export const set = (path, value, reason = "") => ({ verb: "set", path, value, ...(reason ? { reason } : {}) });

/** A remove edit. */
export const remove = (path, reason = "") => ({ verb: "remove", path, ...(reason ? { reason } : {}) });

/** A rename edit. */
export const rename = (path, value) => ({ verb: "rename", path, value });
