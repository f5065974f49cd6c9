/** Plan health: the published practices counted, the worst first, each with the work it names. */

import { datedText, el, fill, svg } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { many, t, told } from "../lib/text.js";
import { limitsForm } from "./health-limits.js";
import { longTable } from "./long-table.js";
import { openTaskSheet } from "./task-sheet.js";

/** So many are named at once; more can be searched. */
const NAMED = 12;
/** So many rows of a long list are in sight, and on paper. */
const PRINTED = 50;
const GROUPS = [
  { verdict: "beyond", title: t`To look at first`, open: true },
  { verdict: "listed", title: t`Listed: no limit is set` },
  { verdict: "not_yet", title: t`Not yet: there is nothing to count` },
  { verdict: "kept", title: t`As it should be` },
];
const VERDICTS = { beyond: t`beyond the limit`, listed: t`listed`, not_yet: t`not yet`, kept: t`kept` };
const WIDTH = 160;
const HEIGHT = 22;

/**
 * Draw the section anew; what was unfolded stays so.
 *
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any} health As the service tells it.
 * @param {{version: number}} project
 * @param {() => Promise<void>} afterwards Called after a change.
 */
export function showHealth(place, sheet, health, project, afterwards) {
  const open = new Set([...place.querySelectorAll("details[open]")].map((node) => node.dataset.key));
  const known = place.childElementCount > 0;
  const groups = GROUPS.map((group) => groupOf(sheet, health, group, afterwards)).filter(Boolean);
  fill(place, el("p.lead", {}, summary(health)), groups, behind(health.checks), limitsForm(sheet, health, project, afterwards));
  if (!known) return;
  for (const node of place.querySelectorAll("details[data-key]")) node.open = open.has(node.dataset.key);
}

/**
 * On paper everything that stands out is unfolded.
 * @param {HTMLElement} place
 * @returns {HTMLElement} The button that prints this section alone.
 */
export function printHealth(place) {
  let folded = [];
  addEventListener("beforeprint", () => {
    folded = [...place.querySelectorAll("details.health-group, details.health-check[data-verdict='beyond']")].filter(({ open }) => !open);
    for (const node of folded) node.open = true;
  });
  addEventListener("afterprint", () => {
    for (const node of folded) node.open = false;
    delete document.body.dataset.printing;
  });
  const button = el("button.button", { type: "button" }, t`Print plan health`);
  button.addEventListener("click", () => {
    document.body.dataset.printing = "health";
    window.print();
  });
  return button;
}

function summary({ beyond, judged }) {
  if (!judged) return t`There is no open work to judge yet. Once there is, this says how far its dates can be relied on.`;
  if (!beyond) return t`All ${formatNumber(judged)} limits are kept: the dates of this plan rest on sound links.`;
  return many(beyond, "{n} of {0} limits is not kept. Until they are, take the dates with care.", "{n} of {0} limits are not kept. Until they are, take the dates with care.", formatNumber(judged));
}

function groupOf(sheet, { checks, judged }, { verdict, title, open }, afterwards) {
  const some = checks.filter((one) => one.verdict === verdict);
  if (!some.length || (!judged && verdict !== "not_yet")) return null;
  return el(
    "details.health-group",
    { "data-key": verdict, open },
    el("summary", {}, el("h3", {}, title, " ", el("span.count", {}, formatNumber(some.length)))),
    some.map((check) => checkOf(sheet, check, afterwards)),
  );
}

function checkOf(sheet, check, afterwards) {
  return el(
    "details.health-check",
    { "data-key": check.id, "data-verdict": check.verdict },
    el(
      "summary",
      {},
      el("b.health-figure", {}, figure(check)),
      el("span.health-counts", {}, told(check.counts)),
      el("span.health-against", {}, gauge(check), el("span.soft", {}, against(check))),
    ),
    el(
      "div.health-body",
      {},
      check.verdict === "kept" || check.verdict === "not_yet" ? null : el("p", {}, told(check.advice)),
      named(sheet, check, afterwards),
      el("p.soft", {}, [t`Practice ${check.practice} of 10: ${told(check.practice_name)}.`, " ", check.limit === null ? t`No limit is set: ${told(check.source)}.` : t`Limit: ${told(check.source)}.`]),
    ),
  );
}

/** "12 of 145". */
function figure({ count, of }) {
  return of ? t`${formatNumber(count)} of ${formatNumber(of)}` : t`not yet`;
}

/** "8.3 %, at most 5 %". */
function against({ share, limit, at_least: isFloor }) {
  const wanted = limit === null ? t`no limit` : limitWords(limit, isFloor);
  return share === null ? wanted : `${percent(share)}, ${wanted}`;
}

