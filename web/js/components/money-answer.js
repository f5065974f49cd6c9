/** The owner's second question, answered: what it costs in the end, what is spent, what comes next. */

import { chances } from "../lib/chances.js";
import { compare, minus, size, sum } from "../lib/amounts.js";
import { datedText, el, roundText } from "../lib/dom.js";
import { formatMoney, formatNumber, formatRoughly, roughly } from "../lib/format.js";
import { t } from "../lib/text.js";
import { bySort, moneyKey } from "./money-bars.js";
import { moneyRule } from "./money-rule.js";

/** How the columns of the coming months are read. */
export const NEED_READING = t`Committed is billed or ordered. Likely is all that is still expected, on the likely dates. Possible is the same at the dates and the cost that are kept with 8\u00a0chances in\u00a010: a choice of our own.`;

/**
 * Sentences, rule and key.
 * @param {any} money As the service answers it.
 * @param {any} result What the simulation found, or null: it knows the chance of the budget.
 * @returns {(Node | null)[]}
 */
export function moneyAnswer(money, result = null) {
  const amounts = totals(money);
  const { currency, budget, at_completion: end } = money;
  const likely = spread(money);
  return [
    el("p.money-label", {}, label(money, likely)),
    el("p.money-amount", {}, likely ? formatRoughly(likely.p50, currency) : formatMoney(end, currency)),
    likely ? el("p.money-by80", {}, t`8\u00a0chances in\u00a010 that it stays within ${formatRoughly(likely.p80, currency)}.`) : null,
    el("p.money-against", {}, against(money, likely ? roughly(likely.p50) : end, result)),
    moneyRule({ currency, amounts, budget: budget ?? "0", likely, end }, ruleLabel({ currency, budget, likely, end }, amounts)),
    moneyKey(amounts, currency, end),
  ];
}

/** What is likely on top of the cost as written, and what of it is for prices that may grow. */
export function beyondWritten(money) {
  const told = [spread(money), money.price_growth].filter(Boolean).map(({ sentence }) => sentence);
  return told.length ? el("p.money-written", {}, roundText(told.join(" "))) : null;
}

/** What is left out of the totals. @param {{missing: string[]}} money */
export function leftOut({ missing }) {
  return missing.length ? el("ul.flags", { role: "list" }, missing.map((text) => el("li", {}, datedText(text)))) : null;
}

/** How uncertain the cost is; null where that is not known, and where nothing is. @param {any} money */
export function spread({ likely }) {
  return likely && compare(likely.p50, likely.p80) !== 0 ? likely : null;
}

function label({ committed, expected }, likely) {
  if (compare(committed) === 0 && compare(expected) === 0) return t`It cost, all in all`;
  return likely ? t`It will likely cost, all in all` : t`If everything goes as written, it costs all in all`;
}

/** "Likely EUR 352,400 in all: EUR 47,400 over the budget of EUR 305,000." @param {any} money */
export function budgetSentence(money) {
  const { currency, budget, at_completion: end } = money;
  const likely = spread(money);
  const whole = likely ? t`Likely ${formatRoughly(likely.p50, currency)} in all` : t`As written ${formatMoney(end, currency)} in all`;
  return budget ? `${whole}: ${apartFrom(budget, likely ? roughly(likely.p50) : end, currency)}.` : t`${whole}; no budget is set.`;
}

/** "Spent so far EUR 102,930; EUR 32,650 more is billed or ordered." @param {any} money */
export function spendSentence({ currency, spent, committed, budget }) {
  const [paid, promised] = [formatMoney(spent, currency), formatMoney(committed, currency)];
  return budget
    ? t`Spent so far: ${paid}; ${promised} more is billed or ordered, against a budget of ${formatMoney(budget, currency)}.`
    : t`Spent so far: ${paid}; ${promised} more is billed or ordered; no budget is set.`;
}

