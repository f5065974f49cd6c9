/** What may happen on a method card: how likely it is, and what it adds. */

import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { t } from "../lib/text.js";
import { readThree, threeFields } from "./card-hours.js";

/** @param {any} card */
export function riskFields({ risk }) {
  const chance = risk ? Number((risk.probability * 100).toFixed(3)) : "";
  const each = el("input", { type: "checkbox", name: "risk.each_unit", checked: Boolean(risk?.each_unit) });
  return el(
    "fieldset.card-risk",
    { "data-field": "risk" },
    el("legend.label", {}, t`What may happen`),
    el(
      "div.fields",
      {},
      field({ label: t`Event`, name: "risk.event", value: risk?.event, hint: t`Empty: nothing in particular.`, attributes: { autocomplete: "off" } }),
      field({ label: t`Chance, %`, name: "risk.probability", value: chance, attributes: { inputmode: "decimal", autocomplete: "off" } }),
    ),
    el("div.field", { "data-field": "risk.each_unit" }, el("label.check", {}, each, t`Each unit by itself runs it`)),
    el(
      "div.risk-adds",
      {},
      threeFields("risk-hours", t`Person-hours that it adds`, "risk.hours", risk?.hours ?? []),
      threeFields("risk-weeks", t`Weeks that it adds`, "risk.weeks", risk?.weeks ?? []),
      field({ label: t`Per cent of the hours`, name: "risk.percent", value: Number(risk?.percent ?? 0) || "", attributes: { inputmode: "decimal", autocomplete: "off" } }),
      field({ label: t`On the step`, name: "risk.step", value: risk?.step, hint: t`Its number. Empty: on the item that is away.`, attributes: { inputmode: "numeric", autocomplete: "off" } }),
    ),
    risk?.note ? el("p.hint", {}, `${risk.note}.`) : null,
  );
}

/** @param {Element} form @param {any} risk As it was. */
export function readRisk(form, risk) {
  const text = (name) => form.querySelector(`[name="risk.${name}"]`).value.trim().replace(",", ".");
  const event = form.querySelector('[name="risk.event"]').value.trim();
  if (!event) return null;
  const chance = Number(text("probability"));
  return {
    ...risk,
    event,
    probability: Number.isNaN(chance) ? text("probability") : Number((chance / 100).toFixed(6)),
    each_unit: form.querySelector('[name="risk.each_unit"]').checked,
    hours: three(form, "hours"),
    weeks: three(form, "weeks"),
    percent: text("percent") || "0",
    step: Number(text("step")) || null,
  };
}

/** Three empty fields are none. */
function three(form, part) {
  const found = readThree(form.querySelector(`.risk-${part}`));
  return found.some(Boolean) ? found : null;
}
