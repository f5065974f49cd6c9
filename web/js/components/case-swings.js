/**
 * What matters most: each source of uncertainty as a dimension line with two ends, from where the
 * finish lies when it goes best to where it lies when it goes worst. All stand to one scale, and
 * one heavy upright runs down through them: the likely finish.
 */

import { el, svg, when } from "../lib/dom.js";
import { addDays, formatMoved, formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { t, told } from "../lib/text.js";
import { KINDS as SOURCES } from "./causes.js";

const SHOWN = 10;
const WIDTH = 400;
const HEIGHT = 40;
const LINE = 20;
const EDGE = 8;

/**
 * @typedef {object} Swing A line of GET swings.
 * @property {string} kind
 * @property {string} id
 * @property {string} name
 * @property {number} best_days
 * @property {number} worst_days
 * @property {number} standard_error_days
 * @property {{name: string, changes: object[]} | null} case
 */

/**
 * @param {{runs: number, finish: {p50: string}, lines: Swing[]}} swings The widest first.
 * @param {(name: string, changes: object[]) => void} onCase Makes a case of a line.
 * @returns {HTMLElement[]}
 */
export function swingsList({ runs, finish, lines }, onCase) {
  const telling = lines.filter((one) => one.worst_days - one.best_days > Math.max(1, 3 * one.standard_error_days));
  const top = telling.slice(0, SHOWN);
  if (!top.length) return [el("p", {}, t`No single thing stands out: the finish hardly moves with any of them.`), behind(lines, finish)];
  const scale = {
    low: Math.min(0, ...top.map((one) => one.best_days)),
    high: Math.max(0, ...top.map((one) => one.worst_days)),
  };
  return [
    el(
      "p.measure",
      {},
      t`Of ${formatNumber(runs)} possible courses, the tenth in which each thing went best and the tenth in which it went worst; of a risk, those without it and those with it. The heavy upright is the likely finish, ${when(finish.p50)}. The days do not add up: paces of trades go together, and one delay hides behind another.`,
    ),
    el("ol.swings", { role: "list" }, top.map((one) => item(one, { scale, likely: finish.p50, onCase }))),
    behind(lines, finish),
  ];
}

function item(swing, { scale, likely, onCase }) {
  const { kind, best_days: best, worst_days: worst } = swing;
  const make = swing.case && caseButton(told(swing.case.name), swing.case.changes, onCase);
  return el(
    "li.swing",
    {},
    el("div.swing-name", {}, el("span.soft", {}, SOURCES[kind] ?? kind), el("span", {}, nameOf(swing))),
    drawing(best, worst, scale),
    el("div.swing-ends", {}, end(t`At best`, best, likely), end(t`At worst`, worst, likely)),
    el("div.swing-case", {}, make),
  );
}

/** The work of a trade is a word of the service; all else has the name that somebody gave it. */
function nameOf({ kind, name }) {
  return kind === "trade" ? told(name) : name;
}

function caseButton(name, changes, onCase) {
  return el("button.button.no-print", { type: "button", onclick: () => onCase(name, changes) }, t`Make a case of it`, el("span.unseen", {}, `: ${name}`));
}

function end(label, days, likely) {
  return el("span.swing-end", {}, el("span.soft", {}, `${label} `), `${moved(days)}, `, when(addDays(likely, Math.round(days))));
}

function moved(days) {
  const whole = Math.round(days);
  return whole ? formatMoved(whole) : t`no change`;
}

/** A dimension line between two ends; what it measures stands in words beside it. */
function drawing(best, worst, { low, high }) {
  const x = (days) => Math.round(10 * (EDGE + ((days - low) / (high - low)) * (WIDTH - 2 * EDGE))) / 10;
  const slash = (at) => `M${at - 5} ${LINE + 5} l10 -10 M${at} ${LINE - 9} V${LINE + 9}`;
  return svg(
    "svg",
    { class: "swing-line", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, preserveAspectRatio: "none", "aria-hidden": "true" },
    svg("path", { class: "swing-likely", d: `M${x(0)} 0 V${HEIGHT}` }),
    svg("path", { class: "swing-reach", d: `M${x(best)} ${LINE} H${x(worst)}` }),
    svg("path", { class: "swing-end-mark", d: slash(x(best)) + slash(x(worst)) }),
  );
}

function behind(lines, { p50 }) {
  const whole = (days) => `${days < 0 ? "\u2212" : ""}${formatNumber(Math.abs(Math.round(days * 10) / 10))}`;
  return el(
    "details.behind",
    {},
    el("summary", {}, t`All of them as a table`),
    table({
      caption: t`The finish where each thing goes best and worst, the widest first`,
      rows: lines,
      empty: t`Nothing is uncertain.`,
      columns: [
        { label: t`What`, cell: nameOf, heading: true },
        { label: t`What it is`, cell: (one) => SOURCES[one.kind] ?? one.kind, sort: (one) => one.kind },
        { label: t`At best, days`, cell: (one) => whole(one.best_days), sort: (one) => one.best_days, numeric: true },
        { label: t`Finish then`, cell: (one) => when(addDays(p50, Math.round(one.best_days))) },
        { label: t`At worst, days`, cell: (one) => whole(one.worst_days), sort: (one) => one.worst_days, numeric: true },
        { label: t`Finish then`, cell: (one) => when(addDays(p50, Math.round(one.worst_days))) },
        { label: t`Sampling error, days`, cell: (one) => whole(one.standard_error_days), numeric: true },
      ],
    }),
  );
}
