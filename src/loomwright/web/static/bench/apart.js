// Things two devices tell differently of one piece because neither knew of the other: both stay, the later counts.

import {judged, readingOf} from "./reading.js";

/** Ids of the records one takes the place of. @param {import("./records.js").Record} one */
export const replacedBy = (one) => (one.replaces ? one.replaces.split(" ") : []);

/** Of records of one thing, in the order they count, those no other of them knew of; the last one counts. */
export function headsOf(several) {
  const known = new Set(several.flatMap(replacedBy));
  return several.filter((one) => !known.has(one.id));
}

/** Those of the heads that tell different things, one for each thing told, the later first; none where all agree. */
export function apart(several) {
  const told = new Map();
  for (const one of headsOf(several).reverse()) if (!told.has(meaning(one))) told.set(meaning(one), one);
  return told.size > 1 ? [...told.values()] : [];
}

/** What a record says as far as it matters: two good readings agree, measures by their figure. */
function meaning({value, limits}) {
  return (limits && judged(value, limits)) || String(readingOf(value, "mm") ?? value.trim());
}
