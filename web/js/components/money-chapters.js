/** Chapters against their budget, the one that is furthest over it first. */

import { compare, sum } from "../lib/amounts.js";
import { el, fill } from "../lib/dom.js";
import { formatAmount, formatMoney, formatNumber, formatSigned } from "../lib/format.js";
import { inOrder, table } from "../lib/table.js";
import { t, told } from "../lib/text.js";
import { bySort, mark, moneyBar, SORTS } from "./money-bars.js";

const SUMS = ["at_completion", "paid", "worked", "invoiced", "committed", "expected"];

/** @param {HTMLElement} place @param {any} money As the service answers it. */
export function showChapters(place, money) {
  const { chapters, vendors, budget, currency } = money;
  const most = Math.max(1, ...chapters.map((one) => Math.max(isWhole(one) ? 0 : Number(one.budget), Number(one.at_completion))));
  const caption = budget ? t`Chapters against budget, in ${currency}.` : t`Chapters, in ${currency}. No budget is set.`;
  const all = chapterTable(chapters, chapterCaption(caption, money), currency, budget, most);
  if (chapters.length) all.querySelector("table").append(sums(chapters, currency, budget));
  fill(
    place,
    el("ul.key-list", { role: "list", "aria-label": t`Key` }, SORTS.slice(0, 4).map(({ id, title }) => el("li", {}, mark(id), title)), budget ? el("li", {}, el("span.notch", { "aria-hidden": "true" }, "▲"), t`Budget`) : null),
    all,
    vendors.length ? el("details.behind", {}, el("summary", {}, t`The same by vendor`), vendorTable(vendors, currency)) : null,
  );
}

function chapterTable(chapters, caption, currency, budget, most) {
  const amount = asAmount(currency);
  return table({
    caption,
    rows: inOrder(chapters, (one) => Number(one.over), true),
    empty: t`No chapter has a budget or a cost yet.`,
    columns: [
      { label: t`Chapter`, cell: (one) => chapterName(one), heading: true, sort: (one) => one.chapter ?? null },
      ...(budget ? [{ label: t`Over (+) or left (−)`, cell: (one) => signed(one, currency), sort: (one) => Number(one.over), numeric: true }] : []),
      { label: t`To one scale`, cell: (one) => (isWhole(one) ? null : moneyBar(bySort(one), budget && one.is_agreed ? one.budget : null, most)) },
      ...(budget ? [amount("budget", t`Budget`)] : []),
      amount("at_completion", t`In the end`),
      amount("paid", t`Paid`),
      amount("worked", t`Labour done`),
      amount("invoiced", t`Billed`),
      amount("committed", t`Ordered`),
      amount("expected", t`Still to come`),
    ],
  });
}

function asAmount(currency) {
  return (name, label) => ({ label, cell: (one) => formatAmount(one[name], currency), sort: (one) => Number(one[name]), numeric: true });
}

/** The last line: every column added up. */
function sums(chapters, currency, budget) {
  const total = (name) => sum(chapters.map((one) => one[name]));
  const amount = (name) => formatAmount(total(name), currency);
  const over = { over: total("over"), is_agreed: true };
  const cell = (text) => el("td.numeric", {}, text);
  const first = budget ? [cell(signed(over, currency)), el("td"), cell(amount("budget"))] : [el("td")];
  return el("tfoot", {}, el("tr", {}, el("th", { scope: "row" }, t`Together`), first, SUMS.map((name) => cell(amount(name)))));
}

function vendorTable(vendors, currency) {
  const amount = asAmount(currency);
  return table({
    caption: t`By vendor, in ${currency}`,
    rows: vendors,
    columns: [
      { label: t`Vendor`, cell: (one) => one.name || one.vendor, heading: true, sort: (one) => one.name },
      amount("at_completion", t`In the end`),
      amount("paid", t`Paid`),
      amount("invoiced", t`Billed`),
      amount("committed", t`Ordered`),
      amount("expected", t`Still expected`),
    ],
  });
}

/**
 * A caption, and after it what is to be known of the figures under it.
 * @param {string} caption @param {{chapters: any[], allowance?: string}} money
 */
export function chapterCaption(caption, { chapters, allowance = "0" }) {
  const toCome = compare(allowance) > 0 ? t`Still to come counts the allowance for hidden work as well.` : "";
  return [caption, notShared(chapters), toCome].filter(Boolean).join(" ");
}

/** @param {{chapter: string | null, title: string}} one */
export function chapterName({ chapter, title }) {
  if (!chapter) return told(title) || t`Without a chapter`;
  return title && title !== chapter ? `${chapter} ${told(title)}` : chapter;
}

/** A budget of the whole project, that no chapter has as its own. */
function isWhole({ is_agreed: isAgreed, budget }) {
  return !isAgreed && compare(budget) > 0;
}

/** Said beside the chapters while only the whole can be held against its budget. @param {any[]} chapters */
function notShared(chapters) {
  return chapters.some(isWhole) ? t`Not all of the budget is shared out among the chapters yet: one without a part of its own cannot be over.` : "";
}

function signed({ over, is_agreed: isAgreed }, currency) {
  if (!isAgreed) return "";
  const text = formatSigned(over, currency);
  return compare(over) > 0 ? el("b", {}, text) : text;
}

/** How many chapters are over their budget, and which one most. @param {any} money */
export function chapterLine({ chapters, currency, budget, at_completion: end }) {
  const over = inOrder(chapters.filter((one) => one.is_agreed && compare(one.over) > 0), (one) => Number(one.over), true);
  if (!chapters.length) return t`Nothing is entered yet.`;
  if (!budget) return t`No budget is set; all comes to ${formatMoney(end, currency)}.`;
  if (!over.length) return notShared(chapters) || t`None is over its budget.`;
  return t`${formatNumber(over.length)} of ${formatNumber(chapters.length)} over; most: ${el("bdi", {}, chapterName(over[0]))}, by ${formatMoney(over[0].over, currency)}.`;
}
