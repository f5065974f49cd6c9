/**
 * The legs of a send-out as a small drawn strip: what is done, where it is now, what is to come,
 * with the vendor's promise, when it may be back, and the date the shop needs it by.
 */

import { el, svg } from "../lib/dom.js";
import { daysBetween, formatDate, formatNumber } from "../lib/format.js";
import { many, t } from "../lib/text.js";

export const LEG_WORDS = {
  prepare: t`Prepare and tag`,
  ship_out: t`On the way out`,
  customs_out: t`Customs, out`,
  intake: t`Waiting, teardown, quote`,
  approval: t`Price waits for a yes`,
  vendor_work: t`At work`,
  ship_back: t`On the way back`,
  customs_back: t`Customs, back`,
  accept: t`Receive and accept`,
  return: t`Pattern or core on its way`,
};

const ROAD = new Set(["ship_out", "customs_out", "ship_back", "customs_back", "return"]);
const WIDTH = 600;
const HEIGHT = 56;
const TOP = 14;
const BAR = 22;
/** Between two strokes of the taper. */
const STROKES = 5;

/**
 * @param {object} item A send-out of the Away answer.
 * @param {string} asOf
 * @returns {HTMLElement}
 */
export function legStrip(item, asOf) {
  const drawn = item.legs.filter((leg) => leg.leg !== "return");
  if (!drawn.length) return el("div");
  const days = [asOf, item.need_by, item.promised, item.back?.p90, ...drawn.flatMap((leg) => [leg.start, leg.finish])];
  const known = days.filter(Boolean).sort();
  const first = known[0];
  const span = Math.max(1, daysBetween(first, known.at(-1)) + 2);
  const x = (iso, end = 0) => ((daysBetween(first, iso) + end) / span) * WIDTH;
  return el(
    "figure.strip",
    {},
    svg(
      "svg",
      { viewBox: `-2 0 ${WIDTH + 4} ${HEIGHT}`, preserveAspectRatio: "none", role: "img", "aria-label": inWords(item, drawn) },
      item.back ? taper(item.back, x(drawn.at(-1).finish, 1), x) : null,
      drawn.map((leg) => drawLeg(leg, x)),
      item.back ? uprights(item.back, x) : null,
      item.promised && !item.left_vendor ? promise(x(item.promised, 1)) : null,
      item.need_by ? mark("strip-need", x(item.need_by, 1)) : null,
      mark("strip-now", x(asOf)),
    ),
    el(
      "figcaption.strip-ends",
      {},
      el("span", {}, formatDate(first, "month")),
      el("span", {}, formatDate(known.at(-1), "month")),
    ),
  );
}

function drawLeg(leg, x) {
  const from = x(leg.start);
  const width = Math.max(2, x(leg.finish, 1) - from);
  const isRoad = ROAD.has(leg.leg);
  const height = isRoad ? BAR / 3 : BAR;
  const y = TOP + (BAR - height) / 2;
  const box = { x: from, y, width, height };
  return svg(
    "g",
    { class: `strip-leg ${leg.state}` },
    svg("title", {}, t`${LEG_WORDS[leg.leg] ?? leg.leg}: ${formatDate(leg.start)} to ${formatDate(leg.finish)}`),
    svg("rect", { class: "ground", ...box }),
    leg.state === "done" ? svg("rect", { class: "hatched", fill: "url(#hatch-accomplished)", ...box }) : null,
    svg("rect", { class: "outline", "vector-effect": "non-scaling-stroke", ...box }),
  );
}

/**
 * How it may run on after its end as written: as high at each date as the chance that it is
 * not back yet.
 */
function taper({ p10, p50, p80, p90 }, written, x) {
  const known = [[p10, 0.9], [p50, 0.5], [p80, 0.2], [p90, 0.1]].map(([iso, chance]) => [x(iso, 1), chance]);
  const after = known.filter(([at]) => at > written);
  if (!after.length) return null;
  const foot = TOP + BAR;
  const corners = [[written, chanceAt(written, known)], ...after];
  const top = ([at, chance]) => `${at} ${foot - BAR * chance}`;
  const strokes = [];
  for (let at = written + STROKES; at < after.at(-1)[0]; at += STROKES) {
    strokes.push(`M${at} ${foot} V${foot - BAR * chanceAt(at, corners)}`);
  }
  const outline = `M${written} ${foot} L${corners.map(top).join(" L")} L${after.at(-1)[0]} ${foot} Z`;
  return svg(
    "g",
    { class: "strip-taper" },
    svg("path", { class: "strokes", d: strokes.join(" ") || `M${written} ${foot}`, "vector-effect": "non-scaling-stroke" }),
    svg("path", { class: "outline", d: outline, "vector-effect": "non-scaling-stroke" }),
  );
}

/** The chance between known ones, along a straight line. */
function chanceAt(at, known) {
  if (at <= known[0][0]) return at < known[0][0] ? 1 : known[0][1];
  const next = known.findIndex(([end]) => end >= at);
  const [[from, high], [to, low]] = [known[next - 1], known[next]];
  return high + ((low - high) * (at - from)) / (to - from);
}

/** The likely return and the one that is kept with 8 chances in 10. */
function uprights({ p10, p50, p80, p90 }, x) {
  if (p10 === p90) return null;
  const upright = (name, at) =>
    svg("line", { class: name, x1: at, x2: at, y1: TOP + BAR / 4, y2: TOP + BAR, "vector-effect": "non-scaling-stroke" });
  return [upright("strip-likely", x(p50, 1)), upright("strip-by80", x(p80, 1))];
}

function promise(x) {
  return svg("path", { class: "strip-promise", d: `M${x} ${TOP + BAR + 2} l6 12 h-12 Z` });
}

function mark(name, x) {
  return svg("line", { class: name, x1: x, x2: x, y1: 2, y2: HEIGHT - 4, "vector-effect": "non-scaling-stroke" });
}

/** The strip in words. */
function inWords(item, legs) {
  const open = legs.find((leg) => leg.state !== "done");
  const done = legs.filter((leg) => leg.state === "done").length;
  const parts = [many(legs.length, "{0}: {1} of {n} leg done", "{0}: {1} of {n} legs done", item.name, formatNumber(done))];
  if (open) parts.push(t`now ${(LEG_WORDS[open.leg] ?? open.leg).toLowerCase()}`);
  if (item.promised) parts.push(t`promised ${formatDate(item.promised)}`);
  if (item.back) parts.push(t`likely back ${formatDate(item.back.p50)}, 8 chances in 10 by ${formatDate(item.back.p80)}`);
  if (item.need_by) parts.push(t`needed by ${formatDate(item.need_by)}`);
  return parts.join(", ");
}
