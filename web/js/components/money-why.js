/** Why the cost is no longer the budget: the chapters, the yeses, the prices that moved. */

import { compare, minus, size } from "../lib/amounts.js";
import { formatExact, formatMoney, formatNumber } from "../lib/format.js";
import { chapterName } from "./money-chapters.js";

const SHOWN = 2;

/**
 * @param {any} money As the service answers it.
 * @param {{costs: any[], over_and_above: any[]}} lists
 * @returns {string[]} Sentences, what moves most first.
 */
export function reasons(money, { costs, over_and_above: asked }) {
  return [...dearerChapters(money), ...approved(money, asked), ...movedPrices(money, costs)];
}

function dearerChapters({ chapters, currency, budget }) {
  if (!budget) return [];
  return [...chapters]
    .filter(({ over }) => compare(over) > 0)
    .sort((a, b) => Number(b.over) - Number(a.over))
    .slice(0, SHOWN)
    .map((one) => `${chapterName(one)} is ${formatMoney(one.over, currency)} over its budget.`);
}

/** What was approved over and above is taken from what is kept back. */
function approved({ currency, contingency: kept, contingency_left: left }, asked) {
  const yes = asked.filter(({ state }) => state === "approved").length;
  const drawn = minus(kept, left);
  if (!yes || compare(drawn) === 0) return [];
  return [`${formatMoney(drawn, currency)} over and above was approved (${formatNumber(yes)}\u00a0${yes === 1 ? "item" : "items"}).`];
}

/** Prices against their first amount, the largest moves first. */
function movedPrices({ currency, currencies }, costs) {
  const rates = new Map(currencies.filter(({ worth, open }) => worth !== null && Number(open)).map(({ currency: code, worth, open }) => [code, Number(worth) / Number(open)]));
  const weight = ({ currency: code, by }) => Math.abs(Number(by)) * (code === currency ? 1 : (rates.get(code) ?? 1));
  return costs
    .filter(({ earlier = [] }) => earlier.length)
    .map((one) => ({ ...one, by: minus(one.amount, one.earlier[0].amount) }))
    .filter(({ by }) => compare(by) !== 0)
    .sort((a, b) => weight(b) - weight(a))
    .slice(0, SHOWN)
    .map((one) => `${one.name || one.id}: ${formatExact(size(one.by), one.currency)} ${compare(one.by) > 0 ? "more" : "less"} than first thought.`);
}
