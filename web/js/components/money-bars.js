/**
 * Money as lengths, drawn the same everywhere: spent is inked, billed is crossed, ordered is
 * hatched, what is only expected is an outline, an allowance a dotted one.
 */

import { el, svg } from "../lib/dom.js";
import { compare, minus, sum } from "../lib/amounts.js";
import { formatExact } from "../lib/format.js";
import { t } from "../lib/text.js";

/** The sorts of money, as a bar stacks them. @type {{id: string, title: string}[]} */
export const SORTS = [
  { id: "spent", title: t`Spent` },
  { id: "invoiced", title: t`Billed, not paid yet` },
  { id: "committed", title: t`Ordered` },
  { id: "expected", title: t`Still expected` },
  { id: "allowance", title: t`Allowance for hidden work` },
];

/** Not in a key where there is none. */
const RARE = new Set(["invoiced", "allowance"]);

const STEP = 5;

/**
 * How much there is of each sort; spent is what was paid and the labour that is done, and the
 * allowance is told apart from the rest of what is expected.
 * @param {any} row A chapter, or the whole.
 * @returns {Record<string, string>}
 */
export function bySort({ paid = "0", worked = "0", invoiced = "0", committed = "0", expected = "0", allowance = "0" }) {
  return { spent: sum([paid, worked]), invoiced, committed, expected: minus(expected, allowance), allowance };
}

/**
 * The lengths of one row, side by side.
 *
 * @param {Record<string, string>} amounts By sort.
 * @param {(amount: number) => number} x Place of an amount across.
 * @param {number} top
 * @param {number} height
 * @returns {SVGElement[]}
 */
export function lengths(amounts, x, top, height) {
  let at = 0;
  return SORTS.flatMap(({ id }) => {
    const from = x(at);
    at += Math.max(0, Number(amounts[id] ?? 0));
    const width = x(at) - from;
    return width > 0.2 ? length(id, { x: from, y: top, width, height }) : [];
  });
}

function length(sort, box) {
  const outline = svg("rect", { class: `length-${sort}`, ...box });
  const hatch = { invoiced: diagonals(box, 1) + diagonals(box, -1), committed: diagonals(box, 1) }[sort];
  return hatch ? [outline, svg("path", { class: "length-hatch", d: hatch })] : [outline];
}

/** Oblique strokes that end at the edges of a box. */
function diagonals({ x, y, width, height }, way) {
  const strokes = [];
  for (let start = Math.ceil((x - height) / STEP) * STEP; start < x + width; start += STEP) {
    const [from, to] = [Math.max(0, x - start), Math.min(height, x + width - start)];
    if (to - from < 1) continue;
    const at = (run) => `${round(start + run)} ${round(way > 0 ? y + height - run : y + run)}`;
    strokes.push(`M${at(from)} L${at(to)}`);
  }
  return strokes.join("");
}

const BAR = { wide: 220, narrow: 116, height: 22 };
const IS_NARROW = "(width < 44rem)";

/**
 * The bar of one chapter: its lengths, and its budget as a notch.
 * @param {Record<string, string>} amounts By sort.
 * @param {string | null} budget
 * @param {number} most The end of the scale that all bars share.
 * @returns {SVGElement}
 */
export function moneyBar(amounts, budget, most) {
  const width = matchMedia(IS_NARROW).matches ? BAR.narrow : BAR.wide;
  const x = (amount) => 4 + (Math.max(0, amount) / most) * (width - 8);
  const at = round(x(Number(budget)));
  return svg(
    "svg",
    { class: "money-bar", viewBox: `0 0 ${width} ${BAR.height}`, width, height: BAR.height, "aria-hidden": "true" },
    lengths(amounts, x, 2, 11),
    budget === null ? null : svg("path", { class: "length-budget", d: `M${at} 0 V14 M${at} 14 l-4 7 h8 Z` }),
  );
}

/**
 * What the lengths mean, with the amounts.
 * @param {Record<string, string>} amounts By sort.
 * @param {string} currency
 * @param {string} total
 */
export function moneyKey(amounts, currency, total) {
  const shown = SORTS.filter(({ id }) => !RARE.has(id) || compare(amounts[id]) !== 0);
  return el(
    "dl.money-key",
    {},
    shown.map(({ id, title }) => line(mark(id), title, amounts[id], currency)),
    line(null, t`In the end, as written`, total, currency),
  );
}

function line(drawn, title, amount, currency) {
  return el("div", { class: !drawn && "total" }, el("dt", {}, drawn, title), el("dd", {}, formatExact(amount, currency)));
}

/** The sample of one sort, for a key. @param {string} sort */
export function mark(sort) {
  return svg("svg", { class: "money-mark", viewBox: "0 0 30 14", "aria-hidden": "true" }, length(sort, { x: 0.5, y: 0.5, width: 29, height: 13 }));
}

/** To a tenth of a pixel. @param {number} value */
export function round(value) {
  return Math.round(value * 10) / 10;
}
