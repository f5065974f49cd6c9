/** Why finish and cost have changed: since an earlier plan and since the approval, adding up. */

import { compare, size, sum } from "../lib/amounts.js";
import { el, fill, roundText } from "../lib/dom.js";
import { formatDays, formatMoney, formatNumber, formatSigned } from "../lib/format.js";
import { table } from "../lib/table.js";
import { t } from "../lib/text.js";
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
  const told = moved ?? approved;
  if (!told) return t`No budget is set.`;
  const cost = compare(told.moved) ? `${formatMoney(size(told.moved), currency)} ${compare(told.moved) > 0 ? "more" : "less"}` : t`as dear`;
  const days = told.days ? `${formatDays(Math.abs(told.days))} ${told.days > 0 ? "later" : "sooner"}` : told.days === 0 ? t`as late` : null;
  return [cost, days].filter(Boolean).join(" and ") + (moved ? t` than before this month.` : told.since ? t` than approved.` : t` than the budget.`);
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
      { label: t`Cause`, cell: ({ what }) => what, heading: true },
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
    ...restOf(chapters.slice(NAMED).filter(way(wanted)), wanted > 0 ? "dearer" : "cheaper"),
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
  return [{ name: `${formatNumber(chapters.length)} more, ${way}`, moved: sum(chapters.map((one) => one.moved)) }];
}
