// Filling the fields beside a drawing anew without taking from the builder's hands what is being typed or reached.
import { fill } from "../desk/make.js";

const FOCUSABLE = "input, select, button";

/**
 * Fill a place with other fields; the one that had the focus has it again.
 * Returns false, and leaves all as it is, where something was typed there and not carried out yet.
 * @param {HTMLElement} side @param {Node[]} nodes @param {boolean} [carried] what was typed is carried out
 */
export function refill(side, nodes, carried = false) {
  const held = document.activeElement;
  const here = held && side.contains(held) ? held : null;
  if (here && !carried && here.tagName === "INPUT" && here.value !== here.defaultValue) return false;
  const name = here ? nameOf(here) : "";
  fill(side, ...nodes);
  if (here) [...side.querySelectorAll(FOCUSABLE)].find((one) => nameOf(one) === name)?.focus({ preventScroll: true });
  return true;
}

/** What a field is called, with its form. */
function nameOf(one) {
  const form = one.closest("[aria-label]");
  const own = one.getAttribute("aria-label") || one.closest("label")?.firstChild?.textContent || one.textContent;
  return `${form && form !== one ? form.getAttribute("aria-label") : ""} ${own}`;
}
