/** Earned value: what the work that is done is worth, beside its plan and its cost. */

import { compare, minus, size } from "../lib/amounts.js";
import { drawChart } from "../lib/chart.js";
import { datedText, el, fill, when } from "../lib/dom.js";
import { formatAmount, formatMoney } from "../lib/format.js";
import { table } from "../lib/table.js";
import { term } from "../lib/term.js";
import { many, t, told } from "../lib/text.js";

const hundredths = new Intl.NumberFormat(undefined, { minimumFractionDigits: 2, maximumFractionDigits: 2 });

/** Each term of the standard: its short form, its name, what it says, and how it is written. */
const TERMS = [
  ["bac", "BAC", t`Budget at completion`, t`What the approved plan gives to all the work`, "money"],
  ["pv", "PV", t`Planned value`, t`Worth of the work that was to be done by now`, "money"],
  ["ev", "EV", t`Earned value`, t`Worth of the work that is done`, "money"],
  ["ac", "AC", t`Actual cost`, t`What it cost: paid, billed and labour done`, "money"],
  ["cv", "CV", t`Cost variance`, t`Earned value less actual cost; below nothing: dearer than planned`, "money"],
  ["sv", "SV", t`Schedule variance`, t`Earned value less planned value; below nothing: behind the plan`, "money"],
  ["cpi", "CPI", t`Cost performance index`, t`Worth done for each unit of money spent`, "index"],
  ["spi", "SPI", t`Schedule performance index`, t`Worth done for each unit that was to be done`, "index"],
  ["eac", "EAC", t`Estimate at completion`, t`What it would cost in the end, were the work to go on as dear as so far`, "money"],
  ["etc", "ETC", t`Estimate to complete`, t`Of that, what is still to come`, "money"],
  ["vac", "VAC", t`Variance at completion`, t`Budget at completion less that estimate`, "money"],
  ["tcpi", "TCPI", t`To-complete performance index`, t`Worth to be done for each unit of money that is left, to end on the budget`, "index"],
  ["es_months", "ES", t`Earned schedule`, t`When the work that is done was to be done, from the start`, "months"],
  ["svt_months", "SV(t)", t`Schedule variance in time`, t`How far ahead of the plan, or behind it`, "months"],
  ["spit", "SPI(t)", t`Schedule performance index in time`, t`Months of the plan done in each month`, "index"],
];

/** @param {import("../lib/sheet.js").Sheet} sheet @param {HTMLElement} place @param {any} money */
export async function showEarned(sheet, place, { earned, earned_missing: missing, currency }) {
  if (!earned) {
    const link = el("a", { href: "#baselines-panel" }, t`Plans approved`);
    fill(place, el("p.empty-state", {}, missing ? [datedText(missing), " "] : null, t`Once a plan is approved, every piece of work has a worth and a date, and this shows whether the work keeps up with both. See ${link}.`));
    return;
  }
  const chart = el("div.chart");
  fill(
    place,
    el("p.lead", {}, plainly(earned, currency)),
    chart,
    el("div.terms", {}, termTable(earned, currency)),
    pace(earned),
    earned.sentences.length ? el("ul.flags", { role: "list" }, earned.sentences.map((text) => el("li", {}, datedText(text)))) : null,
    el("div.terms", {}, estimateTable(earned, currency)),
  );
  await drawChart(chart, {
    path: sheet.path("/charts/earned"),
    label: t`Planned value, earned value and actual cost, month by month.`,
    table: monthTable(earned, currency),
  });
}

/** The plain sentences: worth done, worth planned, cost. */
function plainly({ as_of: asOf, pv, ev, ac }, currency) {
  const money = (amount) => formatMoney(amount, currency);
  const dearer = minus(ac, ev);
  const apart = money(size(dearer));
  const cost = [t`${apart} less than it is worth`, t`just its worth`, t`${apart} more than it is worth`][compare(dearer) + 1];
  return [
    t`By ${when(asOf)}, ${term("earned value", t`work worth`)} ${money(ev)} of the ${term("baseline", t`approved plan`)} is done.`,
    " ",
    t`It was to be ${money(pv)}: ${el("b", {}, againstPlan(pv, ev, money))}.`,
    " ",
    t`It cost ${money(ac)}: ${el("b", {}, cost)}.`,
  ];
}

function againstPlan(pv, ev, money) {
  const behind = minus(pv, ev);
  const apart = money(size(behind));
  return [t`${apart} ahead of the plan`, t`on the plan`, t`${apart} behind the plan`][compare(behind) + 1];
}

function termTable(earned, currency) {
  return table({
    caption: t`The terms of the standard`,
    rows: TERMS,
    columns: [
      { label: t`Term`, cell: ([, short, name]) => [name, " ", el("abbr.soft", { translate: "no" }, short)], heading: true },
      { label: t`Value`, cell: ([key, , , , way]) => shown(earned[key], way, currency), numeric: true },
      { label: t`What it says`, cell: ([, , , meaning]) => meaning },
    ],
  });
}

function shown(value, way, currency) {
  if (value === null || value === undefined) return el("span.soft", {}, t`not yet`);
  if (way === "money") return formatAmount(value, currency);
  return way === "index" ? hundredths.format(value) : many(value, "{n} month", "{n} months");
}

function pace({ finish_by_pace: finish, spit }) {
  if (!finish) return null;
  const sentence = spit
    ? t`At the pace so far (${hundredths.format(spit)} months of the plan in each month) the approved plan would be finished on ${when(finish)}.`
    : t`At the pace so far the approved plan would be finished on ${when(finish)}.`;
  return el("p", {}, sentence, " ", t`The forecast of dates knows the work itself, and counts for more.`);
}

function estimateTable({ estimates }, currency) {
  if (!estimates?.length) return null;
  return table({
    caption: t`What it would cost in the end, by other reckonings, in ${currency}`,
    rows: estimates,
    columns: [
      { label: t`Reckoning`, cell: ({ name }) => capital(told(name)), heading: true },
      { label: t`In the end`, cell: (one) => (one.amount === null ? el("span.soft", {}, t`not yet`) : formatAmount(one.amount, currency)), numeric: true },
      { label: t`Why it differs`, cell: (one) => datedText(one.sentence) },
    ],
  });
}

function monthTable({ months }, currency) {
  const amount = (name, label) => ({ label, cell: (one) => (one[name] === null ? "" : formatAmount(one[name], currency)), numeric: true });
  return table({
    caption: t`By the end of each month, in ${currency}`,
    rows: months,
    columns: [
      { label: t`Month`, cell: ({ month }) => when(`${month}-01`, "month"), heading: true },
      amount("pv", t`Planned value`),
      amount("ev", t`Earned value`),
      amount("ac", t`Actual cost`),
    ],
  });
}

/** How the work stands to plan and cost. @param {any} money */
export function earnedLine({ earned, currency }) {
  if (!earned) return t`Not measured yet: no plan is approved.`;
  const money = (amount) => formatMoney(amount, currency);
  const dearer = minus(earned.ac, earned.ev);
  const apart = money(size(dearer));
  const cost = [t`${apart} below its worth`, t`just its worth`, t`${apart} dearer than its worth`][compare(dearer) + 1];
  return capital(`${againstPlan(earned.pv, earned.ev, money)}; ${cost}.`);
}

function capital(text) {
  return text[0].toLocaleUpperCase() + text.slice(1);
}
