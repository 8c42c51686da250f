// Pieces all screens of the bench are made of. Everything from the job goes in as text, never as markup.

import {judged} from "./reading.js";

/**
 * An element with attributes, handlers ("onclick") and children.
 * @param {string} name
 * @param {Record<string, any>} [what]
 * @param {...(Node|string|null|undefined|false)} inside
 * @returns {HTMLElement}
 */
export function el(name, what = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(what)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value === true ? "" : String(value));
  }
  made.append(...inside.filter((x) => x !== null && x !== undefined && x !== false));
  return made;
}

/** Words for everybody, also those who hear the page. @param {string} words */
export function say(words) {
  const place = document.getElementById("say");
  place.textContent = words;
  place.classList.add("shown");
  clearTimeout(say.timer);
  say.timer = setTimeout(() => place.classList.remove("shown"), 4000);
}

/** A framed caution for each of some words. @param {string[]} words */
export function cautions(words) {
  return words.map((one) => el("p", {class: "caution"}, el("strong", {}, "Caution "), one));
}

/**
 * Something to tick: shows as done once it is kept on this device.
 * @param {import("./bench.js").Bench} bench
 * @param {{what: string, of: string}} thing
 * @param {string} words
 * @param {...(Node|string|null)} more
 */
export function tick(bench, thing, words, ...more) {
  const {records} = bench;
  const box = el("button", {class: "tick", type: "button"}, el("span", {class: "box", "aria-hidden": "true"}));
  box.append(el("span", {class: "words"}, words, ...more));
  const show = () => {
    const last = records.tickOf(thing.what, thing.of);
    const done = last?.value === "done";
    box.setAttribute("aria-pressed", String(done));
    box.classList.toggle("waiting", Boolean(last && !last.number));
    box.classList.toggle("differs", records.apartOf(thing.what, thing.of).length > 0);
  };
  box.addEventListener("click", async () => {
    if (!(await bench.known())) return;
    box.disabled = true;
    try {
      await records.tick([thing], !records.isDone(thing.what, thing.of));
      bench.sending.go();
    } catch (fault) {
      say(`Not ticked: ${fault.message}`);
    } finally {
      box.disabled = false;
      show();
    }
  });
  show();
  bench.follow(show);
  const made = document.createDocumentFragment();
  made.append(box, apartNote(bench, thing));
  return made;
}

/** A reading's judgement in words and a sign. @param {string} value @param {string} limits */
export function judgement(value, limits) {
  const found = judged(value, limits);
  if (found === "good") return el("span", {class: "good"}, "✓ good");
  if (found === "out") return el("span", {class: "out"}, "✕ outside");
  return el("span", {class: "noted"}, limits ? "? not a reading in these units" : "noted");
}

/**
 * A note that shows while devices tell different things.
 * @param {import("./bench.js").Bench} bench
 * @param {{what: string, of: string, unit?: string}} thing
 * @param {string} [words] names the thing where the note stands by itself
 */
export function apartNote(bench, thing, words = "") {
  const place = el("div", {class: "apart", role: "group", "aria-label": "Told differently"});
  const show = () => {
    const told = bench.records.apartOf(thing.what, thing.of);
    place.hidden = !told.length;
    place.replaceChildren(...(told.length ? [el("p", {}, el("strong", {}, "≠ Two devices tell different things"), words ? ` of ${words}` : "", ". Both are kept; the later one counts. Look at the piece, then say what holds:"),
      ...told.map((one, n) => line(bench, one, thing.unit, n))] : []));
  };
  show();
  bench.follow(show);
  return place;
}

function line(bench, one, unit, n) {
  const words = valueWords(one, unit);
  const settle = async () => {
    if (!(await bench.known())) return;
    try {
      await bench.records.settle(one);
    } catch (fault) {
      say(`Not settled: ${fault.message}`);
      return;
    }
    say(`Settled: ${words}.`);
    bench.sending.go();
  };
  return el("div", {class: "told"}, el("span", {}, el("strong", {}, words), el("small", {}, ` ${one.who}, ${one.when.slice(0, 16).replace("T", " ")}${one.number ? "" : ", not sent yet"}${n ? "" : "; counts"}`)),
    el("button", {type: "button", onclick: settle, "aria-label": `${words} holds`}, "This holds"));
}

const valueWords = ({value}, unit) => (value === "yes" ? "as it should be" : value === "no" ? "not so" : value === "done" ? "done" : unit && /^[-+.,\deE]+$/.test(value) ? `${value} ${unit}` : value);

/**
 * Something to measure: typed, or sent by a meter that types and presses Enter; Enter goes on to the next.
 * @param {import("./bench.js").Bench} bench
 * @param {{what: string, of: string, words: string, unit?: string, should: string, limits: string,
 *   detail?: string}} one
 */
