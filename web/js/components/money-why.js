/** Why finish and cost have changed: since an earlier plan and since the approval, adding up. */

import { compare, size, sum } from "../lib/amounts.js";
import { el, fill, roundText } from "../lib/dom.js";
import { formatDays, formatMoney, formatNumber, formatSigned } from "../lib/format.js";
import { table } from "../lib/table.js";
import { chapterName } from "./money-chapters.js";

/** So many chapters are named; the rest is added up. */
const NAMED = 4;

/**
 * @param {HTMLElement} place
 * @param {any} statement As the service answers it; of it, what moved and why.
 */
export function showWhy(place, { moved, approved, why, currency, delay_month: delay }) {
  const more = [...why, delay?.sentence, moved ? null : "What this month changed is not known: no plan from before it was kept."];
  fill(
    place,
    moved ? part(moved, currency) : null,
    approved ? part(approved, currency) : null,
    el("ul.statement-list", {}, more.filter(Boolean).map((text) => el("li", {}, roundText(text)))),
  );
}

/** "EUR 7,244 more and 42 days later than approved." @param {any} statement */
export function whyLine({ approved, moved, currency }) {
  const told = moved ?? approved;
  if (!told) return "No budget is set.";
  const cost = compare(told.moved) ? `${formatMoney(size(told.moved), currency)} ${compare(told.moved) > 0 ? "more" : "less"}` : "as dear";
  const days = told.days ? `${formatDays(Math.abs(told.days))} ${told.days > 0 ? "later" : "sooner"}` : told.days === 0 ? "as late" : null;
  return [cost, days].filter(Boolean).join(" and ") + (moved ? " than before this month." : told.since ? " than approved." : " than the budget.");
}

function part(one, currency) {
  return el("section.why-part", {}, el("p.why-sentence", {}, roundText(one.sentence)), el("div.why-tables", {}, stepTable(one, currency), chapterTable(one, currency)));
}

/** What moved the finish, and the cost where that is known step by step. */
function stepTable({ steps, days }, currency) {
  if (!steps.length) return null;
  const isPriced = steps.every(({ amount }) => amount !== null);
  const money = { label: `Cost, ${currency}`, cell: ({ amount }) => formatSigned(amount, currency), numeric: true };
  const node = table({
    caption: "What moved it",
    rows: steps,
    columns: [
      { label: "Cause", cell: ({ what }) => what, heading: true },
      { label: "Finish", cell: ({ days: by }) => signedDays(by), numeric: true },
      ...(isPriced ? [money] : []),
    ],
  });
  const cells = [signedDays(days), ...(isPriced ? [formatSigned(sum(steps.map(({ amount }) => amount)), currency)] : [])];
  return together(node, cells);
}

/** The chapters that moved most, and the rest together; dearer ones first. */
function chapterTable({ chapters, moved }, currency) {
  if (!chapters.length) return null;
  const way = (wanted) => (one) => compare(one.moved) === wanted;
  const rows = [1, -1].flatMap((wanted) => [
    ...chapters.slice(0, NAMED).filter(way(wanted)).map((one) => ({ name: chapterName(one), moved: one.moved })),
    ...restOf(chapters.slice(NAMED).filter(way(wanted)), wanted > 0 ? "dearer" : "cheaper"),
  ]);
  const node = table({
    caption: "In which chapters",
    rows,
    columns: [
      { label: "Chapter", cell: ({ name }) => name, heading: true },
      { label: `Cost, ${currency}`, cell: (one) => formatSigned(one.moved, currency), numeric: true },
    ],
  });
  return together(node, [formatSigned(moved, currency)]);
}

function restOf(chapters, way) {
  if (chapters.length < 2) return chapters.map((one) => ({ name: chapterName(one), moved: one.moved }));
  return [{ name: `${formatNumber(chapters.length)} more, ${way}`, moved: sum(chapters.map((one) => one.moved)) }];
}

function together(node, cells) {
  node.querySelector("table").append(el("tfoot", {}, el("tr", {}, el("th", { scope: "row" }, "Together"), cells.map((cell) => el("td.numeric", {}, cell)))));
  return node;
}

function signedDays(days) {
  return `${days > 0 ? "+" : days < 0 ? "−" : ""}${formatDays(Math.abs(days))}`;
}
