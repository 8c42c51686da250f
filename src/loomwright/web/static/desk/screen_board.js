// Forming board: as it will print at 1:1; angles by dragging.
import { el } from "./make.js";
import { view } from "./view_of.js";

export function mount(place, desk, key) {
  const drawn = el("div");
  const hint = el("p.hint", {}, "There is no board yet. It comes from the rope: measure it first.");
  place.append(el("div.stack", {}, el("h2", {}, "Forming board"), hint, drawn));
  const inner = view(drawn, desk, "board", key);
  const show = () => { hint.hidden = desk.slices.tree.some((one) => one.sections.length); };
  show();
  return { update(names) { show(); inner.update(names); }, go: inner.go, destroy: inner.destroy };
}
