/** What the simulation found besides the finish: chances by date, milestones. */

import { chances, aboutDays } from "../lib/chances.js";
import { el, fill, when } from "../lib/dom.js";
import { formatDays, formatNumber, formatSpare } from "../lib/format.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { dateBand, isCertain } from "./date-band.js";

const READING =
  t`How to read the bands: the heavy upright is the likely date, the box reaches from there to the date with 8\u00a0chances in\u00a010, the thin line from 1 to 9\u00a0chances in\u00a010. An open triangle is a deadline.`;

/** Dates with their chances, as the table behind the curve. */
export function chancesTable({ finish, target, planned }) {
  const level = (iso, chance) => ({ iso, what: "", chance });
  const rows = [
    { ...level(finish.p10, t`1\u00a0chance in\u00a010`), what: t`Early` },
    { ...level(finish.p50, t`5\u00a0chances in\u00a010`), what: t`Likely` },
    { ...level(finish.p80, t`8\u00a0chances in\u00a010`), what: t`80\u00a0% date` },
    { ...level(finish.p90, t`9\u00a0chances in\u00a010`), what: t`Late` },
    { ...level(planned, between(planned, finish)), what: t`As written` },
    target && { ...level(target.date, chances(target.probability)), what: t`Target` },
  ];
  return table({
    caption: t`Chances that it is finished by a date`,
    rows: rows.filter(Boolean).sort((a, b) => a.iso.localeCompare(b.iso)),
    columns: [
      { label: t`Date`, cell: (one) => when(one.iso), heading: true },
      { label: t`What it is`, cell: (one) => one.what },
      { label: t`Chances that it is finished by then`, cell: (one) => one.chance },
    ],
  });
}

/** The chance of a date as far as the four that are known tell it. */
function between(iso, { p10, p50, p80, p90 }) {
  if (iso < p10) return t`less than 1\u00a0chance in\u00a010`;
  if (iso >= p90) return t`9\u00a0chances in\u00a010 or more`;
  if (iso < p50) return t`between 1 and 5\u00a0chances in\u00a010`;
  return iso < p80 ? t`between 5 and 8\u00a0chances in\u00a010` : t`between 8 and 9\u00a0chances in\u00a010`;
}

/** Where the figures come from and how sure they are themselves. */
export function footnote({ runs, standard_error_days: error, certain_tasks: certain, open_tasks: open }) {
  const computed = many(runs, "Computed from {n} possible course of the work; {0}.", "Computed from {n} possible courses of the work; {0}.", sureTo(aboutDays(error.p50), aboutDays(error.p80)));
  const without = many(
    certain,
    "{n} of {0} open tasks has no low and high figure and is taken to last as long as written.",
    "{n} of {0} open tasks have no low and high figure and are taken to last as long as written.",
    formatNumber(open),
  );
  return el("p.footnote", {}, computed, certain > 0 ? ` ${without}` : null);
}

function sureTo(likely, by80) {
  if (likely === by80) return t`drawing them again would move these dates by ${likely}`;
  return t`drawing them again would move the likely date by ${likely}, the 80\u00a0% date by ${by80}`;
}

/**
 * @param {HTMLElement} place
 * @param {any[]} milestones As the forecast has them.
 * @param {any} result What the simulation found, or null.
 */
export function drawMilestones(place, milestones, result) {
  const found = new Map((result?.milestones ?? []).map((one) => [one.id, one]));
  const open = milestones.filter(({ done, id }) => !done && found.has(id)).map(({ id }) => found.get(id));
  const from = least(open.map(({ p10 }) => p10));
  const to = least(open.map(({ p90 }) => p90), -1);
  const spread = ({ done, id }) => (done ? undefined : found.get(id));
  const columns = [{ label: t`Milestone`, cell: (one) => one.name, heading: true }];
  if (open.length) {
    columns.push(
      { label: t`Likely`, cell: (one) => (spread(one) ? when(spread(one).p50) : when(one.finish)), sort: (one) => spread(one)?.p50 ?? one.finish },
      { label: t`80\u00a0% by`, cell: (one) => (spread(one) ? when(spread(one).p80) : ""), sort: (one) => spread(one)?.p80 ?? null },
      { label: t`To one scale`, cell: (one) => (spread(one) && !isCertain(spread(one)) ? dateBand(spread(one), { from, to, target: spread(one).deadline?.date }) : "") },
    );
  }
  columns.push(
    { label: open.length ? t`As written` : t`Date`, cell: (one) => when(one.finish), sort: (one) => one.finish },
    { label: t`State`, cell: (one) => state(one, spread(one)) },
  );
  fill(
    place,
    table({ caption: t`Milestones with dates`, hideCaption: true, rows: milestones, empty: t`No milestones in this plan.`, columns }),
    open.length ? el("p.footnote", {}, READING) : null,
  );
}

function least(dates, way = 1) {
  return [...dates].sort((a, b) => way * a.localeCompare(b))[0];
}

function state({ done, total_float_days: days }, spread) {
  if (done) return el("span.stamp.done", {}, t`Reached`);
  if (spread?.deadline) return t`deadline ${when(spread.deadline.date)}: ${chances(spread.deadline.probability)}`;
  if (days < 0) return t`${formatDays(-days)} too late`;
  return days > 0 ? t`${formatSpare(days)} to spare` : t`no day to spare`;
}
