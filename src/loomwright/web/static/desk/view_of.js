// Put a drawn view into a screen; a screen stands without it when it can't be loaded.
import { el } from "./make.js";

/**
 * @param {HTMLElement} place @param {any} desk @param {string} name module below static/views/
 * @param {any} [key] what it is of
 */
export function view(place, desk, name, key) {
  const held = { inner: null, gone: false };
  import(`../views/${name}.js`).then((module) => {
    if (!held.gone) held.inner = module.mount(place, desk, key);
  }).catch((fault) => place.append(el("p.say", {}, `This drawing can't be shown: ${fault.message}`)));
  return {
    update: (names) => held.inner?.update?.(names),
    go: (one) => held.inner?.go?.(one),
    destroy() { held.gone = true; held.inner?.destroy?.(); },
  };
}
