// The dial of a point: looking outward from the datum, which hour a section leaves at; or by car direction.
import { choice, el, field } from "../desk/make.js";
import { svg } from "./draw.js";

const MIDDLE = 118;
const HOURS = 88; // radius of the hours, of the words inside [px]
const WORDS = 56;
const LEANS = ["outward", "square", "back"];
const AGAINST = { up: "down", down: "up", left: "right", right: "left", front: "back", back: "front" };

const place = (hour, radius) => [MIDDLE + radius * Math.sin((hour * Math.PI) / 6), MIDDLE - radius * Math.cos((hour * Math.PI) / 6)];

/**
 * A point's dial, for one of the sections that leave it.
 * @param {import("../desk/store.js").Store} desk
 */
export function exitDial(desk, loom, point, out) {
  const held = chosenOut(desk, out);
  const box = el("section.stack", { "aria-label": "Exits" });
  const draw = (one) => {
    const lean = choice(one.lean || "outward", LEANS, { onchange: () => { if (one.exit) write(one, one.exit, lean.value); } });
    const which = choice(one.outer, out.map((x) => [x.outer, `${x.outer}: ${x.exit_words || "not noted"}`]), { onchange: () => { const next = out.find((x) => x.outer === which.value); desk.exitShown = next.key; draw(next); } });
    const way = choice(one.exit, ["", ...directions(loom.axes)], { onchange: () => { if (way.value) write(one, way.value, lean.value); } });
    box.replaceChildren(el("h3", {}, "Exits"), field("Section to", which), dial(point, one, out, (hour) => write(one, `${hour} o'clock`, lean.value)),
      el("div.row", {}, field("Car direction", way), field("Lean", lean)));
  };
  const write = (one, words, lean) => {
    const value = lean === "outward" ? words : `${words}, ${lean}`;
    return desk.edit([{ verb: "set", path: ["exit", point.name, one.outer], value }], `${one.outer} leaves ${point.name}: ${value}`);
  };
  draw(held);
  return box;
}

function chosenOut(desk, out) {
  return out.find((x) => x.key === desk.exitShown) || out.find((x) => !x.exit) || out[0];
}

/** The car directions: one axis or two that go together. */
function directions(axes) {
  const pairs = axes.flatMap((a, n) => axes.slice(n + 1).filter((b) => AGAINST[a] !== b).map((b) => `${a} ${b}`));
  return [...axes, ...pairs];
}

function dial(point, one, out, set) {
  const face = el("div.dial", { role: "radiogroup", "aria-label": `Hour at which ${one.outer} leaves ${point.name}, looking ${one.look}` });
  const lines = svg("svg", { viewBox: `0 0 ${2 * MIDDLE} ${2 * MIDDLE}`, "aria-hidden": "true" });
  for (const x of out) {
    if (!x.clock) continue;
    const [x2, y2] = place(x.clock, HOURS - 18);
    lines.append(svg(`line.${x === one ? "hand" : "other"}`, { x1: MIDDLE, y1: MIDDLE, x2, y2 }));
  }
  face.append(lines);
  for (const [hour, words] of Object.entries(one.quarters)) at(face, el("span.quarter", {}, words), place(Number(hour), WORDS));
  const hours = [];
  for (let hour = 1; hour <= 12; hour += 1) hours.push(hourButton(face, hour, one, set, hours));
  const straight = one.exit && !one.clock ? "straight on" : "";
  at(face, el("span.middle", {}, straight || `looking ${one.look}`), [MIDDLE, MIDDLE]);
  turnable(face, hours, set);
  return face;
}

function hourButton(face, hour, one, set, hours) {
  const button = el("button.hour", { type: "button", role: "radio", "aria-checked": String(one.clock === hour), "aria-label": `${hour} o'clock`, tabIndex: hour === (one.clock || 12) ? 0 : -1, onclick: () => set(hour) }, String(hour));
  button.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!by) return;
    event.preventDefault();
    hours[(hour - 1 + by + 12) % 12].focus();
  });
  at(face, button, place(hour, HOURS + 4));
  return button;
}

/** Let the hand be turned with a pointer; the hour it is let go at counts. */
function turnable(face, hours, set) {
  let turning = null;
  const hourAt = (event) => {
    const frame = face.getBoundingClientRect();
    const deg = (Math.atan2(event.clientX - frame.left - MIDDLE, MIDDLE - event.clientY + frame.top) * 180) / Math.PI;
    return Math.round(deg / 30 + 12) % 12 || 12;
  };
  face.addEventListener("pointerdown", (event) => {
    if (event.target.closest("button")) return;
    turning = hourAt(event);
    face.setPointerCapture(event.pointerId);
  });
  face.addEventListener("pointermove", (event) => {
    if (turning === null) return;
    turning = hourAt(event);
    hours.forEach((button, n) => button.setAttribute("aria-checked", String(n + 1 === turning)));
  });
  face.addEventListener("pointerup", () => {
    if (turning !== null) set(turning);
    turning = null;
  });
}

function at(face, one, [x, y]) {
  one.style.left = `${x}px`;
  one.style.top = `${y}px`;
  face.append(one);
}
