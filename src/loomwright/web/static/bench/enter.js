// Coming in: the pass phrase of a shared device, the choice of a job.

import {el} from "./parts.js";
import {ask} from "./sending.js";

/** @param {() => void} then @returns {Node[]} */
export function loginPart(then) {
  const field = /** @type {HTMLInputElement} */ (el("input", {id: "phrase", class: "value", autocomplete: "off", autocapitalize: "none", spellcheck: "false"}));
  const fault = el("p", {class: "out", role: "alert"});
  const form = el("form", {class: "pair", onsubmit: async (e) => {
    e.preventDefault();
    try {
      await ask("/api/login", {method: "POST", headers: {"content-type": "application/json"}, body: JSON.stringify({phrase: field.value})});
      then();
    } catch (wrong) {
      fault.textContent = wrong.message;
    }
  }}, field, el("button", {class: "keep"}, "Log in"));
  return [el("h1", {}, "Log this device in"), el("label", {for: "phrase"}, "Pass phrase on the desk's screen, under Records & revisions"), form, fault];
}

export async function whichJob() {
  const place = document.getElementById("place");
  try {
    const {jobs} = await ask("/bench/-/jobs");
    place.replaceChildren(el("h1", {}, "Which job?"), el("ul", {class: "rows"}, ...jobs.map((one) => el("li", {}, el("a", {class: "step", href: `/bench/${encodeURIComponent(one.id)}`}, el("span", {class: "words"}, one.folder))))));
  } catch (fault) {
    place.replaceChildren(...(fault.status === 401 ? loginPart(() => location.reload()) : [el("h1", {}, "The jobs can't be shown"), el("p", {}, fault.message)]));
  }
}
