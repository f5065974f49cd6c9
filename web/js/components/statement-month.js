/** What a month brought, and the chapters, for the owner's statement. */

import { compare, sum } from "../lib/amounts.js";
import { el, fill, when } from "../lib/dom.js";
import { formatAmount, formatExact, formatMoney, formatNumber, formatSigned } from "../lib/format.js";
import { inOrder, table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { answerName } from "../lib/words.js";
import { chapterCaption, chapterName } from "./money-chapters.js";
import { photoRow } from "./photos.js";

const PAYMENTS = 12;
const WORKS = 16;

/** @param {HTMLElement} place @param {any} statement */
export function showMonth(place, sheet, { paid, paid_total: paidTotal, worked_hours: hours, worked_total: worked, done, photos, decided, baselines, currency }) {
  const money = [t`Paid: ${formatMoney(paidTotal, currency)}`, labour(Number(hours), compare(worked) ? formatMoney(worked, currency) : "")];
  fill(
    place,
    el("p", {}, `${money.filter(Boolean).join("; ")}.`),
    paid.length ? payments(paid, currency) : null,
    decided.length ? list(t`Decided`, decided.map((one) => [one.name, `: ${formatExact(one.amount, one.currency)} ${answerName(one.state)}`, one.reason ? `, “${one.reason}”` : "", "."])) : null,
    baselines.length ? list(t`Approved`, baselines.map((one) => [t`The plan and its budget on ${when(one.approved_on)}`, one.reason ? `: ${one.reason}` : "", "."])) : null,
    done.length ? works(done) : el("p", {}, t`No work was finished.`),
    photos.length ? [el("h3.statement-lead", {}, t`Photos of the month`), photoRow(sheet, photos)] : null,
  );
}

function labour(hours, cost) {
  if (!hours) return cost && t`labour, ${cost}`;
  const all = many(hours, "{n} hour of labour", "{n} hours of labour");
  return cost ? `${all}, ${cost}` : all;
}

function payments(paid, currency) {
  const shown = paid.slice(0, PAYMENTS);
  const rest = paid.slice(PAYMENTS);
  return [
    table({
      caption: t`Payments`,
      hideCaption: true,
      rows: shown,
      columns: [
        { label: t`Date`, cell: (one) => when(one.on) },
        { label: t`For`, cell: (one) => one.name, heading: true },
        { label: t`To`, cell: (one) => one.vendor },
        { label: t`Document`, cell: (one) => one.document },
        { label: t`Amount`, cell: amountPaid, numeric: true },
        { label: t`In ${currency}`, cell: (one) => formatAmount(one.worth, currency), numeric: true },
      ],
    }),
    rest.length ? el("p", {}, t`And ${formatNumber(rest.length)} more, together ${formatMoney(sum(rest.map(({ worth }) => worth)), currency)}.`) : null,
  ];
}

function amountPaid({ amount, currency, in_kind: inKind }) {
  const paid = formatExact(amount, currency);
  return inKind ? t`${paid} in kind` : paid;
}

function works(done) {
  const rest = done.length - WORKS;
  const texts = done.slice(0, WORKS).map(({ name, zone }) => [name, zone ? el("span.soft", {}, `, ${zone}`) : null]);
  return list(many(done.length, "Finished: {n} piece of work", "Finished: {n} pieces of work"), rest > 0 ? [...texts, t`and ${formatNumber(rest)} more`] : texts);
}

function list(title, entries) {
  return [el("h3.statement-lead", {}, title), el("ul.statement-list.columns", {}, entries.map((one) => el("li", {}, one)))];
}

const SUMS = ["this_month", "spent", "committed", "expected", "at_completion"];

/** So many chapters are named: those furthest from their budget, or with most in the month. */
const CHAPTERS = 14;

/** The chapters that matter most this month, and all others in a line: it is a page for the owner. */
function named(chapters) {
  if (chapters.length <= CHAPTERS + 1) return chapters;
  const weight = (one) => Math.max(Math.abs(Number(one.over)), Math.abs(Number(one.this_month)));
  const most = new Set(inOrder(chapters, weight, true).slice(0, CHAPTERS));
  const others = chapters.filter((one) => !most.has(one));
  const sums = { ...Object.fromEntries([...SUMS, "budget", "over"].map((name) => [name, sum(others.map((one) => one[name]))])), is_agreed: others.every((one) => one.is_agreed) };
  return [...chapters.filter((one) => most.has(one)), { chapter: "", title: t`${formatNumber(others.length)} others, all on the Money sheet`, ...sums }];
}

/** Chapters that have money, the one furthest over its budget first; together they are the whole. */
export function showChapters(place, statement) {
  const { chapters, budget, currency } = statement;
  const rows = named(inOrder(chapters.filter((one) => compare(one.budget) || compare(one.at_completion)), (one) => Number(one.over), true));
  const amount = (name, label) => ({ label, cell: (one) => formatAmount(one[name], currency), numeric: true });
  const node = table({
    caption: chapterCaption(budget ? t`All amounts in ${currency}.` : t`No budget is set. All amounts in ${currency}.`, statement),
    rows,
    empty: t`No chapter has a budget or a cost yet.`,
    columns: [
      { label: t`Chapter`, cell: chapterName, heading: true },
      ...(budget ? [{ label: t`Over (+) or left (−)`, cell: (one) => (one.is_agreed ? signed(one.over, currency) : ""), numeric: true }, amount("budget", t`Budget`)] : []),
      amount("this_month", t`This month`),
      amount("spent", t`Spent`),
      amount("committed", t`Billed or ordered`),
      amount("expected", t`Still to come`),
      amount("at_completion", t`In the end`),
    ],
  });
  if (rows.length) node.querySelector("table").append(together(rows, currency, budget));
  fill(place, node);
}

function together(rows, currency, budget) {
  const total = (name) => sum(rows.map((one) => one[name]));
  const amount = (name) => formatAmount(total(name), currency);
  const cells = [...(budget ? [signed(total("over"), currency), amount("budget")] : []), ...SUMS.map(amount)];
  return el("tfoot", {}, el("tr", {}, el("th", { scope: "row" }, t`Together`), cells.map((cell) => el("td.numeric", {}, cell))));
}

function signed(amount, currency) {
  const text = formatSigned(amount, currency);
  return compare(amount) > 0 ? el("b", {}, text) : text;
}
