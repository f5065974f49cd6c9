/** A new project, step 4: money, the wanted date, and where the method cards come from. */

import { el, fill } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { entryRows } from "./entry-rows.js";
import { currencyName } from "./money-exchange.js";

const SHIPPED = "";
const AMOUNT = { inputmode: "decimal", maxlength: 24, autocomplete: "off" };

/** @param {any} offer @param {any} told */
export function moneyStep(offer, told) {
  const rates = el("div.fields.rates", { "data-field": "rates" });
  const shares = shareRows(offer.chapters, told.shares ?? []);
  const node = [
    el(
      "div.fields",
      {},
      field({ label: t`Currency`, name: "currency", type: "select", value: told.currency, options: offer.currencies.map((code) => [code, currencyName(code)]) }),
      field({ label: t`Standing cost a month`, name: "standing_per_month", value: told.standing_per_month, hint: t`Hangar, insurance, power: what a month costs even if nobody works.`, attributes: AMOUNT }),
      field({ label: t`Budget, all together`, name: "budget", value: told.budget, hint: t`Empty: not agreed yet, or what the chapters below come to.`, attributes: AMOUNT }),
      field({ label: t`Target finish`, name: "target_finish", type: "date", value: told.target_finish, hint: t`The date the owner wishes for. It moves nothing.` }),
    ),
    shares.node,
    el("fieldset", {}, el("legend.label", {}, t`What an hour of one person costs, by trade`), el("p.soft", {}, t`In the currency above, for whoever has no rate of their own. 0: not paid. Empty: not known; then those hours cost nothing in the forecast.`), rates),
    cardsField(offer.projects, told.cards_of),
  ];
  /** The crew may have changed since: its trades are asked for. */
  const shown = () => {
    const trades = [...new Set(told.crew.flatMap((line) => line.trades))];
    fill(rates, trades.map((trade) => field({ label: tradeName(trade), name: `rates.${trade}`, value: told.rates?.[trade], attributes: AMOUNT })));
  };
  shown();
  const read = (form) => ({
    currency: form.elements.currency.value,
    standing_per_month: plain(form.elements.standing_per_month.value),
    budget: plain(form.elements.budget.value),
    shares: shares.read(),
    rates: readRates(rates),
    target_finish: form.elements.target_finish.value || null,
    cards_of: Number(form.elements.cards_of.value) || null,
  });
  return { node, read, shown };
}

function shareRows(chapters, shares) {
  const rows = entryRows({
    label: t`Of it, by chapter`,
    name: "shares",
    entries: shares,
    addText: t`Add a chapter`,
    hint: t`As far as that is agreed. A chapter is a system of the aircraft, such as fuel. The rest stands on Money in one line until it is shared out there.`,
    parts: [
      { name: "chapter", label: t`Chapter`, type: "select", options: chapters.map(({ id, title }) => [id, `${id} ${title}`]) },
      { name: "amount", label: t`Amount`, attributes: AMOUNT },
    ],
  });
  const read = () => {
    const found = rows.read().map(({ chapter, amount }) => ({ chapter, amount: plain(amount) }));
    return found.filter(({ amount }) => amount);
  };
  return { node: rows.node, read };
}

function readRates(place) {
  const entries = [...place.querySelectorAll("input")].map(({ name, value }) => [name.slice("rates.".length), plain(value)]);
  return Object.fromEntries(entries.filter(([, rate]) => rate));
}

function cardsField(projects, value) {
  return field({
    label: t`Method cards`,
    name: "cards_of",
    type: "select",
    value: value ?? SHIPPED,
    options: [[SHIPPED, t`As they come with Ribstitch`], ...projects.map(({ id, name }) => [String(id), t`Copied from ${name || t`project ${id}`}`])],
    hint: t`Hours that come with Ribstitch are from memory: the shop puts its own in their place. Either way this project gets copies of its own.`,
  });
}

/** An amount without the blanks that some write between thousands. */
function plain(text) {
  return text.replace(/[\s\u00a0\u202f]/g, "") || null;
}
