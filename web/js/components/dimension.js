/** A dimension line of dates, as on a drawing: as-of, wanted and forecast finish, and what lies between. */

import { el, svg } from "../lib/dom.js";
import { daysBetween, formatDate, formatDays, formatNumber } from "../lib/format.js";

const WIDTH = 640;
const HEIGHT = 108;
const LINE = 66;
const EDGE = 4;

/**
 * @param {{as_of: string, finish: string, target_finish: string | null}} forecast
 * @returns {HTMLElement | null} Nothing where all dates are the same.
 */
export function dimension({ as_of: asOf, finish, target_finish: target }) {
  const marks = [
    { iso: asOf, text: "as of", kind: "as-of" },
    ...(target ? [{ iso: target, text: "target", kind: "target" }] : []),
    { iso: finish, text: "finish", kind: "finish" },
  ].sort((a, b) => a.iso.localeCompare(b.iso));
  const first = marks[0].iso;
  if (first === marks.at(-1).iso) return null;
  const span = Math.max(1, daysBetween(first, marks.at(-1).iso));
  const x = (iso) => EDGE + (daysBetween(first, iso) / span) * (WIDTH - 2 * EDGE);
  const gaps = marks.slice(1).map((mark, at) => ({ from: marks[at].iso, to: mark.iso }));
  return el(
    "figure.dimension",
    { "aria-hidden": "true" },
    svg(
      "svg",
      { viewBox: `0 0 ${WIDTH} ${HEIGHT}` },
      marks.map((mark) => extension(mark, x(mark.iso))),
      gaps.map(({ from, to }) => measured(x(from), x(to), distance(daysBetween(from, to)))),
      lettered(marks, x),
    ),
  );
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

/** Names above the line's ends; two that stand close are set apart above and below. */
function lettered(marks, x) {
  return marks.map(({ iso, text }, at) => {
    const near = at > 0 && x(iso) - x(marks[at - 1].iso) < 190;
    const anchor = at === 0 ? "start" : at === marks.length - 1 ? "end" : "middle";
    return svg(
      "text",
      { class: "dimension-name", x: x(iso), y: near ? 100 : 26, "text-anchor": anchor },
      `${text} ${formatDate(iso)}`,
    );
  });
}

function distance(days) {
  return days >= 56 ? `${formatNumber(Math.round(days / 7))} weeks` : formatDays(days);
}
