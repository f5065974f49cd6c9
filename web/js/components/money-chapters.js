/** Chapters against their budget, the one that is furthest over it first. */

import { compare, sum } from "../lib/amounts.js";
import { el, fill } from "../lib/dom.js";
import { formatAmount, formatMoney, formatNumber, formatSigned } from "../lib/format.js";
import { inOrder, table } from "../lib/table.js";
import { bySort, mark, moneyBar, SORTS } from "./money-bars.js";

const SUMS = ["budget", "at_completion", "paid", "worked", "invoiced", "committed", "expected"];

/** @param {HTMLElement} place @param {any} money As the service answers it. */
export function showChapters(place, { chapters, vendors, allowance, currency }) {
  const most = Math.max(1, ...chapters.map((one) => Math.max(Number(one.budget), Number(one.at_completion))));
  const all = chapterTable(chapters, `Chapters against budget, in ${currency}.${toCome(allowance)}`, currency, most);
  if (chapters.length) all.querySelector("table").append(sums(chapters, currency));
  fill(
    place,
    el("ul.key-list", { role: "list", "aria-label": "Key" }, SORTS.slice(0, 4).map(({ id, title }) => el("li", {}, mark(id), title)), el("li", {}, el("span.notch", { "aria-hidden": "true" }, "▲"), "Budget")),
    all,
    vendors.length ? el("details.behind", {}, el("summary", {}, "The same by vendor"), vendorTable(vendors, currency)) : null,
  );
}

function chapterTable(chapters, caption, currency, most) {
  const amount = asAmount(currency);
  return table({
    caption,
    rows: inOrder(chapters, (one) => Number(one.over), true),
    empty: "No chapter has a budget or a cost yet.",
    columns: [
      { label: "Chapter", cell: (one) => chapterName(one), heading: true, sort: (one) => one.chapter ?? null },
      { label: "Over (+) or left (−)", cell: (one) => signed(one, currency), sort: (one) => Number(one.over), numeric: true },
      { label: "To one scale", cell: (one) => moneyBar(bySort(one), one.budget, most) },
      amount("budget", "Budget"),
      amount("at_completion", "In the end"),
      amount("paid", "Paid"),
      amount("worked", "Labour done"),
      amount("invoiced", "Billed"),
      amount("committed", "Ordered"),
      amount("expected", "Still to come"),
    ],
  });
}

function asAmount(currency) {
  return (name, label) => ({ label, cell: (one) => formatAmount(one[name], currency), sort: (one) => Number(one[name]), numeric: true });
}

/** The last line: every column added up. */
function sums(chapters, currency) {
  const total = (name) => sum(chapters.map((one) => one[name]));
  const cell = (name) => el("td.numeric", {}, formatAmount(total(name), currency));
  const over = { over: total("over") };
  return el("tfoot", {}, el("tr", {}, el("th", { scope: "row" }, "Together"), el("td.numeric", {}, signed(over, currency)), el("td"), SUMS.map(cell)));
}

function vendorTable(vendors, currency) {
  const amount = asAmount(currency);
  return table({
    caption: `By vendor, in ${currency}`,
    rows: vendors,
    columns: [
      { label: "Vendor", cell: (one) => one.name || one.vendor, heading: true, sort: (one) => one.name },
      amount("at_completion", "In the end"),
      amount("paid", "Paid"),
      amount("invoiced", "Billed"),
      amount("committed", "Ordered"),
      amount("expected", "Still expected"),
    ],
  });
}

/** What the column "Still to come" counts beside what is still expected. @param {string} [allowance] */
export function toCome(allowance = "0") {
  return compare(allowance) > 0 ? " Still to come counts the allowance for hidden work as well." : "";
}

/** @param {{chapter: string | null, title: string}} one */
export function chapterName({ chapter, title }) {
  if (!chapter) return title || "Without a chapter";
  return title && title !== chapter ? `${chapter} ${title}` : chapter;
}

function signed({ over }, currency) {
  const text = formatSigned(over, currency);
  return compare(over) > 0 ? el("b", {}, text) : text;
}

/** How many chapters are over their budget, and which one most. @param {any} money */
export function chapterLine({ chapters, currency, budget, at_completion: end }) {
  const over = inOrder(chapters.filter((one) => compare(one.over) > 0), (one) => Number(one.over), true);
  if (!chapters.length) return "Nothing is entered yet.";
  if (!budget) return `No budget is set; all comes to ${formatMoney(end, currency)}.`;
  if (!over.length) return "None is over its budget.";
  return [`${formatNumber(over.length)} of ${formatNumber(chapters.length)} over; most: `, el("bdi", {}, chapterName(over[0])), `, by ${formatMoney(over[0].over, currency)}.`];
}