function limitWords(limit, isFloor) {
  if (isFloor) return t`at least ${percent(limit)}`;
  return limit === 0 ? t`none allowed` : t`at most ${percent(limit)}`;
}

/** To a tenth; what is not nothing never reads as nothing. */
function percent(share) {
  const shown = Math.round(share * 1000) / 10;
  return !shown && share > 0 ? t`under ${formatNumber(0.1)}\u00a0%` : `${formatNumber(shown)}\u00a0%`;
}

/** The share as a ruled box on a line, the limit as an upright; what is beyond it is cross-hatched. */
function gauge({ share, limit, at_least: isFloor }) {
  if (share === null) return null;
  const scale = Math.max(1, share, limit ?? 0);
  const at = (value) => Math.round((Math.max(value, 0) / scale) * (WIDTH - 4)) + 2;
  const box = (from, to, name) => (to > from ? svg("rect", { class: name, x: from, y: 7, width: to - from, height: 9 }) : null);
  const end = at(share);
  const mark = limit === null ? null : at(limit);
  const beyond = mark === null ? null : hatched(isFloor ? [end, mark] : [mark, end]);
  return svg(
    "svg",
    { class: "health-gauge", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, width: WIDTH, height: HEIGHT, "aria-hidden": "true" },
    svg("path", { class: "gauge-line", d: `M2 16 H${WIDTH - 2}` }),
    box(2, end, "gauge-share"),
    beyond,
    mark === null ? null : svg("path", { class: "gauge-limit", d: `M${mark} 2 V20` }),
  );
}

function hatched([from, to]) {
  let strokes = "";
  for (let x = from; x < to; x += 5) {
    const end = Math.min(x + 5, to);
    strokes += `M${x} 16 L${end} 7 M${x} 7 L${end} 16 `;
  }
  return strokes ? svg("path", { class: "gauge-beyond", d: strokes.trim() }) : null;
}

/** The work that a check names: a short list, or one that can be searched. */
function named(sheet, { offenders, counts: counted }, afterwards) {
  const counts = told(counted);
  if (!offenders.length) return null;
  const columns = [
    { label: t`Work`, cell: (one) => [whom(sheet, one, afterwards), " ", el("span.health-id", {}, one.id)], sort: (one) => one.name, heading: true },
    { label: t`What stands out`, cell: (one) => datedText(one.note) },
  ];
  const shown = offenders.some((one) => one.note) ? columns : columns.slice(0, 1);
  if (offenders.length <= NAMED) return table({ caption: counts, hideCaption: true, columns: shown, rows: offenders });
  const list = longTable({ caption: counts, columns: shown, text: (one) => `${one.id} ${one.name} ${one.note}` });
  list.showRows(offenders);
  if (offenders.length <= PRINTED) return list.node;
  return [list.node, el("p.print-only.soft", {}, t`${PRINTED} of ${formatNumber(offenders.length)} are printed here. The sheet on the screen has them all.`)];
}

function whom(sheet, { id, name, kind }, afterwards) {
  if (kind === "send_out") return el("a", { href: `${sheet.link("away")}#${encodeURIComponent(id)}` }, name);
  const button = el("button.name", { type: "button" }, name);
  button.addEventListener("click", () => openTaskSheet(sheet, id, { onChange: afterwards }));
  return button;
}

function behind(checks) {
  return el(
    "details.behind",
    { "data-key": "all-checks" },
    el("summary", {}, t`All checks as a table`),
    table({
      caption: t`All checks of plan health`,
      rows: checks,
      columns: [
        { label: t`What is counted`, cell: (one) => told(one.counts), heading: true, sort: (one) => told(one.counts) },
        { label: t`Practice`, cell: (one) => one.practice, sort: (one) => one.practice, numeric: true },
        { label: t`Found`, cell: (one) => (one.of ? formatNumber(one.count) : ""), sort: (one) => one.count, numeric: true },
        { label: t`Of`, cell: (one) => (one.of ? formatNumber(one.of) : ""), sort: (one) => one.of, numeric: true },
        { label: t`Share`, cell: (one) => (one.share === null ? "" : percent(one.share)), sort: (one) => one.share, numeric: true },
        { label: t`Limit`, cell: (one) => (one.limit === null ? t`none set` : limitWords(one.limit, one.at_least)), sort: (one) => one.limit },
        { label: t`Comes to`, cell: (one) => VERDICTS[one.verdict], sort: (one) => GROUPS.findIndex(({ verdict }) => verdict === one.verdict) },
      ],
    }),
  );
}
