/** The head of the owner's statement: when, how much, what waits, when money is needed. */

import { minus } from "../lib/amounts.js";
import { el, fill, roundText, when } from "../lib/dom.js";
import { formatAmount, formatExact, formatMoney, formatRoughly, roughly } from "../lib/format.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { apartFrom, beyondWritten, lasting, leftOut, NEED_READING, ruleLabel, spread } from "./money-answer.js";
import { moneyKey } from "./money-bars.js";
import { moneyRule } from "./money-rule.js";

const MONTHS = 6;

/** @param {HTMLElement} place @param {any} statement As the service answers it. */
export function showAnswer(place, statement) {
  const { currency, spent, committed, invoiced, expected, allowance, budget, at_completion: end } = statement;
  const likely = spread(statement);
  const amounts = { spent, invoiced, committed: minus(committed, invoiced), expected: minus(expected, allowance), allowance };
  fill(
    place,
    el("div.statement-pair", {}, el("div", {}, finish(statement)), el("div", {}, cost(statement))),
    moneyRule({ currency, amounts, budget: budget ?? "0", likely, end }, ruleLabel({ currency, budget, likely, end }, amounts)),
    moneyKey(amounts, currency, end),
    beyondWritten(statement),
    leftOut(statement),
  );
}

function finish({ finish: written, likely_finish: likely, by80, target_finish: target }) {
  return [
    el("p.money-label", {}, likely ? t`Likely finished by` : t`Finished, if everything goes as written, on`),
    el("p.statement-figure", {}, when(likely ?? written)),
    likely ? el("p", {}, t`8\u00a0chances in\u00a010 that it is finished by ${when(by80)}.`) : null,
    target ? el("p", {}, t`Wanted: ${when(target)}.`) : null,
  ];
}

function cost(statement) {
  const { currency, budget, at_completion: end } = statement;
  const likely = spread(statement);
  const amount = likely ? roughly(likely.p50) : end;
  return [
    el("p.money-label", {}, likely ? t`Likely cost, all in all` : t`Cost, if everything goes as written`),
    el("p.statement-figure", {}, formatMoney(amount, currency)),
    likely ? el("p", {}, t`8\u00a0chances in\u00a010 that it stays within ${formatRoughly(likely.p80, currency)}.`) : null,
    el("p", {}, budget ? `${apartFrom(budget, amount, currency)}.` : t`No budget is set.`),
  ];
}

/** On paper each has boxes to tick; on the screen the way to where it is answered. */
export function showWaiting(place, sheet, { decisions }) {
  if (!decisions.length) {
    fill(place, el("p", {}, t`Nothing waits for a yes.`));
    return;
  }
  const item = (one) =>
    el(
      "li",
      {},
      el("span", {}, asked(one)),
      el("span.print-only.answer-boxes", {}, el("span.answer-box"), t`yes`, el("span.answer-box"), t`no, because`),
    );
  fill(
    place,
    el("ol.waiting-list", {}, decisions.map(item)),
    el("p.no-print", {}, el("a", { href: `${sheet.link("money")}#decisions-panel` }, t`Answer on the Money sheet`)),
  );
}

function asked({ name, amount, currency, hours, asked_on: on }) {
  const [what, price, date] = [el("b", {}, name), formatExact(amount, currency), when(on)];
  if (!Number(hours)) return t`${what}: ${price}, asked on ${date}.`;
  return many(Number(hours), "{0}: {1} and {n} hour, asked on {2}.", "{0}: {1} and {n} hours, asked on {2}.", what, price, date);
}

/** @param {HTMLElement} place @param {any} statement */
export function showNeed(place, { cash, currency }) {
  const months = cash.months.slice(0, MONTHS);
  const amount = (name, label) => ({ label, cell: (one) => (one[name] === null ? t`not known` : formatAmount(one[name], currency)), numeric: true });
  fill(
    place,
    el("p", {}, roundText(cash.next.sentence), " ", lasting(cash)),
    months.length
      ? table({
          caption: t`The next months, in ${currency}`,
          rows: months,
          columns: [
            { label: t`Month`, cell: ({ month }) => when(`${month}-01`, "month"), heading: true },
            amount("committed", t`Committed`),
            amount("likely", t`Likely needed`),
            amount("possible", t`Possible`),
            amount("funding", t`Comes in`),
            amount("balance", t`Left at its end`),
          ],
        })
      : null,
    months.length ? el("p.footnote", {}, NEED_READING) : null,
  );
}
