// Drawing: SVG elements, the pack's drawings as the server sends them, one style sheet for all drawn views.

const SVG = "http://www.w3.org/2000/svg";

/**
 * Make an SVG element; text goes in as text.
 * @param {string} tag name, with classes behind dots: "g.section"
 * @param {Record<string, any>} [props] attributes; on... are listeners
 * @param {...(Node|string|null|undefined)} inside
 */
export function svg(tag, props = {}, ...inside) {
  const [name, ...classes] = tag.split(".");
  const made = document.createElementNS(SVG, name);
  if (classes.length) made.setAttribute("class", classes.join(" "));
  for (const [key, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value === true ? "" : String(value));
  }
  for (const one of inside.flat()) if (one) made.append(one);
  return made;
}

/** See that the drawn views' style sheet is in the page. */
export function withLook() {
  if (document.querySelector("link[data-views]")) return;
  const link = document.createElement("link");
  link.rel = "stylesheet";
  link.href = "/static/views/views.css";
  link.dataset.views = "";
  document.head.append(link);
}

/** A line's points as a path. @param {[number, number][]} line */
export function pathOf(line) {
  return line.map(([x, y], n) => `${n ? "L" : "M"}${x} ${y}`).join("");
}

/** Length of a line. @param {[number, number][]} line */
export function lengthOf(line) {
  let sum = 0;
  for (let n = 1; n < line.length; n += 1) sum += Math.hypot(line[n][0] - line[n - 1][0], line[n][1] - line[n - 1][1]);
  return sum;
}

/** The point some mm along a line, and the direction there in degrees as a page turns. @param {[number, number][]} line */
export function placeOn(line, mm) {
  let left = mm;
  for (let n = 1; n < line.length; n += 1) {
    const [x1, y1] = line[n - 1];
    const [x2, y2] = line[n];
    const size = Math.hypot(x2 - x1, y2 - y1);
    if (left <= size || n === line.length - 1) {
      const share = size ? left / size : 0;
      return { x: x1 + share * (x2 - x1), y: y1 + share * (y2 - y1), deg: (Math.atan2(y2 - y1, x2 - x1) * 180) / Math.PI };
    }
    left -= size;
  }
  return { x: line[0][0], y: line[0][1], deg: 0 };
}

/** The place on a line nearest to a point: how far along, how far off. @param {[number, number][]} line */
export function nearestOn(line, x, y) {
  let best = { mm: 0, off: Infinity };
  let before = 0;
  for (let n = 1; n < line.length; n += 1) {
    const [x1, y1] = line[n - 1];
    const dx = line[n][0] - x1;
    const dy = line[n][1] - y1;
    const size = Math.hypot(dx, dy) || 1e-9;
    const share = Math.min(1, Math.max(0, ((x - x1) * dx + (y - y1) * dy) / (size * size)));
    const off = Math.hypot(x1 + share * dx - x, y1 + share * dy - y);
    if (off < best.off) best = { mm: before + share * size, off };
    before += size;
  }
  return best;
}

/** The part of a line between two places on it. @param {[number, number][]} line @returns {[number, number][]} */
export function partOf(line, from, to) {
  const a = placeOn(line, from);
  const b = placeOn(line, to);
  const between = [];
  let before = 0;
  for (let n = 1; n < line.length - 1; n += 1) {
    before += Math.hypot(line[n][0] - line[n - 1][0], line[n][1] - line[n - 1][1]);
    if (before > from && before < to) between.push(line[n]);
  }
  return [[a.x, a.y], ...between, [b.x, b.y]];
}

const ANCHOR = { left: "start", middle: "middle", right: "end" };
const RISE = { base: 0, middle: 0.5, top: 1, bottom: -0.3 };
const CAP_SHARE = 0.72; // height of a capital over the size of the letters

/** A drawing of the pack as SVG; its ink follows the page, light or dark. */
export function drawingOf(view, label) {
  const made = svg("svg.drawing", { viewBox: `0 0 ${view.width_mm} ${view.height_mm}`, role: "group", "aria-label": label });
  for (const one of view.marks) made.append(markOf(one));
  return made;
}

/** One mark of a drawing as SVG. */
export function markOf(one) {
  if (one.is === "text") return textOf(one);
  const look = {
    class: `mark${one.fill ? ` fill-${inkOf(one.fill)}` : ""}${one.pen_mm ? "" : " bare"}`,
    "stroke-width": one.pen_mm,
    "stroke-dasharray": one.dash_mm ? one.dash_mm.join(" ") : null,
  };
  if (one.is === "circle") return svg("circle", { cx: one.x, cy: one.y, r: one.r, ...look });
  return svg("path", { d: pathOf(one.points) + (one.is === "shape" ? "Z" : ""), ...look });
}

/** The outline of a mark, for something to point at. */
export function outlineOf(one, props) {
  const { class: name, ...rest } = props;
  if (one.is === "circle") return svg(`circle.${name}`, { cx: one.x, cy: one.y, r: one.r, ...rest });
  return svg(`path.${name}`, { d: `${pathOf(one.points)}Z`, ...rest });
}

function inkOf(fill) {
  return { "#ffffff": "paper", "#000000": "ink" }[fill] || "grey";
}

function textOf(one) {
  const turn = (one.turned_deg * Math.PI) / 180;
  const rise = RISE[one.level] * one.tall_mm;
  const x = one.x - rise * Math.sin(turn);
  const y = one.y + rise * Math.cos(turn);
  return svg("text.mark-words", {
    x, y, "font-size": one.tall_mm / CAP_SHARE, "text-anchor": ANCHOR[one.side], "font-weight": one.bold ? 700 : null,
    textLength: one.text.length > 1 ? one.wide_mm : null, lengthAdjust: "spacingAndGlyphs",
    transform: one.turned_deg ? `rotate(${one.turned_deg} ${x} ${y})` : null,
  }, one.text);
}
