/**
 * The finish that this crew can keep, beside the one with hands for everything, and who holds it.
 *
 * Drawn as two pieces of one length: what would be left to do with hands for everything, and the
 * same with what waiting adds. Waiting is stitched: a broken line between two ends.
 */

import { datedText, el, svg, when } from "../lib/dom.js";
import { daysBetween, formatDays, formatNumber } from "../lib/format.js";
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
 * @returns {any[]}
 */
export function crewAnswer(load, sure) {
  if (!asksForSomebody(load)) return load.explanation.map((one) => el("p.lead", {}, datedText(one)));
  const costs = waitingDays(load);
  return [
    el("p.crew-headline", {}, headline(load, costs)),
    el("p.lead", {}, finishWords(load.finish, sure)),
    reason(load, costs),
    drawing(load, sure.result?.finish ?? null, costs),
    load.explanation.length ? explained(load.explanation) : null,
  ];
}

/** How many days the finish as written is later because of people and places. @param {any} load */
export function waitingDays({ finish, finish_without_limits: without }) {
  return without ? Math.max(0, daysBetween(without, finish)) : 0;
}

function headline(load, costs) {
  if (!load.crew_links) return "The crew has no order of work yet.";
  if (!costs) return "The crew does not hold up the finish.";
  return `Waiting for hands and places costs ${formatDays(costs)}.`;
}

/** Whether anything that is open asks for people or a place. @param {any} load */
export function asksForSomebody({ trades, places }) {
  return [...trades, ...places].some(({ used_days: days }) => days > 0);
}

function reason(load, costs) {
  const { finish_without_limits: without, bottleneck, crew_links: links } = load;
  const parts = [];
  if (!links) parts.push("These dates take it that there is a hand for everything. Look for an order below: it says who goes first, and the dates keep to it.");
  if (costs) parts.push("With hands and places for everything it would be ", when(without, "long"), " as written. ");
  if (bottleneck) parts.push(datedText(bottleneck.sentence));
  return parts.length ? el("p.lead", {}, parts) : null;
}

function explained(sentences) {
  return el("details.behind", {}, el("summary", {}, "How that comes about"), sentences.map((one) => el("p", {}, datedText(one))));
}

function drawing({ as_of: asOf, finish, finish_without_limits: without }, spread, costs) {
  if (!costs || finish <= asOf) return null;
  const last = spread && spread.p80 > finish ? spread.p80 : finish;
  const span = Math.max(1, daysBetween(asOf, last));
  const x = (iso) => EDGE + (Math.max(0, daysBetween(asOf, iso)) / span) * (WIDTH - 2 * EDGE);
  const uncertain = spread && !isCertain(spread);
  return el(
    "figure.crew-span",
    { "aria-hidden": "true" },
    row("Hands for everything", line(piece(x(asOf), x(without)), [x(asOf), x(without)]), without),
    row(
      "This crew",
      line(
        [piece(x(asOf), x(without)), stitches(x(without), x(finish)), uncertain ? tolerance({ p50: x(spread.p50), p80: x(spread.p80), line: LINE, half: 6 }) : []],
        [x(asOf), x(without)],
        x(finish),
        uncertain ? svg("path", { class: "span-likely", d: `M${x(spread.p50)} 1 V${HEIGHT - 1}` }) : null,
      ),
      finish,
    ),
    el("p.span-note", {}, "stitched: ", formatDays(costs), " of waiting (", weeks(costs), ")", uncertain ? ["; upright strokes: from the likely to the 80\u00a0% date"] : null),
  );
}

function weeks(days) {
  const count = Math.round(days / 7);
  return count === 1 ? "a week" : `${formatNumber(count)} weeks`;
}

function row(name, drawn, iso) {
  return el("div.span-row", {}, el("span.span-name", {}, name), drawn, el("span.span-date", {}, when(iso)));
}

function line(content, edges, finish = null, likely = null) {
  return svg(
    "svg",
    { viewBox: `0 0 ${WIDTH} ${HEIGHT}` },
    content,
    svg("path", { class: "span-edge", d: edges.map((x) => `M${x} 2 V${HEIGHT - 2}`).join(" ") }),
    finish === null ? null : svg("path", { class: "span-edge finish", d: `M${finish} 1 V${HEIGHT - 1}` }),
    likely,
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
