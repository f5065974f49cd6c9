/**
 * The fields of a method card: its steps with their hours, what its checks want, hazards, order, risk.
 *
 * What has no field here (places, seasons, how a card lies inside another) stays as it is.
 */

import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { t } from "../lib/text.js";
import { hazardName } from "../lib/words.js";
import { readRisk, riskFields } from "./card-risk.js";
import { stepList } from "./card-steps.js";

/** @param {any} all As the service answers. @param {any} line Of the card. */
export function cardFields(all, { card }) {
  const own = el("input", { type: "checkbox", name: "own", checked: card.from_memory === false });
  const steps = stepList(card, all);
  const node = el(
    "div.stack.card-fields",
    {},
    field({ label: t`Name`, name: "name", value: card.name }),
    steps.node,
    el("div.field", { "data-field": "from_memory" }, el("label.check", {}, own, t`These hours are the shop’s own`)),
    field({ label: t`What its checks want to see`, name: "evidence", type: "textarea", value: card.evidence, attributes: { rows: 2 } }),
    hazardPicks(card.hazards ?? [], all.hazards),
    field({ label: t`Comes after the cards`, name: "after_cards", value: (card.after_cards ?? []).join(" "), hint: t`Their numbers, such as M05 M08: in the same zone, these come first.` }),
    riskFields(card),
  );
  node.addEventListener("input", ({ target }) => {
    if (target.closest(".step-hours")) own.checked = true;
  });
  const text = (name) => node.querySelector(`[name="${name}"]`).value.trim();
  const read = () => ({
    name: text("name"),
    steps: steps.read(),
    from_memory: !own.checked,
    evidence: text("evidence"),
    hazards: [...node.querySelectorAll("[name=hazards]:checked")].map(({ value }) => value),
    after_cards: text("after_cards").split(/[\s,;]+/).filter(Boolean),
    risk: readRisk(node, card.risk),
  });
  return { node, read };
}

function hazardPicks(chosen, known) {
  const tags = [...new Set([...known, ...chosen])];
  const pick = (tag) =>
    el("label.check", {}, el("input", { type: "checkbox", name: "hazards", value: tag, checked: chosen.includes(tag) }), hazardName(tag));
  return el(
    "details.card-hazards",
    { "data-field": "hazards" },
    el("summary", {}, t`Hazards: ${chosen.map(hazardName).join(", ") || t`none named`}`),
    el("div.hazard-row", {}, tags.map(pick)),
  );
}
