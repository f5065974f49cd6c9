/** What makes the date uncertain: each cause in a sentence, with the days it costs drawn as a dimension. */

import { datedText, el } from "../lib/dom.js";
import { formatDays, formatNumber, formatShare } from "../lib/format.js";
import { table } from "../lib/table.js";
import { daysLine } from "./days-line.js";

const SHOWN = 6;

/** What a source of uncertainty is. */
export const KINDS = {
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
    daysLine(cause.gain_days, longest, { label: `${formatDays(Math.round(cause.gain_days))} sooner` }),
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
