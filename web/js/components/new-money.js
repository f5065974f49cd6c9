/** A new project, step 4: money, the wanted date, and where the method cards come from. */

import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { currencyName } from "./money-exchange.js";

const SHIPPED = "";

/** @param {any} offer @param {any} told */
export function moneyStep(offer, told) {
  const amount = { inputmode: "decimal", maxlength: 24 };
  const node = [
    el(
      "div.fields",
      {},
      field({ label: "Currency", name: "currency", type: "select", value: told.currency, options: offer.currencies.map((code) => [code, currencyName(code)]) }),
      field({ label: "Standing cost a month", name: "standing_per_month", value: told.standing_per_month, hint: "Hangar, insurance, power: what a month costs even if nobody works.", attributes: amount }),
      field({ label: "Budget, all together", name: "budget", value: told.budget, hint: "It is split among the chapters later, on Money. Empty: not agreed yet.", attributes: amount }),
      field({ label: "Target finish", name: "target_finish", type: "date", value: told.target_finish, hint: "The date the owner wishes for. It moves nothing." }),
    ),
    cardsField(offer.projects, told.cards_of),
  ];
  const read = (form) => ({
    currency: form.elements.currency.value,
    standing_per_month: plain(form.elements.standing_per_month.value),
    budget: plain(form.elements.budget.value),
    target_finish: form.elements.target_finish.value || null,
    cards_of: Number(form.elements.cards_of.value) || null,
  });
  return { node, read };
}

function cardsField(projects, value) {
  return field({
    label: "Method cards",
    name: "cards_of",
    type: "select",
    value: value ?? SHIPPED,
    options: [[SHIPPED, "As they come with Ribstitch"], ...projects.map(({ id, name }) => [String(id), `Copied from ${name || `project ${id}`}`])],
    hint: "Hours that come with Ribstitch are from memory: the shop puts its own in their place. Either way this project gets copies of its own.",
  });
}

/** An amount without the blanks that some write between thousands. */
function plain(text) {
  return text.replace(/[\s\u00a0\u202f]/g, "") || null;
}
