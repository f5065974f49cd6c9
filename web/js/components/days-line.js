/** Days as a dimension line, several to one scale; the figure stands on the line or beside it. */

import { svg } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";

const WIDTH = 320;
const HEIGHT = 34;
const LINE = 24;
const EDGE = 3;

/**
 * @param {number} days
 * @param {number} longest Of all that are drawn to this scale.
 * @param {object} [options]
 * @param {string} [options.label] For those who cannot see it; left out, the words beside it say it.
 * @param {string} [options.text] On the line, in place of the days.
 * @returns {SVGElement}
 */
export function daysLine(days, longest, { label, text = formatDays(Math.round(days)) } = {}) {
  const end = EDGE + (days / longest) * (WIDTH - 2 * EDGE);
  const fits = end > text.length * 9 + 30;
  const arrow = (x, way) => svg("path", { class: "days-arrow", d: `M${x} ${LINE} l${way * 10} -3.5 v7 Z` });
  const named = label ? { role: "img", "aria-label": label } : { "aria-hidden": "true" };
  return svg(
    "svg",
    { class: "days-line", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, ...named },
    svg("path", { class: "days-edge", d: `M${EDGE} 8 V${HEIGHT} M${end} 8 V${HEIGHT}` }),
    svg("path", { class: "days-reach", d: `M${EDGE} ${LINE} H${end}` }),
    end > 26 ? [arrow(EDGE, 1), arrow(end, -1)] : null,
    svg("text", { class: "days-text", x: fits ? (EDGE + end) / 2 : end + 8, y: fits ? LINE - 7 : LINE + 5, "text-anchor": fits ? "middle" : "start" }, text),
  );
}