/** Everything by sort, over all chapters. @param {any} money */
function totals({ chapters, allowance }) {
  const over = (name) => sum(["0", ...chapters.map((one) => one[name] ?? "0")]);
  return bySort({ paid: over("paid"), worked: over("worked"), invoiced: over("invoiced"), committed: over("committed"), expected: over("expected"), allowance: allowance ?? "0" });
}

/** "EUR 47,400 over the budget of EUR 305,000, which has 1 chance in 10." */
function against({ currency, budget }, end, result) {
  if (!budget || compare(budget) <= 0) return t`No budget is set yet.`;
  const apart = apartFrom(budget, end, currency);
  return result?.budget ? t`${apart}: ${chances(result.budget.probability)} that it is enough.` : `${apart}.`;
}

/** "EUR 47,400 over the budget of EUR 305,000". @param {string} budget @param {string} end @param {string} currency */
export function apartFrom(budget, end, currency) {
  const over = minus(end, budget);
  const [apart, whole] = [formatMoney(size(over), currency), formatMoney(budget, currency)];
  return [t`${apart} below the budget of ${whole}`, t`Just the budget of ${whole}`, t`${apart} over the budget of ${whole}`][compare(over) + 1];
}

/**
 * What the rule shows, for those who cannot see it.
 * @param {{currency: string, budget: string | null, likely: any, end: string}} money
 * @param {Record<string, string>} amounts By sort.
 */
export function ruleLabel({ currency, budget, likely, end }, { spent, invoiced, committed }) {
  const money = (amount) => formatMoney(amount, currency);
  const parts = [
    t`Spent ${money(spent)}, billed ${money(invoiced)}, ordered ${money(committed)}, in the end as written ${money(end)}`,
    likely ? t`likely ${formatRoughly(likely.p50, currency)}, 80\u00a0% ${formatRoughly(likely.p80, currency)}` : null,
  ];
  return `${parts.filter(Boolean).join(", ")}; ${budget ? t`budget ${money(budget)}` : t`budget not set`}.`;
}

/**
 * What stands beside the rule: promised, next, waiting, why.
 * @param {any} money
 * @param {any} statement It knows what moved.
 */
export function moneyBrief(money, statement) {
  const { currency, cash, decisions } = money;
  const { invoiced } = totals(money);
  const { spent, committed: promised, contingency: kept, contingency_left: left } = money;
  const heavy = (amount) => el("b", {}, formatMoney(amount, currency));
  return el(
    "dl.answer-brief",
    {},
    brief(t`Spent and promised`, [
      t`${heavy(spent)} is spent.`,
      " ",
      compare(invoiced) ? t`${heavy(promised)} more is promised to others; ${formatMoney(invoiced, currency)} of it is billed already.` : t`${heavy(promised)} more is promised to others.`,
      compare(kept) > 0 ? [" ", t`Of ${formatMoney(kept, currency)} kept back for surprises, ${formatMoney(left, currency)} is left.`] : null,
    ]),
    brief(t`When the next money is needed`, [roundText(cash.next.sentence), " ", lasting(cash)]),
    brief(t`Waiting for your yes`, waiting(decisions)),
    brief(t`Why it changed`, [changed(statement), " ", el("a.no-print", { href: "#why-panel" }, t`How that adds up`)]),
  );
}

/** How long the account lasts; in bold where it does not. @param {any} cash */
export function lasting({ dry, lasts }) {
  return dry ? el("b", {}, roundText(dry.sentence)) : roundText(lasts.sentence);
}

function changed({ moved, approved }) {
  const told = moved ?? approved;
  return told ? roundText(told.sentence) : t`No budget is set: there is nothing to compare with.`;
}

function waiting(decisions) {
  if (!decisions.length) return t`Nothing.`;
  const [first] = decisions;
  const link = el("a", { href: "#decisions-panel" }, first.name);
  return decisions.length > 1 ? t`${link} and ${formatNumber(decisions.length - 1)} more.` : [link, "."];
}

function brief(label, content) {
  return el("div", {}, el("dt", {}, label), el("dd", {}, content));
}
