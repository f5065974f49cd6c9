/**
 * What it costs, read off a steel rule: graduated from nothing to the budget and, on a loose
 * extension, beyond it. The budget is a notch in its edge, the likely end a heavy upright with
 * its tolerance, as with dates.
 */

import { el, fill, svg } from "../lib/dom.js";
import { formatMoney, formatRoughly, formatShort } from "../lib/format.js";
import { t } from "../lib/text.js";
import { tolerance } from "./date-band.js";
import { lengths, round } from "./money-bars.js";

const RULE = { top: 58, filled: 26, bottom: 122 };
const HEIGHT = 158;
const EDGE = 2;
const PAPER = 690;
const GAP = 7;

/**
 * @typedef {object} Measured
 * @property {string} currency
 * @property {Record<string, string>} amounts By sort.
 * @property {string} budget "0" where none is set.
 * @property {{p50: string, p80: string} | null} likely
 * @property {string} end As written.
 */

/** How each rule of the page is drawn anew. @type {Map<Element, (width: number) => void>} */
const drawn = new Map();

/**
 * The rule, drawn anew whenever its width changes, and for paper: letters keep their size.
 * @param {Measured} money
 * @param {string} label What it shows, for those who cannot see it.
 */
export function moneyRule(money, label) {
  const node = el("figure.money-rule", { role: "img", "aria-label": label });
  let last = 0;
  const draw = (width) => {
    if (Math.abs(width - last) < 2 || width < 1) return;
    last = width;
    fill(node, drawing(money, width));
  };
  for (const other of drawn.keys()) if (!other.isConnected) drawn.delete(other);
  drawn.set(node, draw);
  new ResizeObserver(([{ contentRect }]) => draw(contentRect.width)).observe(node);
  draw(PAPER);
  return node;
}

addEventListener("beforeprint", () => drawn.forEach((draw) => draw(PAPER)));
addEventListener("afterprint", () => drawn.forEach((draw, node) => draw(node.getBoundingClientRect().width)));

function drawing(money, width) {
  const { amounts, likely, currency } = money;
  const budget = Number(money.budget);
  const most = Math.max(budget, Number(money.end), Number(likely?.p80 ?? 0), 1) * 1.06;
  const x = (amount) => round(EDGE + (Math.max(0, amount) / most) * (width - 2 * EDGE));
  return svg(
    "svg",
    { viewBox: `0 0 ${width} ${HEIGHT}`, "aria-hidden": "true" },
    body(x, budget, most),
    lengths(amounts, x, RULE.top, RULE.filled),
    graduations(x, most, { width, taken: [budget, Number(likely?.p50 ?? -most), Number(likely?.p80 ?? money.end)].map(x) }),
    likely ? marks(likely, currency, x, width) : endMark(money, x, width),
    budget > 0 ? lettered(t`Budget ${formatMoney(money.budget, currency)}`, x(budget), { y: HEIGHT - 5, width, kind: "rule-budget-text" }) : null,
  );
}

/** The rule up to the budget, with the notch in its lower edge, and its extension. */
function body(x, budget, most) {
  const [left, right] = [x(0), x(most)];
  const { top, bottom } = RULE;
  if (!(budget > 0)) return [svg("path", { class: "rule-body", d: `M${left} ${top} H${right} V${bottom} H${left} Z` })];
  const at = x(budget);
  return [
    svg("path", { class: "rule-beyond", d: `M${at} ${top} H${right} V${bottom} H${at}` }),
    svg("path", { class: "rule-body", d: `M${left} ${top} H${at} V${bottom - 15} L${at - 9} ${bottom} H${left} Z` }),
    svg("path", { class: "rule-notch", d: `M${at} ${top} V${bottom - 15} M${at} ${bottom - 13} l-8 13 h16 Z` }),
  ];
}

/** Strokes and figures; a figure gives way to what stands in its place. */
function graduations(x, most, { width, taken }) {
  const [fine, middle, long] = steps(most, width);
  const strokes = [];
  for (let count = 0; count * fine <= most; count += 1) {
    const amount = count * fine;
    strokes.push(`M${x(amount)} ${RULE.bottom} v${-(amount % long === 0 ? 14 : amount % middle === 0 ? 10 : 6)}`);
  }
  const figures = [];
  for (let amount = long; amount < most * 0.97; amount += long) {
    if (taken.some((place) => Math.abs(place - x(amount)) < 22)) continue;
    figures.push(svg("text", { class: "rule-figure", x: x(amount), y: RULE.bottom - 18, "text-anchor": "middle" }, formatShort(amount)));
  }
  return [svg("path", { class: "rule-strokes", d: strokes.join("") }), figures];
}

/** Fine, middle and long strokes: 1, 5 and 10 of a round amount, never too close. */
function steps(most, width) {
  const closest = (64 / width) * most;
  const power = 10 ** Math.floor(Math.log10(closest));
  const long = [1, 2, 5, 10].find((times) => times * power >= closest) * power;
  return [long / 10, long / 2, long];
}

/** The likely end and the tolerance to the 80 % amount, above the rule; neither crosses a text. */
function marks({ p50, p80 }, currency, x, width) {
  const at = { p50: x(Number(p50)), p80: x(Number(p80)) };
  const line = RULE.top - 8;
  const likely = t`Likely ${formatRoughly(p50, currency)}`;
  const isLeft = at.p50 > widthOf(likely) + GAP;
  return [
    tolerance({ ...at, line, half: 4 }),
    svg("path", { class: "rule-by80", d: `M${at.p80} ${line - 26} V${RULE.bottom}` }),
    svg("path", { class: "rule-likely", d: `M${at.p50} ${line - 20} V${RULE.bottom}` }),
    lettered(`80\u00a0% ${formatRoughly(p80, currency)}`, at.p80, { y: line - 30, width, kind: "rule-text" }),
    svg("text", { class: "rule-text strong", x: isLeft ? at.p50 - GAP : at.p80 + GAP, y: line - 7, "text-anchor": isLeft ? "end" : "start" }, likely),
  ];
}

function endMark({ end, currency }, x, width) {
  const at = x(Number(end));
  return [
    svg("path", { class: "rule-by80", d: `M${at} ${RULE.top - 12} V${RULE.bottom}` }),
    lettered(t`As written ${formatMoney(end, currency)}`, at, { y: RULE.top - 16, width, kind: "rule-text" }),
  ];
}

/** A text at a place, turned inwards near the ends. */
function lettered(text, at, { y, width, kind }) {
  const half = widthOf(text) / 2;
  const anchor = at + half > width ? "end" : at - half < 0 ? "start" : "middle";
  const x = anchor === "end" ? Math.min(width, at + 3) : anchor === "start" ? Math.max(0, at - 3) : at;
  return svg("text", { class: kind, x, y, "text-anchor": anchor }, text);
}

/** About how wide the lettering is. [pixels] */
function widthOf(text) {
  return text.length * 7.8;
}
