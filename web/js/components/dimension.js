/**
 * A dimension line of dates, as on a drawing: as-of and wanted date, the likely finish and its
 * tolerance up to the 80 % date, and what lies between.
 */

import { el, svg } from "../lib/dom.js";
import { daysBetween, formatDate, formatDays } from "../lib/format.js";
import { many, t } from "../lib/text.js";
import { tolerance } from "./date-band.js";

const WIDTH = 640;
/** What lies under the last row of names. */
const FOOT = 6;
const LINE = 62;
const EDGE = 4;
/** Where names stand: above the line first, then below it. */
const ROWS = [24, 102, 130];
/** Room a letter takes at its largest. */
const LETTER = 10.5;

/**
 * @param {object} dates
 * @param {string} dates.as_of
 * @param {string | null} dates.target
 * @param {string} dates.finish The finish as written; left out where `spread` is given.
 * @param {import("./date-band.js").Spread | null} dates.spread
 * @returns {HTMLElement | null} Nothing where all dates are the same.
 */
export function dimension({ as_of: asOf, target, finish, spread }) {
  const ends = spread
    ? [{ iso: spread.p50, words: t`likely ${formatDate(spread.p50)}`, kind: "finish" }, { iso: spread.p80, words: t`80\u00a0% by ${formatDate(spread.p80)}`, kind: "by80" }]
    : [{ iso: finish, words: t`finish ${formatDate(finish)}`, kind: "finish" }];
  const marks = [
    { iso: asOf, words: t`as of ${formatDate(asOf)}`, kind: "as-of" },
    ...(target ? [{ iso: target, words: t`target ${formatDate(target)}`, kind: "target" }] : []),
    ...ends,
  ].sort((a, b) => a.iso.localeCompare(b.iso));
  const first = marks[0].iso;
  if (first === marks.at(-1).iso) return null;
  const span = Math.max(1, daysBetween(first, marks.at(-1).iso));
  const x = (iso) => EDGE + (daysBetween(first, iso) / span) * (WIDTH - 2 * EDGE);
  const names = placed(marks, x);
  const height = Math.max(ROWS[1], ...names.map(({ y }) => y)) + FOOT;
  const gaps = marks.slice(1).map((mark, at) => ({ from: marks[at], to: mark }));
  return el(
    "figure.dimension",
    { "aria-hidden": "true" },
    svg(
      "svg",
      { viewBox: `0 0 ${WIDTH} ${height}` },
      spread ? tolerance({ p50: x(spread.p50), p80: x(spread.p80), line: LINE, half: 8 }) : [],
      marks.map((mark) => extension(mark, x(mark.iso))),
      gaps.map(({ from, to }) => (isTolerance(from, to) ? [] : measured(x(from.iso), x(to.iso), distance(daysBetween(from.iso, to.iso))))),
      names.map(({ words, x: at, y, anchor }) => svg("text", { class: "dimension-name", x: at, y, "text-anchor": anchor }, words)),
    ),
  );
}

function isTolerance(from, to) {
  return from.kind === "finish" && to.kind === "by80";
}

function extension({ kind }, x) {
  return svg("line", { class: `dimension-edge ${kind}`, x1: x, x2: x, y1: 34, y2: 82 });
}

function measured(from, to, text) {
  if (to - from < 1) return [];
  const fits = to - from > text.length * 8 + 24;
  const arrow = (x, way) => svg("path", { class: "dimension-arrow", d: `M${x} ${LINE} l${way * 11} -3.5 v7 Z` });
  return [
    svg("line", { class: "dimension-line", x1: from, x2: to, y1: LINE, y2: LINE }),
    to - from > 24 ? [arrow(from, 1), arrow(to, -1)] : [],
    fits ? svg("text", { class: "dimension-text", x: (from + to) / 2, y: LINE - 8, "text-anchor": "middle" }, text) : [],
  ].flat();
}

/** Names at the ends of the extension lines, each in the first row that has room for it. */
function placed(marks, x) {
  const taken = ROWS.map(() => -Infinity);
  return marks.map(({ iso, words }) => {
    const width = words.length * LETTER;
    const middle = Math.min(Math.max(x(iso), width / 2), WIDTH - width / 2);
    const free = taken.findIndex((end) => middle - width / 2 > end);
    const row = free < 0 ? ROWS.length - 1 : free;
    taken[row] = middle + width / 2;
    const anchor = middle > x(iso) ? "start" : middle < x(iso) ? "end" : "middle";
    return { words, x: x(iso), y: ROWS[row], anchor };
  });
}

function distance(days) {
  return days >= 56 ? many(Math.round(days / 7), "{n} week", "{n} weeks") : formatDays(days);
}
