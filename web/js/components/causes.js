/** What makes the date uncertain: each cause in a sentence, with the days it costs drawn as a dimension. */

import { datedText, el } from "../lib/dom.js";
import { formatMoved, formatNumber, formatShare } from "../lib/format.js";
import { table } from "../lib/table.js";
import { t, told } from "../lib/text.js";
import { daysLine } from "./days-line.js";

const SHOWN = 6;

/** What a source of uncertainty is. */
export const KINDS = {
  task: t`Work`,
  send_out: t`Item away`,
  vendor: t`Vendor`,
  zone: t`Zone`,
  trade: t`Trade`,
  risk: t`Risk`,
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
  if (!top.length) return [el("p", {}, t`No single cause stands out: none would bring the finish forward by a day or more.`), behind(causes)];
  const longest = top[0].gain_days;
  return [
    el("p", {}, t`One thing at a time, with all else as uncertain as it is. The days do not add up: one delay often hides behind another.`),
    el("ol.causes", { role: "list" }, top.map((cause) => item(cause, longest))),
    behind(causes),
  ];
}

/** The work of a trade is called by the service, all else by whoever planned it. @param {Cause} cause */
export function causeName({ kind, name }) {
  return kind === "trade" ? told(name) : name;
}

function item(cause, longest) {
  return el(
    "li",
    {},
    el("p.cause-kind", {}, KINDS[cause.kind] ?? cause.kind),
    el("p.cause-sentence", {}, datedText(cause.sentence)),
    daysLine(cause.gain_days, longest, { label: formatMoved(-Math.round(cause.gain_days)) }),
  );
}

function behind(causes) {
  const signed = (days) => `${days < 0 ? "−" : ""}${formatNumber(Math.abs(days))}`;
  return el(
    "details.behind",
    {},
    el("summary", {}, t`All causes as a table`),
    table({
      caption: t`All causes, the largest gain first`,
      rows: causes,
      empty: t`No cause was found.`,
      columns: [
        { label: t`Cause`, cell: causeName, heading: true },
        { label: t`What it is`, cell: (one) => KINDS[one.kind] ?? one.kind, sort: (one) => one.kind },
        { label: t`Days gained, on average`, cell: (one) => signed(one.gain_days), sort: (one) => one.gain_days, numeric: true },
        { label: t`Sampling error, days`, cell: (one) => formatNumber(one.standard_error_days), numeric: true },
        { label: t`Sets the finish, share of courses`, cell: (one) => formatShare(one.criticality), sort: (one) => one.criticality, numeric: true },
        { label: t`Rank correlation with the finish`, cell: (one) => (one.rank_correlation === null ? t`several draws` : (Math.round(one.rank_correlation * 100) / 100).toLocaleString()), sort: (one) => one.rank_correlation, numeric: true },
      ],
    }),
    el("p.soft", {}, t`A gain below nothing: the plan is already more careful here than what is likely.`),
  );
}
