/**
 * An uncertain date: "likely 14 Jan 2028 · 80 % by 3 Mar 2028", and the band that belongs to it.
 *
 * The band is a dimension line with its tolerance. The line reaches from the date that is kept
 * with 1 chance in 10 to that with 9; a heavy upright stands at the likely date, a ruled box of
 * upright strokes reaches from there to an arrow against the 80 % date. A wanted date is an open
 * triangle on its point. Its dates always stand in words beside it: the drawing is for the eye.
 */

import { el, svg, when } from "../lib/dom.js";
import { daysBetween } from "../lib/format.js";
import { t } from "../lib/text.js";

const HEIGHT = 20;
const LINE = 12;
const BOX = 4;
const EDGE = 5;
const WIDTHS = { tiny: 80, row: 180, wide: 360 };

/** @typedef {{p10: string, p50: string, p80: string, p90: string}} Spread Plain dates, or amounts. */

/** Whether nothing is uncertain in a date. @param {Spread} spread */
export function isCertain({ p10, p90 }) {
  return p10 === p90;
}

/**
 * A date in words with its band.
 * @param {Spread} spread
 * @param {object} [options] As for `dateBand`.
 * @returns {HTMLElement}
 */
export function likelyDate(spread, options = {}) {
  if (isCertain(spread)) return el("span.likely-date", {}, when(spread.p50), el("span.by80", {}, t`nothing uncertain`));
  return el(
    "span.likely-date",
    {},
    el("span.likely", {}, t`likely ${when(spread.p50)}`),
    el("span.dot", { "aria-hidden": "true" }, " · "),
    el("span.by80", {}, t`80\u00a0% by ${when(spread.p80)}`),
    dateBand(spread, options),
  );
}

/**
 * The band alone. Give `from` and `to` to draw several to one scale.
 * @param {Spread} spread
 * @param {object} [options]
 * @param {string | null} [options.target] Drawn where it lies within the scale.
 * @param {string} [options.from] First date of the scale; else the 1-in-10 date.
 * @param {string} [options.to] Last date of the scale; else the 9-in-10 date.
 * @param {"tiny" | "row" | "wide"} [options.size]
 * @param {(from: string, to: string) => number} [options.distance] For what is no date.
 * @returns {SVGElement}
 */
export function dateBand(spread, { target = null, from = spread.p10, to = spread.p90, size = "row", distance = daysBetween } = {}) {
  const width = WIDTHS[size];
  const x = scale(from, to, { width, distance });
  const at = { p10: x(spread.p10), p50: x(spread.p50), p80: x(spread.p80), p90: x(spread.p90) };
  const isInside = target && distance(from, target) >= 0 && distance(target, to) >= 0;
  return svg(
    "svg",
    { class: `date-band ${size}`, viewBox: `0 0 ${width} ${HEIGHT}`, "aria-hidden": "true" },
    svg("path", { class: "band-reach", d: `M${at.p10} ${LINE} H${at.p90}${slash(at.p10)}${slash(at.p90)}` }),
    tolerance({ ...at, line: LINE, half: BOX }),
    svg("path", { class: "band-by80", d: `M${at.p80} ${LINE - 8} V${LINE + 8}` }),
    svg("path", { class: "band-likely", d: `M${at.p50} ${LINE - 8} V${LINE + 8}` }),
    isInside ? triangle(x(target)) : null,
  );
}

/** Place of a date across the drawing. @returns {(iso: string) => number} */
function scale(from, to, { width, distance }) {
  const span = distance(from, to);
  const rounded = (value) => Math.round(value * 10) / 10;
  if (span <= 0) return () => width / 2;
  return (iso) => rounded(EDGE + (distance(from, iso) / span) * (width - 2 * EDGE));
}

/** The end of a dimension line: an oblique stroke. */
function slash(x) {
  return ` M${x - 3} ${LINE + 3} l6 -6`;
}

/**
 * The box of upright strokes from the likely to the 80 % date, and the arrow against the latter.
 * @param {{p50: number, p80: number, line: number, half: number}} place Across; along and half high.
 * @returns {SVGElement[]}
 */
export function tolerance({ p50, p80, line, half }) {
  const length = p80 - p50;
  if (length < 1) return [];
  const strokes = [];
  for (let x = p50 + half; x < p80 - 1; x += half) strokes.push(`M${x} ${line - half} v${2 * half}`);
  const arrow = Math.min(2 * half, length / 2);
  return [
    svg("rect", { class: "band-box", x: p50, y: line - half, width: length, height: 2 * half }),
    svg("path", { class: "band-strokes", d: strokes.join("") || `M${p50} ${line}` }),
    svg("path", { class: "band-arrow", d: `M${p80} ${line} l${-arrow} ${-0.4 * arrow} v${0.8 * arrow} Z` }),
  ];
}

function triangle(x) {
  return svg("path", { class: "band-target", d: `M${x} ${LINE} l-4.5 -9 h9 Z` });
}
