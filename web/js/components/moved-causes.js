/**
 * What moved finish and cost since an earlier plan: a line for each cause, adding up in the last;
 * where it is known of both plans, to how the likely date moved.
 *
 * The days are drawn as a chain of dimensions: each begins where the one above it ends.
 */

import { sum } from "../lib/amounts.js";
import { fieldName } from "../lib/changes.js";
import { el, fill, roundText, svg } from "../lib/dom.js";
import { formatDays, formatInstant, formatNumber, formatShare, formatSigned } from "../lib/format.js";
import { follow } from "../lib/simulation.js";
import { table } from "../lib/table.js";
import { many, t, toldIn } from "../lib/text.js";

const WIDTH = 160;
const HEIGHT = 22;
const EDGE = 4;
/** On which sheet the things of a cause stand, and where there. */
const SHEETS = { item: ["away"], finding: ["evaluation"], hands: ["settings", "crew"], vendors: ["settings", "vendors"], hidden: ["settings", "zones"], prices: ["money", "costs-panel"], order: ["schedule"] };

/**
 * Ask what moved, and show it once it is known; until then how far it is.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {HTMLElement} place
 * @param {string | number} since A date or a plan version.
 * @param {(result: any) => void} [onTold] Called with what was found.
 * @returns {() => void} Call it to be shown no more.
 */
export function showMoved(sheet, place, since, onTold = () => {}) {
  return follow(`${sheet.path("/moved")}?since=${encodeURIComponent(since)}`, (answer, error) => {
    if (!answer) return fill(place, el("p.problem", {}, error.message));
    const { state, progress, reason, result } = answer;
    if (state === "running") return fill(place, el("p.soft", {}, t`Working out what moved it: ${formatShare(progress)} done.`));
    if (state === "failed") return fill(place, el("p", {}, t`It could not be worked out what moved it. ${reason}`));
    fill(place, movedTable(sheet, result));
    return onTold(result);
  });
}

/** @param {import("../lib/sheet.js").Sheet} sheet @param {any} result As the service answers it. */
function movedTable(sheet, { causes, likely, moved, is_exact: isExact }) {
  const lines = [...toldIn(causes, "what"), ...surer(likely)];
  if (!lines.length) return el("p", {}, roundText(moved.sentence));
  const currency = sheet.project.currency;
  const chain = chainOf(lines);
  const rows = lines.map((line, place) => ({ ...line, drawn: chain[place] }));
  const node = table({
    caption: t`What moved it`,
    hideCaption: true,
    rows,
    columns: [
      { label: t`Cause`, cell: (one) => causeCell(sheet, one), heading: true },
      { label: t`Finish`, cell: (one) => [one.drawn, " ", signedDays(one.days)], numeric: true },
      { label: t`Cost, ${currency}`, cell: ({ amount }) => (amount === null ? "" : formatSigned(amount, currency)), numeric: true },
    ],
  });
  node.classList.add("moved-causes");
  node.querySelector("table").append(together([signedDays(sum(lines.map((one) => String(one.days)))), formatSigned(sum(lines.map((one) => one.amount ?? "0")), currency)]));
  return [
    node,
    likely ? el("p.moved-likely", {}, roundText(likely.sentence)) : null,
    isExact ? null : el("p.footnote", {}, t`So many causes cannot be told in every order; what each moved is the mean over some that were drawn. Together they are exact.`),
  ];
}

/** What moved the likely date alone: with it the lines add up to how that moved. */
function surer(likely) {
  if (!likely?.surer_days) return [];
  const what = likely.surer_days > 0 ? t`How sure it is: what is uncertain adds more` : t`How sure it is: what is uncertain adds less`;
  return [{ kind: "sure", what, days: likely.surer_days, amount: null, changes: [] }];
}

/** A last line that adds up. @param {any[]} cells */
export function together(cells) {
  return el("tfoot", {}, el("tr", {}, el("th", { scope: "row" }, t`Together`), cells.map((cell) => el("td.numeric", {}, cell))));
}

/** "+12 days". @param {number | string} days */
export function signedDays(days) {
  const count = Number(days);
  return `${count > 0 ? "+" : count < 0 ? "−" : ""}${formatDays(Math.abs(count))}`;
}

function causeCell(sheet, { kind, id, what, changes, changes_count: count }) {
  return [el("span.moved-what", {}, named(sheet, kind, id, what)), changes.length ? el("details.moved-changes.no-print", {}, el("summary", {}, many(count, "{n} change", "{n} changes")), changeList(sheet, changes, count)) : null];
}

/** A cause leads to where its things stand; a piece of work opens as its own sheet. */
function named(sheet, kind, id, what) {
  if (kind === "task" && id) return el("button.link", { type: "button", onclick: () => openTask(sheet, id) }, what);
  const [page, part] = SHEETS[kind] ?? [];
  if (!page) return what;
  const anchor = part ?? (id ? encodeURIComponent(id) : "");
  return el("a", { href: `${sheet.link(page)}${anchor ? `#${anchor}` : ""}` }, what);
}

async function openTask(sheet, id) {
  const { openTaskSheet } = await import("./task-sheet.js");
  await openTaskSheet(sheet, id);
}

/** Who changed what, and when; the whole log stands on Settings. */
function changeList(sheet, changes, count) {
  const line = ({ at, who, name, key, fields }) => el("li", {}, `${formatInstant(at)}, ${who}: ${[name || key, fields.map(fieldName).slice(0, 3).join(", ")].filter(Boolean).join(": ")}`);
  const rest = count - changes.length;
  return el("ul", {}, changes.map(line), el("li", {}, el("a", { href: `${sheet.link("settings")}#changes` }, rest > 0 ? t`${formatNumber(rest)} more, in the change log` : t`The change log`)));
}

/** One drawing a cause, all to one scale, each from where the last one ended. */
function chainOf(causes) {
  const stops = causes.reduce((all, { days }) => [...all, all.at(-1) + days], [0]);
  const [low, high] = [Math.min(...stops), Math.max(...stops)];
  const at = (days) => EDGE + ((days - low) / (high - low || 1)) * (WIDTH - 2 * EDGE);
  return causes.map(({ days }, place) => (days ? dimension(at(stops[place]), at(stops[place + 1])) : null));
}

function dimension(from, to) {
  const middle = HEIGHT / 2;
  const way = to > from ? -1 : 1;
  const arrow = Math.abs(to - from) > 9 ? svg("path", { class: "days-arrow", d: `M${to} ${middle} l${way * 8} -3 v6 Z` }) : null;
  return svg(
    "svg",
    { class: "moved-chain", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, "aria-hidden": "true" },
    svg("path", { class: "days-edge", d: `M${from} 2 V${HEIGHT - 2} M${to} 2 V${HEIGHT - 2}` }),
    svg("path", { class: "days-reach", d: `M${from} ${middle} H${to}` }),
    arrow,
  );
}