export function entry(bench, one) {
  const {records} = bench;
  const result = el("div", {class: "result"});
  const yes = one.limits === "yes";
  const name = `f${++entry.count}`;
  const field = yes ? null : el("input", {
    id: name, class: "value", inputmode: "decimal", autocomplete: "off", enterkeyhint: "next",
    "aria-describedby": `${name}s`, placeholder: one.unit || "",
  });
  const take = async (value) => {
    if (!value.trim() || !(await bench.known())) return;
    try {
      await records.enter(one.what, one.of, value.trim(), one.limits);
    } catch (fault) {
      say(`Not kept: ${fault.message}`);
      return;
    }
    if (field) field.value = "";
    const found = judged(value, one.limits);
    say(found === "out" ? `${one.words}: outside ${one.should}. Kept; measure again once mended.` : `${one.words}: kept.`);
    bench.sending.go();
    goOn(field || result);
  };
  field?.addEventListener("keydown", (press) => {
    if (press.key !== "Enter") return;
    press.preventDefault();
    take(field.value);
  });
  const show = () => {
    const all = records.readingsOf(one.what, one.of);
    const last = all.at(-1);
    result.replaceChildren();
    if (!last) return;
    result.append(el("strong", {}, yes ? (last.value === "yes" ? "as it should be" : "not so") : withUnit(last.value, one.unit)), " ", judgement(last.value, last.limits));
    result.append(el("small", {}, ` ${last.who}, ${last.when.slice(0, 16).replace("T", " ")}${last.number ? "" : ", not sent yet"}`));
    if (all.length > 1) {
      const before = all.slice(0, -1).map((r) => `${r.value} (${judged(r.value, r.limits) || "noted"})`).join(", ");
      result.append(el("small", {class: "before"}, `Before: ${before}`));
    }
  };
  show();
  bench.follow(show);
  const head = el(yes ? "p" : "label", yes ? {class: "ask"} : {for: name, class: "ask"}, el("strong", {}, one.words), one.detail ? el("span", {class: "detail"}, one.detail) : null);
  const controls = yes
    ? el("div", {class: "pair"},
      el("button", {type: "button", class: "yes", "aria-label": `${one.words}: as it should be`, onclick: () => take("yes")}, "✓ as it should be"),
      el("button", {type: "button", class: "no", "aria-label": `${one.words}: not so`, onclick: () => take("no")}, "✕ not so"))
    : el("div", {class: "pair"}, field, el("button", {type: "button", class: "keep", "aria-label": `Keep ${one.words}`, onclick: () => take(field.value)}, "Keep"));
  return el("div", {class: "entry"}, head, el("p", {class: "should", id: `${name}s`}, one.should), controls, result, apartNote(bench, one));
}
entry.count = 0;

function withUnit(value, unit) {
  return unit && /^[-+.,\deE]+$/.test(value) ? `${value} ${unit}` : value;
}

/** Put the cursor into the next empty field, for a meter that types. */
function goOn(from) {
  const fields = [...document.querySelectorAll("main .entry")];
  const at = fields.findIndex((one) => one.contains(from));
  const next = fields.slice(at + 1).find((one) => !one.querySelector(".result")?.hasChildNodes());
  (next?.querySelector("input") || next?.querySelector("button"))?.focus();
}

/**
 * A question over the page.
 * @param {string} title
 * @param {(Node|string|null)[]} inside
 * @param {[string, any][]} answers words and value; the first one is the usual
 * @returns {Promise<any>} undefined where it was closed
 */
export function askFor(title, inside, answers) {
  return new Promise((good) => {
    let value;
    const id = `t${Date.now()}`;
    const close = (told) => {
      value = told;
      dialog.close();
    };
    const buttons = answers.map(([words, told], n) => el("button", {
      type: n ? "button" : "submit", class: n ? "" : "main", onclick: (e) => { e.preventDefault(); close(told); },
    }, words));
    const form = el("form", {method: "dialog"}, el("h2", {id}, title), ...inside, el("div", {class: "answers"}, ...buttons));
    const dialog = /** @type {HTMLDialogElement} */ (el("dialog", {"aria-labelledby": id}, form));
    dialog.addEventListener("close", () => {
      dialog.remove();
      good(value);
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}

/** Note, photo and minutes of a thing, as three buttons with what is there already. */
export function extras(bench, of, words) {
  const {records} = bench;
  const list = el("div", {class: "notes"});
  const show = () => {
    const notes = records.notes.get(of) || [];
    const spent = (records.spent.get(of) || []).map((r) => `${r.value} min (${r.who})`);
    list.replaceChildren(
      ...notes.map((r) => el("p", {class: "note"},
        r.number && r.photo ? el("a", {href: `${bench.sending.path}/records/photo/${r.photo}`, target: "_blank"},
          el("img", {src: `${bench.sending.path}/records/photo/${r.photo}`, alt: `Photo of ${words}`, loading: "lazy"})) : null,
        r.value === "photo" && !r.number ? "Photo, " : null, r.number ? null : "not sent yet. ", r.note, el("small", {}, ` ${r.who}, ${r.when.slice(0, 16).replace("T", " ")}`))),
      spent.length ? el("p", {class: "note"}, `Time: ${spent.join(", ")}`) : "",
    );
  };
  show();
  bench.follow(show);
  const file = /** @type {HTMLInputElement} */ (el("input", {type: "file", accept: "image/*", capture: "environment", class: "hidden", "aria-label": `Photo of ${words}`}));
  file.addEventListener("change", async () => {
    if (file.files?.[0]) await bench.photo(of, words, file.files[0]);
    file.value = "";
  });
  return el("div", {class: "extras"},
    el("button", {type: "button", onclick: () => bench.note(of, words)}, "Note"),
    el("button", {type: "button", onclick: async () => { if (await bench.known()) file.click(); }}, "Photo"), file, list);
}
