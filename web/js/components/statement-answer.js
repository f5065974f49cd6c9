/** The head of the owner's statement: when, how much, what waits, why, when money is needed. */

import { compare, minus, size } from "../lib/amounts.js";
import { datedText, el, fill, when } from "../lib/dom.js";
import { formatAmount, formatDate, formatExact, formatMoney, formatNumber, formatRoughly, roughly } from "../lib/format.js";
import { table } from "../lib/table.js";
import { lasting, spread } from "./money-answer.js";
import { chapterName } from "./money-chapters.js";
import { moneyKey } from "./money-bars.js";
import { moneyRule } from "./money-rule.js";

const MONTHS = 6;
const CHAPTERS = 4;

/** @param {HTMLElement} place @param {any} statement As the service answers it. */
export function showAnswer(place, statement) {
  const { currency, spent, committed, expected, budget, at_completion: end } = statement;
  const likely = spread(statement);
  const amounts = { spent, invoiced: "0", committed, expected, allowance: "0" };
  const label = `Spent ${formatMoney(spent, currency)}, billed or ordered ${formatMoney(committed, currency)}, in the end as written ${formatMoney(end, currency)}; budget ${budget ? formatMoney(budget, currency) : "not set"}.`;
  fill(
    place,
    el("div.statement-pair", {}, el("div", {}, finish(statement)), el("div", {}, cost(statement))),
    moneyRule({ currency, amounts, budget: budget ?? "0", likely, end }, label),
    moneyKey(amounts, currency, end),
  );
}

function finish({ finish: written, likely_finish: likely, by80, target_finish: target }) {
  return [
    el("p.money-label", {}, likely ? "Likely finished by" : "Finished, if everything goes as written, on"),
    el("p.statement-figure", {}, when(likely ?? written)),
    likely ? el("p", {}, "8\u00a0chances in\u00a010 that it is finished by ", when(by80), ".") : null,
    target ? el("p", {}, "Wanted: ", when(target), ".") : null,
  ];
}

function cost(statement) {
  const { currency, budget, at_completion: end } = statement;
  const likely = spread(statement);
  const amount = likely ? roughly(likely.p50) : end;
  const over = budget ? minus(amount, budget) : "0";
  const way = compare(over) > 0 ? "over" : "below";
  return [
    el("p.money-label", {}, likely ? "Likely cost, all in all" : "Cost, if everything goes as written"),
    el("p.statement-figure", {}, formatMoney(amount, currency)),
    likely ? el("p", {}, `8\u00a0chances in\u00a010 that it stays within ${formatRoughly(likely.p80, currency)}.`) : null,
    el("p", {}, budget ? `${formatMoney(size(over), currency)} ${way} the budget of ${formatMoney(budget, currency)}.` : "No budget is set."),
  ];
}

/** On paper each has boxes to tick; on the screen the way to where it is answered. */
export function showWaiting(place, sheet, { decisions }) {
  if (!decisions.length) {
    fill(place, el("p", {}, "Nothing waits for a yes."));
    return;
  }
  const item = ({ name, amount, currency, hours, asked_on: on }) =>
    el(
      "li",
      {},
      el("span", {}, el("b", {}, name), `: ${formatExact(amount, currency)}`, Number(hours) ? ` and ${formatNumber(Number(hours))} hours` : "", ", asked on ", when(on), "."),
      el("span.print-only.answer-boxes", {}, el("span.answer-box"), "yes", el("span.answer-box"), "no, because"),
    );
  fill(
    place,
    el("ol.waiting-list", {}, decisions.map(item)),
    el("p.no-print", {}, el("a", { href: `${sheet.link("money")}#decisions-panel` }, "Answer on the Money sheet")),
  );
}

/** @param {HTMLElement} place @param {any} statement */
export function showChanges(place, { moved, why, currency, delay_month: delay, missing }) {
  const words = (text) => el("li", {}, datedText(text));
  fill(
    place,
    moved ? [el("p", {}, datedText(moved.sentence)), movedList(moved, currency)] : el("p.soft", {}, "No plan from before this month was kept: what the month changed is not known."),
    why.length ? [el("p.statement-lead", {}, "Against the budget:"), el("ul.statement-list", {}, why.map(words))] : null,
    delay ? el("p", {}, datedText(delay.sentence)) : null,
    missing.length ? el("ul.flags", { role: "list" }, missing.map(words)) : null,
  );
}

function movedList({ chapters }, currency) {
  if (!chapters.length) return null;
  const shown = chapters.slice(0, CHAPTERS).map((one) => `${chapterName(one)} ${compare(one.moved) > 0 ? "+" : "−"}${formatMoney(size(one.moved), currency)}`);
  const rest = chapters.length - shown.length;
  return el("p", {}, `Most of it: ${shown.join("; ")}${rest > 0 ? `; and ${formatNumber(rest)} more` : ""}.`);
}

/** @param {HTMLElement} place @param {any} statement */
export function showNeed(place, { cash, currency }) {
  const months = cash.months.slice(0, MONTHS);
  const amount = (name, label) => ({ label, cell: (one) => (one[name] === null ? "not known" : formatAmount(one[name], currency)), numeric: true });
  fill(
    place,
    el("p", {}, datedText(cash.next.sentence), " ", lasting(cash)),
    months.length
      ? table({
          caption: `The next months, in ${currency}`,
          rows: months,
          columns: [
            { label: "Month", cell: ({ month }) => formatDate(`${month}-01`, "month"), heading: true },
            amount("committed", "Committed"),
            amount("likely", "Likely needed"),
            amount("possible", "Possible"),
            amount("funding", "Comes in"),
            amount("balance", "Left at its end"),
          ],
        })
      : null,
  );
}
