/** When the money is needed: by month, against what is on the account and what comes in. */

import { compare, minus } from "../lib/amounts.js";
import { drawChart } from "../lib/chart.js";
import { el, fill, roundText, when } from "../lib/dom.js";
import { formatAmount, formatExact, formatMoney } from "../lib/format.js";
import { table } from "../lib/table.js";
import { t } from "../lib/text.js";
import { lasting, NEED_READING } from "./money-answer.js";

/** @param {import("../lib/sheet.js").Sheet} sheet @param {HTMLElement} place @param {any} money */
export async function showNeed(sheet, place, { cash, currency }) {
  if (!cash.months.length) {
    fill(place, el("p", {}, roundText(cash.next.sentence)));
    return;
  }
  const chart = el("div.chart");
  fill(
    place,
    el("p.lead", {}, roundText(cash.next.sentence), " ", lasting(cash)),
    compare(cash.overdue) > 0 ? el("p", {}, t`${formatExact(cash.overdue, currency)} was due already; it is counted in the first month.`) : null,
    chart,
    el("p.footnote", {}, NEED_READING),
  );
  await drawChart(chart, {
    path: sheet.path("/charts/money-need"),
    label: t`The money that is needed in each month, committed, likely and possible, with what comes in and what is left on the account.`,
    table: needTable(cash.months, currency),
  });
  if (isForeign(cash.months, currency)) place.append(el("details.behind", {}, el("summary", {}, t`The same by currency`), currencyTable(cash.months)));
}

function isForeign(months, currency) {
  return months.some(({ likely_in: parts }) => parts.some((part) => part.currency !== currency));
}

/** Each month in the currencies that it is paid in. */
function currencyTable(months) {
  const of = (parts, code) => parts.find((part) => part.currency === code)?.amount;
  const codes = ({ committed_in: committed, likely_in: likely, possible_in: possible }) => [...new Set([...committed, ...likely, ...possible].map((part) => part.currency))].sort();
  const rows = months.flatMap((month) => codes(month).map((code) => ({ month: month.month, code, committed: of(month.committed_in, code), likely: of(month.likely_in, code), possible: of(month.possible_in, code) })));
  const amount = (name, label) => ({ label, cell: (one) => (one[name] === undefined ? "" : formatExact(one[name], one.code)), numeric: true });
  return table({
    caption: t`Need by month, as it is paid`,
    rows,
    columns: [{ label: t`Month`, cell: ({ month }) => when(`${month}-01`, "month"), heading: true, sort: ({ month }) => month }, { label: t`Currency`, cell: ({ code }) => code, sort: ({ code }) => code }, amount("committed", t`Committed`), amount("likely", t`Likely`), amount("possible", t`Possible`)],
  });
}

function needTable(months, currency) {
  const amount = (name, label) => ({ label, cell: (one) => (one[name] === null ? t`not known` : formatAmount(one[name], currency)), numeric: true });
  return table({
    caption: t`Need by month, in ${currency}`,
    rows: months,
    columns: [
      { label: t`Month`, cell: ({ month }) => when(`${month}-01`, "month"), heading: true },
      amount("committed", t`Committed`),
      amount("likely", t`Likely`),
      amount("possible", t`Possible`),
      amount("funding", t`Comes in`),
      { label: t`Left at its end`, cell: ({ balance }) => leftOver(balance, currency), numeric: true },
    ],
  });
}

function leftOver(balance, currency) {
  if (balance === null || balance === undefined) return t`not known`;
  return compare(balance) < 0 ? el("b", {}, t`short of ${formatAmount(minus("0", balance), currency)}`) : formatAmount(balance, currency);
}

/** What is needed first, and when the account runs dry. @param {any} money */
export function needLine({ cash: { months, dry, on_account: account }, currency }) {
  if (!months.length) return t`Nothing is left to pay.`;
  const { month, likely } = months.find((one) => compare(one.likely)) ?? months[0];
  const need = t`${formatMoney(likely, currency)} likely in ${when(`${month}-01`, "month")}`;
  if (dry) return [need, "; ", t`the account runs dry in ${when(`${dry.month}-01`, "month")}`, "."];
  return [need, account === null ? null : ["; ", t`the account lasts`], "."];
}
