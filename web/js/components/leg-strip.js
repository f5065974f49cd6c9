/**
 * The legs of a send-out as a small drawn strip: what is done, where it is now, what is to come,
 * with the vendor's promise and the date the shop needs it by.
 */

import { el, svg } from "../lib/dom.js";
import { daysBetween, formatDate } from "../lib/format.js";

export const LEG_WORDS = {
  prepare: "Prepare and tag",
  ship_out: "On the way out",
  customs_out: "Customs, out",
  intake: "Waiting, teardown, quote",
  approval: "Price waits for a yes",
  vendor_work: "At work",
  ship_back: "On the way back",
  customs_back: "Customs, back",
  accept: "Receive and accept",
  return: "Pattern or core on its way",
};

const ROAD = new Set(["ship_out", "customs_out", "ship_back", "customs_back", "return"]);
const WIDTH = 600;
const HEIGHT = 56;
const TOP = 14;
const BAR = 22;

/**
 * @param {object} item A send-out of the Away answer.
 * @param {object[]} legs Its activities, in order.
 * @param {string} asOf
 * @returns {HTMLElement}
 */
export function legStrip(item, legs, asOf) {
  const drawn = legs.filter((leg) => leg.leg !== "return");
  if (!drawn.length) return el("div");
  const days = [asOf, item.need_by, item.promised, ...drawn.flatMap((leg) => [leg.start, leg.finish])];
  const known = days.filter(Boolean).sort();
  const first = known[0];
  const span = Math.max(1, daysBetween(first, known.at(-1)) + 2);
  const x = (iso, end = 0) => ((daysBetween(first, iso) + end) / span) * WIDTH;
  return el(
    "figure.strip",
    {},
    svg(
      "svg",
      { viewBox: `-2 0 ${WIDTH + 4} ${HEIGHT}`, preserveAspectRatio: "none", role: "img", "aria-label": told(item, drawn) },
      drawn.map((leg) => drawLeg(leg, x)),
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
    svg("title", {}, `${LEG_WORDS[leg.leg] ?? leg.leg}: ${formatDate(leg.start)} to ${formatDate(leg.finish)}`),
    svg("rect", { class: "ground", ...box }),
    leg.state === "done" ? svg("rect", { class: "hatched", fill: "url(#hatch-accomplished)", ...box }) : null,
    svg("rect", { class: "outline", "vector-effect": "non-scaling-stroke", ...box }),
  );
}

function promise(x) {
  return svg("path", { class: "strip-promise", d: `M${x} ${TOP + BAR + 2} l6 12 h-12 Z` });
}

function mark(name, x) {
  return svg("line", { class: name, x1: x, x2: x, y1: 2, y2: HEIGHT - 4, "vector-effect": "non-scaling-stroke" });
}

/** The strip in words. */
function told(item, legs) {
  const open = legs.find((leg) => leg.state !== "done");
  const done = legs.filter((leg) => leg.state === "done").length;
  const parts = [`${item.name}: ${done} of ${legs.length} legs done`];
  if (open) parts.push(`now ${(LEG_WORDS[open.leg] ?? open.leg).toLowerCase()}`);
  if (item.promised) parts.push(`promised ${formatDate(item.promised)}`);
  if (item.need_by) parts.push(`needed by ${formatDate(item.need_by)}`);
  return parts.join(", ");
}
