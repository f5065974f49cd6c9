/** What makes the date uncertain: each cause in a sentence, with the days it costs drawn as a dimension. */

import { datedText, el, svg } from "../lib/dom.js";
import { formatDays, formatNumber, formatShare } from "../lib/format.js";
import { table } from "../lib/table.js";

const SHOWN = 6;
const WIDTH = 320;
const HEIGHT = 34;
const LINE = 24;
const EDGE = 3;

const KINDS = {
  task: "Work",
  send_out: "Item away",
  vendor: "Vendor",
  zone: "Zone",
  trade: "Trade",
  risk: "Risk",
};

/**
 * @typedef {object} Cause
 * @property {string} kind
 * @property {string} id
 * @property {string} name
 * @property {number} gain_days
 * @property {number} standard_error_days
 * @property {number | null} rank_correlation
 * @property {number} criticality
 * @property {string} sentence
 */

/**
 * @param {Cause[]} causes The largest gain first.
 * @returns {HTMLElement[]}
 */
export function causesList(causes) {
  const telling = causes.filter(({ gain_days: gain, standard_error_days: error }) => gain > Math.max(0.5, 2 * error));
  const top = telling.slice(0, SHOWN);
  if (!top.length) return [el("p", {}, "No single cause stands out: none would bring the finish forward by a day or more."), behind(causes)];
  const longest = top[0].gain_days;
  return [
    el("p", {}, "One thing at a time, with all else as uncertain as it is. The days do not add up: one delay often hides behind another."),
    el("ol.causes", { role: "list" }, top.map((cause) => item(cause, longest))),
    behind(causes),
  ];
}

function item(cause, longest) {
  return el(
    "li",
    {},
    el("p.cause-kind", {}, KINDS[cause.kind] ?? cause.kind),
    el("p.cause-sentence", {}, datedText(cause.sentence)),
    bar(cause.gain_days, longest),
  );
}

/** A dimension line as long as the days, to one scale; the figure stands on it or beside it. */
function bar(days, longest) {
  const end = EDGE + (days / longest) * (WIDTH - 2 * EDGE);
  const text = formatDays(Math.round(days));
  const fits = end > text.length * 9 + 30;
  const arrow = (x, way) => svg("path", { class: "cause-arrow", d: `M${x} ${LINE} l${way * 10} -3.5 v7 Z` });
  return svg(
    "svg",
    { class: "cause-bar", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": `${text} sooner` },
    svg("path", { class: "cause-edge", d: `M${EDGE} 8 V${HEIGHT} M${end} 8 V${HEIGHT}` }),
    svg("path", { class: "cause-line", d: `M${EDGE} ${LINE} H${end}` }),
    end > 26 ? [arrow(EDGE, 1), arrow(end, -1)] : null,
    svg("text", { class: "cause-days", x: fits ? (EDGE + end) / 2 : end + 8, y: fits ? LINE - 7 : LINE + 5, "text-anchor": fits ? "middle" : "start" }, text),
  );
}

function behind(causes) {
  const signed = (days) => `${days < 0 ? "−" : ""}${formatNumber(Math.abs(days))}`;
  return el(
    "details.behind",
    {},
    el("summary", {}, "All causes as a table"),
    table({
      caption: "All causes, the largest gain first",
      rows: causes,
      empty: "No cause was found.",
      columns: [
        { label: "Cause", cell: (one) => one.name, heading: true },
        { label: "What it is", cell: (one) => KINDS[one.kind] ?? one.kind, sort: (one) => one.kind },
        { label: "Days gained, on average", cell: (one) => signed(one.gain_days), sort: (one) => one.gain_days, numeric: true },
        { label: "Sampling error, days", cell: (one) => formatNumber(one.standard_error_days), numeric: true },
        { label: "Sets the finish, share of courses", cell: (one) => formatShare(one.criticality), sort: (one) => one.criticality, numeric: true },
        { label: "Rank correlation with the finish", cell: (one) => (one.rank_correlation === null ? "several draws" : (Math.round(one.rank_correlation * 100) / 100).toLocaleString()), sort: (one) => one.rank_correlation, numeric: true },
      ],
    }),
    el("p.soft", {}, "A gain below nothing: the plan is already more careful here than what is likely."),
  );
}
