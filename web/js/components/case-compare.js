/**
 * The plan and the cases side by side: likely finish and how sure it is, the finish as written,
 * milestones, what newly sets the finish and what no longer does, work that finds nobody.
 */

import { chances } from "../lib/chances.js";
import { datedText, el, when } from "../lib/dom.js";
import { formatDays, formatList, formatMoney, formatMoved, formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { inCourses } from "./courses.js";
import { dateBand } from "./date-band.js";

const NAMED = 6;

/**
 * @param {any} answer Of POST cases.
 * @param {Map<string, string>} names Names of activities by id.
 * @returns {HTMLElement}
 */
export function caseTable({ plan, cases }, names) {
  const rows = [
    ...(plan.uncertainty ? sureRows(plan, cases) : []),
    {
      label: t`Finish as written`,
      plan: when(plan.finish),
      cells: cases.map((one) => moved(one.finish, one.moved_days)),
    },
    costRow(plan, cases),
    ...boughtRow(cases),
    ...milestoneRows(cases),
    {
      label: t`Newly sets the finish as written`,
      plan: el("span.soft", {}, t`${formatNumber(plan.critical_path.length)} steps`),
      cells: cases.map((one) => steps(one.new_on_path, names, t`nothing new`)),
    },
    {
      label: t`No longer sets it`,
      plan: null,
      cells: cases.map((one) => steps(one.off_path, names, t`all of it still does`)),
    },
    ...nobodyRows(plan, cases),
  ];
  const sides = [t`Plan`, ...cases.map((one, at) => one.name || t`Case ${at}`)];
  const node = table({
    caption: t`The plan and the cases`,
    hideCaption: true,
    rows,
    columns: [
      { label: t`What moves`, cell: (row) => row.label, heading: true },
      { label: t`Plan`, cell: (row) => row.plan },
      ...cases.map((one, at) => ({ label: sides[at + 1], cell: (row) => row.cells[at] })),
    ],
  });
  node.classList.add("side-by-side");
  for (const row of node.querySelectorAll("tbody tr")) {
    row.querySelectorAll("td").forEach((cell, at) => {
      cell.dataset.side = sides[at];
    });
  }
  return node;
}

/** Work that finds nobody on its date, a row for each trade: how much, and which week is worst. */
function nobodyRows(plan, cases) {
  const sides = [plan, ...cases].map((one) => new Map(one.crew_over.map((line) => [line.trade, line])));
  const trades = new Set([plan, ...cases].flatMap((one) => one.crew_over).map(({ trade }) => trade));
  if (!trades.size) return [{ label: t`Work that finds nobody`, plan: t`none`, cells: cases.map(() => t`none`) }];
  return [...trades].map((trade) => {
    const [first, ...others] = sides.map((side) => side.get(trade));
    return {
      label: beside(tradeName(trade), t`work that finds nobody`),
      plan: over(first),
      cells: others.map((one) => (isSame(one, first) ? el("span.soft.same", {}, t`as in the plan`) : over(one))),
    };
  });
}

function isSame(one, other) {
  return one?.over_hours === other?.over_hours && one?.worst_week === other?.worst_week;
}

function over(line) {
  if (!line) return t`none`;
  const week = t`${formatHours(line.worst_hours)} of it in the week of ${when(line.worst_week)}`;
  return [formatHours(line.over_hours), el("div.soft", {}, week)];
}

function formatHours(hours) {
  return many(Math.round(hours), "{n}\u00a0hour", "{n}\u00a0hours");
}

/** What it comes to as written: standing cost to the finish, what is bought, and labour. */
function costRow(plan, cases) {
  return {
    label: t`Comes to, as written`,
    plan: planCost(plan.cost),
    cells: cases.map(({ cost }) => [
      formatMoney(cost.at_completion, cost.currency),
      el("div.soft", {}, costMoved(cost)),
      cost.missing.map((sentence) => el("div.soft", {}, datedText(sentence))),
    ]),
  };
}

function planCost({ at_completion: whole, month_later: month, currency }) {
  const later = month === null ? null : el("div.soft", {}, t`a month later costs about ${formatMoney(month, currency)}`);
  return [formatMoney(whole, currency), later];
}

function costMoved({ moved, currency }) {
  const by = Number(moved);
  if (by === 0) return t`costs the same`;
  const difference = formatMoney(Math.abs(by), currency);
  return by > 0 ? t`costs ${difference} more` : t`costs ${difference} less`;
}

/** What the cases buy; nothing where none buys anything. */
function boughtRow(cases) {
  if (!cases.some(({ bought }) => bought.length)) return [];
  const sum = ({ bought }) => formatList(bought.map(({ amount, currency }) => formatMoney(amount, currency))) || t`nothing`;
  return [{ label: t`Bought for it`, plan: el("span.soft", {}, t`nothing`), cells: cases.map(sum) }];
}

/** What the simulation says: the same draws for the plan and every case. */
function sureRows(plan, cases) {
  const sides = [plan, ...cases].map(({ uncertainty }) => uncertainty);
  const scale = {
    from: sides.map(({ finish }) => finish.p10).sort()[0],
    to: sides.map(({ finish }) => finish.p90).sort().at(-1),
    target: plan.uncertainty.target?.date ?? null,
  };
  const row = (label, cell) => ({ label, plan: cell(plan.uncertainty), cells: cases.map((one) => cell(one.uncertainty)) });
  const { target } = plan.uncertainty;
  return [
    row(t`Likely finish`, ({ finish }) => [el("strong", {}, when(finish.p50)), dateBand(finish, { ...scale, size: "row" })]),
    row(t`80\u00a0% by`, ({ finish }) => when(finish.p80)),
    target ? row(t`Chance of the wanted date, ${when(target.date)}`, (side) => wrapping(chances(side.target.probability))) : null,
    row(t`Finish moves on average`, ({ moved: by }) => (by ? onAverage(by) : "")),
    row(t`Later than the plan`, ({ moved: by }) => (by ? later(by) : "")),
  ].filter(Boolean);
}

/** A narrow column on a phone may break what stands on one line elsewhere. */
function wrapping(text) {
  return text.replaceAll("\u00a0", " ");
}

function onAverage({ mean_days: mean, standard_error_days: error, p10_days: low, p90_days: high }) {
  const days = Math.abs(mean);
  if (days < 0.05 && low === high) return t`not at all`;
  return [
    formatMoved(rounded(mean)),
    error >= 0.05 ? el("div.soft", {}, t`sampling error ${formatDays(rounded(error))}`) : null,
    low === high ? null : el("div.soft", {}, t`8 of 10 courses: ${between(low, high)}`),
  ];
}

/** "2 days sooner to 14 days later", "3 to 14 days later". */
function between(low, high) {
  const [from, to] = [rounded(low), rounded(high)];
  if (from >= 0) return t`${formatNumber(from)} to ${formatDays(to)} later`;
  if (to <= 0) return t`${formatNumber(Math.abs(to))} to ${formatDays(-from)} sooner`;
  return t`${formatDays(-from)} sooner to ${formatDays(to)} later`;
}

function rounded(days) {
  return Math.abs(days) >= 3 ? Math.round(days) : Math.round(days * 10) / 10;
}

function later({ later: { probability }, p10_days: low, p90_days: high }) {
  return low === 0 && high === 0 && probability === 0 ? t`in no course` : inCourses(probability);
}

/**
 * The finish of the plan and of each case at the usual levels: the table behind the curves.
 * @param {any} answer Of POST cases.
 */
export function finishTable({ plan, cases }) {
  const level = (label, key) => ({ label, cell: ({ finish }) => when(finish[key]), sort: ({ finish }) => finish[key] });
  return table({
    caption: t`The finish, by chance`,
    rows: [{ name: t`Plan`, finish: plan.uncertainty.finish }, ...cases.map(({ name, uncertainty: { finish } }) => ({ name, finish }))],
    columns: [
      { label: t`Side`, cell: ({ name }) => name, heading: true },
      level(t`1 chance in 10`, "p10"),
      level(t`Likely`, "p50"),
      level(t`80\u00a0% by`, "p80"),
      level(t`9 chances in 10`, "p90"),
    ],
  });
}

/** Milestones that move in at least one case; the others are not worth a row. */
function milestoneRows(cases) {
  const first = cases[0]?.milestones ?? [];
  return first
    .map(({ id, name, plan }, at) => ({
      label: name || id,
      plan: when(plan),
      all: cases.map((one) => one.milestones.find((other) => other.id === id) ?? one.milestones[at]),
    }))
    .filter(({ all }) => all.some((one) => one.moved_days))
    .map(({ label, plan, all }) => ({
      label: beside(label, t`as written`),
      plan,
      cells: all.map((one) => (one.moved_days ? moved(one.case, one.moved_days) : el("span.soft.same", {}, t`does not move`))),
    }));
}

function moved(iso, days) {
  return days ? el("span", {}, when(iso), ", ", formatMoved(days)) : beside(when(iso), t`does not move`);
}

/** What something is, and softly what more is said of it. */
function beside(what, more) {
  return el("span", {}, what, el("span.soft", {}, ", ", more));
}

function steps(ids, names, none) {
  if (!ids.length) return el("span.soft", {}, none);
  const shown = ids.slice(0, NAMED).map((id) => el("li", {}, names.get(id) ?? id));
  const rest = ids.length - NAMED;
  return el("ol.new-path", {}, shown, rest > 0 ? el("li.soft", {}, t`and ${formatNumber(rest)} more`) : null);
}
