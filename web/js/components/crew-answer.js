/**
 * The finish that this crew can keep, beside the one with hands for everything, and who holds it.
 *
 * Drawn to one scale: what would be left to do with hands for everything, the same with what
 * waiting adds, and how late that may become. Waiting is stitched: a broken line between two ends.
 */

import { datedText, el, svg, when } from "../lib/dom.js";
import { daysBetween, formatDays } from "../lib/format.js";
import { many, t } from "../lib/text.js";
import { isCertain, tolerance } from "./date-band.js";
import { finishWords } from "./finish-words.js";

const WIDTH = 640;
const HEIGHT = 26;
const LINE = 13;
const EDGE = 3;
/** Shorter pieces are drawn without arrows. */
const ARROWS = 30;

/**
 * @param {any} load As the service tells it.
 * @param {import("../lib/simulation.js").Answer} sure How the simulation of that plan stands.
 * @param {any} gain What one more would gain most, where that was worked out.
 * @returns {any[]}
 */
export function crewAnswer(load, sure, gain) {
  if (!asksForSomebody(load)) return load.explanation.map((one) => el("p.lead", {}, datedText(one)));
  const costs = waitingDays(load);
  const isDrawn = costs > 0 && load.finish > load.as_of;
  const spread = sure.result && !isCertain(sure.result.finish) ? sure.result.finish : null;
  return [
    el("p.crew-headline", {}, headline(load, costs)),
    reason(load),
    gain ? el("p.lead", {}, t`What gains most, on top of the best order: ${datedText(gain.sentence)}`) : null,
    isDrawn && spread ? null : el("p.lead", {}, finishWords(load.finish, sure)),
    isDrawn ? drawing(load, spread, costs) : null,
    explained(load),
  ];
}

/** How many days the finish as written is later because of people and places. @param {any} load */
function waitingDays({ finish, finish_without_limits: without }) {
  return without ? Math.max(0, daysBetween(without, finish)) : 0;
}

function headline(load, costs) {
  if (!load.crew_links) return t`The crew has no order of work yet.`;
  if (!costs) return t`The crew does not hold up the finish.`;
  return t`Waiting for hands and places costs ${formatDays(costs)}.`;
}

/** Whether anything that is open asks for people or a place. @param {any} load */
export function asksForSomebody({ trades, places }) {
  return [...trades, ...places].some(({ used_days: days }) => days > 0);
}

/** Who holds it up; or that nobody was asked yet. */
function reason({ bottleneck, crew_links: links }) {
  if (!links) return el("p.lead", {}, t`These dates take it that there is a hand for everything. Look for an order below: it says who goes first, and the dates keep to it.`);
  return bottleneck ? el("p.lead", {}, datedText(bottleneck.sentence)) : null;
}

/** What else there is to say: who holds it up stands above already. */
function explained({ explanation, bottleneck }) {
  const more = explanation.filter((one) => one !== bottleneck?.sentence);
  return more.length ? el("details.behind", {}, el("summary", {}, t`How that comes about`), more.map((one) => el("p", {}, datedText(one)))) : null;
}

/** Each row says its dates in words as well: the lines are for the eye. */
function drawing({ as_of: asOf, finish, finish_without_limits: without }, spread, costs) {
  const last = spread && spread.p80 > finish ? spread.p80 : finish;
  const span = Math.max(1, daysBetween(asOf, last));
  const x = (iso) => EDGE + (Math.max(0, daysBetween(asOf, iso)) / span) * (WIDTH - 2 * EDGE);
  const [start, free, end] = [x(asOf), x(without), x(finish)];
  return el(
    "figure.crew-span",
    {},
    row(t`Hands for everything`, line(piece(start, free), [start, free]), when(without)),
    row(t`This crew, as written`, line([piece(start, free), stitches(free, end)], [start, free], end), when(finish)),
    spread ? row(t`This crew, likely`, likely(start, x(spread.p50), x(spread.p80)), [when(spread.p50), " ", el("span.by80", {}, t`80\u00a0% by ${when(spread.p80)}`)]) : null,
    el("figcaption.span-note", {}, spread ? t`Stitched: ${waiting(costs)}; upright strokes: from the likely to the 80\u00a0% date.` : t`Stitched: ${waiting(costs)}.`),
  );
}

/** To the likely date, and what may be added to it. */
function likely(start, p50, p80) {
  const heavy = svg("path", { class: "span-likely", d: `M${p50} 1 V${HEIGHT - 1}` });
  return line([piece(start, p50), tolerance({ p50, p80, line: LINE, half: 6 }), heavy], [start]);
}

function waiting(days) {
  if (days < 14) return t`${formatDays(days)} of waiting`;
  return t`${formatDays(days)} of waiting (${many(Math.round(days / 7), "{n} week", "{n} weeks")})`;
}

function row(name, drawn, dates) {
  return el("div.span-row", {}, el("span.span-name", {}, name), drawn, el("span.span-date", {}, dates));
}

function line(content, edges, finish = null) {
  return svg(
    "svg",
    { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, "aria-hidden": "true" },
    content,
    svg("path", { class: "span-edge", d: edges.map((x) => `M${x} 2 V${HEIGHT - 2}`).join(" ") }),
    finish === null ? null : svg("path", { class: "span-edge finish", d: `M${finish} 1 V${HEIGHT - 1}` }),
  );
}

function piece(from, to) {
  if (to - from < 1) return [];
  const arrow = (x, way) => svg("path", { class: "span-arrow", d: `M${x} ${LINE} l${way * 10} -3.5 v7 Z` });
  return [svg("path", { class: "span-line", d: `M${from} ${LINE} H${to}` }), ...(to - from > ARROWS ? [arrow(from, 1), arrow(to, -1)] : [])];
}

/** The rib stitching: short slanting stitches along the line. */
function stitches(from, to) {
  if (to - from < 1) return [];
  return [svg("path", { class: "span-stitches", d: `M${from} ${LINE} H${to}` })];
}
