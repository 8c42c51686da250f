// How a tablet or phone gets to the bench pages: QR code, address, pass phrase.
import { el } from "./make.js";
import { fetchJson } from "./store.js";

/** A panel that tells it, or how to begin sharing. */
export async function sharePanel() {
  const found = await fetchJson("/api/share").catch(() => ({ address: "" }));
  if (!found.address) return el("p.small", {}, "To tick and measure on a tablet or phone: stop the program and start it with --share.");
  return el("section.sheet.stack", { "aria-label": "Bench devices" }, el("h3", {}, "Bench devices"),
    el("div.row", {}, el("img", { src: "/api/share/qr.svg", alt: `QR code of ${found.address}`, width: 165, height: 165 }),
      el("div.stack", {}, el("p", {}, "Open ", el("strong", {}, found.address), " on the device; both have to be in one network."), el("p", {}, "Pass phrase: ", el("strong", {}, found.phrase)),
        el("p.small", {}, "A device that logged in stays so when the program is started again, for 30 days; started with --new-phrase, it asks all for a new one. Who knows it can tick, measure and read papers, not edit the loom. What is sent can be read by others in the network."))));
}
