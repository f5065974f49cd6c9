/** Why finish and cost have changed: since an earlier plan and since the approval, adding up. */

import { compare, size, sum } from "../lib/amounts.js";
import { el, fill, roundText } from "../lib/dom.js";
import { formatMoney, formatMoved, formatNumber, formatSigned } from "../lib/format.js";
import { table } from "../lib/table.js";
import { t, told } from "../lib/text.js";
import { chapterName } from "./money-chapters.js";
import { showMoved, signedDays, together } from "./moved-causes.js";

/** So many chapters are named; the rest is added up. */
const NAMED = 4;

/**
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any} statement As the service answers it; of it, what moved and why.
 */
export function showWhy(place, sheet, { moved, approved, why, currency, delay_month: delay }) {
  const more = [...why, delay?.sentence, moved ? null : t`What this month changed is not known: the project began here later.`];
  fill(
    place,
    moved ? part(moved, currency, causesOf(sheet, moved)) : null,
    approved ? approvedPart(approved, currency) : null,
    el("ul.statement-list", {}, more.filter(Boolean).map((text) => el("li", {}, roundText(text)))),
  );
}

/** "EUR 7,244 more and 42 days later than approved." @param {any} statement */
export function whyLine({ approved, moved, currency }) {
  const since = moved ?? approved;
  if (!since) return t`No budget is set.`;
  const apart = formatMoney(size(since.moved), currency);
  const cost = [t`${apart} less`, t`as dear`, t`${apart} more`][compare(since.moved) + 1];
  const change = since.days === null ? cost : t`${cost} and ${since.days ? formatMoved(since.days) : t`as late`}`;
  if (moved) return t`${change} than before this month.`;
  return since.since ? t`${change} than approved.` : t`${change} than the budget.`;
}

/** How finish and cost stand to what was approved. @param {any} approved @param {string} currency */
export function approvedPart(approved, currency) {
  return part(approved, currency, stepTable(approved));
}

function part(one, currency, causes) {
  return el("section.why-part", {}, el("p.why-sentence", {}, roundText(one.sentence)), el("div.why-tables", {}, causes, chapterTable(one, currency)));
}

/** What moved it since the earlier plan, as soon as it is worked out. */
function causesOf(sheet, { since_version: version }) {
  const place = el("div.moved-place");
  showMoved(sheet, place, version);
  return place;
}

/** What moved the finish since the approval. */
function stepTable({ steps, days }) {
  if (!steps.length) return null;
  const node = table({
    caption: t`What moved it`,
    rows: steps,
    columns: [
      { label: t`Cause`, cell: ({ what }) => told(what), heading: true },
      { label: t`Finish`, cell: ({ days: by }) => signedDays(by), numeric: true },
    ],
  });
  node.querySelector("table").append(together([signedDays(days)]));
  return node;
}

/** The chapters that moved most, and the rest together; dearer ones first. */
function chapterTable({ chapters, moved }, currency) {
  if (!chapters.length) return null;
  const way = (wanted) => (one) => compare(one.moved) === wanted;
  const rows = [1, -1].flatMap((wanted) => [
    ...chapters.slice(0, NAMED).filter(way(wanted)).map((one) => ({ name: chapterName(one), moved: one.moved })),
    ...restOf(chapters.slice(NAMED).filter(way(wanted)), wanted),
  ]);
  const node = table({
    caption: t`In which chapters`,
    rows,
    columns: [
      { label: t`Chapter`, cell: ({ name }) => name, heading: true },
      { label: t`Cost, ${currency}`, cell: (one) => formatSigned(one.moved, currency), numeric: true },
    ],
  });
  node.querySelector("table").append(together([formatSigned(moved, currency)]));
  return node;
}

function restOf(chapters, way) {
  if (chapters.length < 2) return chapters.map((one) => ({ name: chapterName(one), moved: one.moved }));
  const count = formatNumber(chapters.length);
  return [{ name: way > 0 ? t`${count} more, dearer` : t`${count} more, cheaper`, moved: sum(chapters.map((one) => one.moved)) }];
}
