/** Earned value: what the work that is done is worth, beside its plan and its cost. */

import { compare, minus, size } from "../lib/amounts.js";
import { drawChart } from "../lib/chart.js";
import { datedText, el, fill, when } from "../lib/dom.js";
import { formatAmount, formatDate, formatMoney } from "../lib/format.js";
import { table } from "../lib/table.js";
import { term } from "../lib/term.js";

const hundredths = new Intl.NumberFormat(undefined, { minimumFractionDigits: 2, maximumFractionDigits: 2 });
const tenths = new Intl.NumberFormat(undefined, { maximumFractionDigits: 1 });

/** Each term of the standard: its short form, its name, what it says, and how it is written. */
const TERMS = [
  ["bac", "BAC", "Budget at completion", "What the approved plan gives to all the work", "money"],
  ["pv", "PV", "Planned value", "Worth of the work that was to be done by now", "money"],
  ["ev", "EV", "Earned value", "Worth of the work that is done", "money"],
  ["ac", "AC", "Actual cost", "What it cost: paid, billed and labour done", "money"],
  ["cv", "CV", "Cost variance", "Earned value less actual cost; below nothing: dearer than planned", "money"],
  ["sv", "SV", "Schedule variance", "Earned value less planned value; below nothing: behind the plan", "money"],
  ["cpi", "CPI", "Cost performance index", "Worth done for each unit of money spent", "index"],
  ["spi", "SPI", "Schedule performance index", "Worth done for each unit that was to be done", "index"],
  ["eac", "EAC", "Estimate at completion", "What it would cost in the end, were the work to go on as dear as so far", "money"],
  ["etc", "ETC", "Estimate to complete", "Of that, what is still to come", "money"],
  ["vac", "VAC", "Variance at completion", "Budget at completion less that estimate", "money"],
  ["tcpi", "TCPI", "To-complete performance index", "Worth to be done for each unit of money that is left, to end on the budget", "index"],
  ["es_months", "ES", "Earned schedule", "When the work that is done was to be done, from the start", "months"],
  ["svt_months", "SV(t)", "Schedule variance in time", "How far ahead of the plan, or behind it", "months"],
  ["spit", "SPI(t)", "Schedule performance index in time", "Months of the plan done in each month", "index"],
];

/** @param {import("../lib/sheet.js").Sheet} sheet @param {HTMLElement} place @param {any} money */
export async function showEarned(sheet, place, { earned, earned_missing: missing, currency }) {
  if (!earned) {
    fill(place, el("p.empty-state", {}, missing ? [datedText(missing), " "] : null, "Once a plan is approved, every piece of work has a worth and a date, and this shows whether the work keeps up with both. See ", el("a", { href: "#baselines-panel" }, "Plans approved"), "."));
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
    label: "Planned value, earned value and actual cost, month by month.",
    table: monthTable(earned, currency),
  });
}

/** The plain sentence: worth done, worth planned, cost. */
function plainly({ as_of: asOf, pv, ev, ac }, currency) {
  const money = (amount) => formatMoney(amount, currency);
  const behind = minus(pv, ev);
  const dearer = minus(ac, ev);
  const plan = [`It was to be ${money(pv)}: `, el("b", {}, apart(behind, money, "behind the plan", "ahead of the plan", "on the plan")), ". "];
  const cost = [`It cost ${money(ac)}: `, el("b", {}, apart(dearer, money, "more than it is worth", "less than it is worth", "just its worth")), "."];
  const worth = [term("earned value", "work worth"), ` ${money(ev)} of the `, term("baseline", "approved plan")];
  return ["By ", when(asOf), ", ", worth, " is done. ", plan, cost];
}

function apart(amount, money, over, under, even) {
  const way = compare(amount);
  return way === 0 ? even : `${money(size(amount))} ${way > 0 ? over : under}`;
}

function termTable(earned, currency) {
  return table({
    caption: "The terms of the standard",
    rows: TERMS,
    columns: [
      { label: "Term", cell: ([, short, name]) => [name, " ", el("abbr.soft", {}, short)], heading: true },
      { label: "Value", cell: ([key, , , , way]) => shown(earned[key], way, currency), numeric: true },
      { label: "What it says", cell: ([, , , meaning]) => meaning },
    ],
  });
}

function shown(value, way, currency) {
  if (value === null || value === undefined) return el("span.soft", {}, "not yet");
  if (way === "money") return formatAmount(value, currency);
  return way === "index" ? hundredths.format(value) : `${tenths.format(value)} months`;
}

function pace({ finish_by_pace: finish, spit }) {
  if (!finish) return null;
  return el("p", {}, "At the pace so far", spit ? ` (${hundredths.format(spit)} months of the plan in each month)` : "", " the approved plan would be finished on ", when(finish), ". The forecast of dates knows the work itself, and counts for more.");
}

function estimateTable({ estimates }, currency) {
  if (!estimates?.length) return null;
  return table({
    caption: `What it would cost in the end, by other reckonings, in ${currency}`,
    rows: estimates,
    columns: [
      { label: "Reckoning", cell: ({ name }) => name[0].toLocaleUpperCase() + name.slice(1), heading: true },
      { label: "In the end", cell: (one) => (one.amount === null ? el("span.soft", {}, "not yet") : formatAmount(one.amount, currency)), numeric: true },
      { label: "Why it differs", cell: (one) => datedText(one.sentence) },
    ],
  });
}

function monthTable({ months }, currency) {
  const amount = (name, label) => ({ label, cell: (one) => (one[name] === null ? "" : formatAmount(one[name], currency)), numeric: true });
  return table({
    caption: `By the end of each month, in ${currency}`,
    rows: months,
    columns: [
      { label: "Month", cell: ({ month }) => formatDate(`${month}-01`, "month"), heading: true },
      amount("pv", "Planned value"),
      amount("ev", "Earned value"),
      amount("ac", "Actual cost"),
    ],
  });
}

/** How the work stands to plan and cost. @param {any} money */
export function earnedLine({ earned, currency }) {
  if (!earned) return "Not measured yet: no plan is approved.";
  const money = (amount) => formatMoney(amount, currency);
  const plan = apart(minus(earned.pv, earned.ev), money, "behind the plan", "ahead of the plan", "on the plan");
  const cost = apart(minus(earned.ac, earned.ev), money, "dearer than its worth", "below its worth", "just its worth");
  return `${plan}; ${cost}.`.replace(/^./, (letter) => letter.toLocaleUpperCase());
}
