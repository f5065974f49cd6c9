/**
 * What the line drawings of aircraft share.
 *
 * One unit is about a centimetre. Nose to the left; the side view is seen from the left, so
 * the left wing lies lower in the plan. A zone's `fill` is the box that its accomplished share
 * grows in, and the edge it grows from. Paths use absolute M, L, C and Z only.
 */

/**
 * @typedef {object} ZoneShape
 * @property {string} d Outline; may have several parts.
 * @property {{box: [number, number, number, number], from: "bottom"|"top"|"left"}} fill
 * @property {{at: [number, number], to?: [number, number], anchor?: "start"|"middle"|"end"}} [label]
 */

const PAIR = /(-?[\d.]+) (-?[\d.]+)/g;

/** Mirror a path about the centre line. @param {string} d */
export function mirrored(d) {
  return d.replace(PAIR, (_, x, y) => `${x} ${-Number(y)}`);
}

/** A path and its mirror image. @param {string} d */
export function bothSides(d) {
  return `${d} ${mirrored(d)}`;
}

/** Move a path. @param {string} d @param {number} dx @param {number} dy */
export function moved(d, dx, dy) {
  return d.replace(PAIR, (_, x, y) => `${Number(x) + dx} ${Number(y) + dy}`);
}

/** A circle. @param {number} x @param {number} y @param {number} radius */
export function circle(x, y, radius) {
  const k = Math.round(radius * 55.23) / 100; // control points of a quarter, the usual approximation
  return (
    `M${x - radius} ${y} C${x - radius} ${y - k} ${x - k} ${y - radius} ${x} ${y - radius} ` +
    `C${x + k} ${y - radius} ${x + radius} ${y - k} ${x + radius} ${y} ` +
    `C${x + radius} ${y + k} ${x + k} ${y + radius} ${x} ${y + radius} ` +
    `C${x - k} ${y + radius} ${x - radius} ${y + k} ${x - radius} ${y} Z`
  );
}

const BOX = [328, 188];

/** A box beside the plan view, for a zone that is no region of the airframe. */
function box(x, y) {
  const [width, height] = BOX;
  return `M${x} ${y} L${x + width} ${y} L${x + width} ${y + height} L${x} ${y + height} Z`;
}

/** The zone of such a box. @returns {ZoneShape} */
export function boxZone(x, y, label) {
  return { d: box(x, y), fill: { box: [x, y, ...BOX], from: "bottom" }, label };
}

/** Battery, bus and consumers, in a box at its upper left corner, from 0 0. */
const CIRCUIT =
  "M36 44 L80 44 L80 94 L36 94 Z M48 44 L48 32 M68 44 L68 32 " +
  "M80 68 L292 68 M126 68 L126 128 M180 68 L180 128 M234 68 L234 128 M288 68 L288 128 " +
  "M114 140 L138 140 M168 140 L192 140 M222 140 L246 140 M276 140 L300 140 " +
  "M114 128 L138 128 L138 152 L114 152 Z M168 128 L192 128 L192 152 L168 152 Z M222 128 L246 128 L246 152 L222 152 Z M276 128 L300 128 L300 152 L276 152 Z";

/** The systems, as a box beside the plan view. */
export function systemsBox(x, y, label) {
  return { zone: boxZone(x, y, label), lines: moved(CIRCUIT, x, y) };
}

/** Ribs of the wings, every so far, for `lines.ribs`. */
export function ribLines({ first, step, count, from, to }) {
  const ys = Array.from({ length: count }, (_, index) => first + index * step);
  return ys.map((y) => `M${from} ${y} L${to} ${y}`).join(" ");
}
