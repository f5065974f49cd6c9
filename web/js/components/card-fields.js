/**
 * The fields of a method card: its steps with their hours, what its checks want, hazards, order, risk.
 *
 * What has no field here (places, seasons, how a card lies inside another) stays as it is.
 */

import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { formatNumber } from "../lib/format.js";
import { hazardName, tradeCode, tradeName, USUAL_TRADES } from "../lib/words.js";
import { hoursText } from "./card-history.js";
import { checkName } from "./check-words.js";
import { unit } from "./finding-words.js";

const CHECKS = [["", "No check"], ...["hold", "buy_off", "witness"].map((kind) => [kind, checkName(kind)])];
const THREE = ["At least", "Likely", "At most"];

/** @param {any} all As the service answers. @param {any} line Of the card. */
export function cardFields(all, { card }) {
  const own = el("input", { type: "checkbox", name: "own", checked: card.from_memory === false });
  const steps = stepList(card, all);
  const node = el(
    "div.stack.card-fields",
    {},
    field({ label: "Name", name: "name", value: card.name }),
    steps.node,
    el("div.field", { "data-field": "from_memory" }, el("label.check", {}, own, "These hours are the shop’s own")),
    field({ label: "What its checks want to see", name: "evidence", type: "textarea", value: card.evidence, attributes: { rows: 2 } }),
    hazardPicks(card.hazards ?? [], all.hazards),
    field({ label: "Comes after the cards", name: "after_cards", value: (card.after_cards ?? []).join(" "), hint: "Their numbers, such as M05 M08: in the same zone, these come first." }),
    riskFields(card.risk),
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
    risk: readRisk(card.risk, text("event"), text("probability")),
  });
  return { node, read };
}

/* Steps. */

function stepList(card, all) {
  const steps = [...card.steps];
  const list = el("div.card-steps", {}, steps.map((step, place) => stepFields(step, place, card, all)));
  const add = () => {
    const number = steps.at(-1).number + 1;
    const step = { number, name: `Step ${number}`, hours: ["", "", ""], after: [steps.at(-1).number] };
    steps.push(step);
    const node = stepFields(step, steps.length - 1, card, all);
    list.append(node);
    node.querySelector("input").select();
  };
  const node = el("div.stack", {}, list, el("button.button.plain.no-print.add-step", { type: "button", onclick: add }, "Add a step"));
  return { node, read: () => steps.map((step, place) => readStep(list.children[place], step)) };
}

function stepFields(step, place, card, { trades }) {
  const where = `steps[${place}]`;
  const names = [...new Set([...trades.map(tradeName), ...USUAL_TRADES])];
  const number = (label, index) =>
    field({ label, name: `${where}.hours[${index}]`, value: step.hours[index], attributes: { inputmode: "decimal", autocomplete: "off" } });
  const rest = [
    step.places?.length ? `takes ${step.places.map(({ place: id }) => id).join(", ")}` : "",
    step.calendar ? `keeps the calendar ${step.calendar}` : "",
  ].filter(Boolean);
  return el(
    "fieldset.card-step",
    { "data-field": where },
    el("legend", {}, `Step ${formatNumber(step.number)}`),
    field({ label: "What is done", name: `${where}.name`, value: step.name }),
    el(
      "div.step-row",
      {},
      el(
        "fieldset.step-hours",
        { "data-field": `${where}.hours` },
        el("legend.label", {}, step.trade ? `Person-hours by the ${unit(card.driver)}` : "Hours"),
        el("div.three", {}, THREE.map(number)),
      ),
      el(
        "div.step-who",
        {},
        field({ label: "Trade", name: `${where}.trade`, value: step.trade ? tradeName(step.trade) : "", suggestions: names, hint: "Empty: it only takes time." }),
        field({ label: "People", name: `${where}.people`, type: "number", value: step.people ?? 1, attributes: { min: 1, step: 1, inputmode: "numeric" } }),
        field({ label: "After the steps", name: `${where}.after`, value: (step.after ?? []).join(", "), attributes: { autocomplete: "off" } }),
        field({ label: "Check", name: `${where}.check`, type: "select", value: step.check ?? "", options: CHECKS }),
      ),
    ),
    rest.length ? el("p.hint", {}, `It ${rest.join(" and ")}.`) : null,
  );
}

function readStep(node, step) {
  const text = (part) => node.querySelector(`[name$="].${part}"]`).value.trim();
  return {
    ...step,
    name: text("name"),
    hours: THREE.map((_, index) => text(`hours[${index}]`).replace(",", ".")),
    trade: tradeCode(text("trade")),
    people: Number(text("people")),
    after: text("after").split(/\D+/).filter(Boolean).map(Number),
    check: text("check") || null,
  };
}

/* Hazards and risk. */

function hazardPicks(chosen, known) {
  const tags = [...new Set([...known, ...chosen])];
  const pick = (tag) =>
    el("label.check", {}, el("input", { type: "checkbox", name: "hazards", value: tag, checked: chosen.includes(tag) }), hazardName(tag));
  return el(
    "details.card-hazards",
    { "data-field": "hazards" },
    el("summary", {}, "Hazards: ", chosen.map(hazardName).join(", ") || "none named"),
    el("div.hazard-row", {}, tags.map(pick)),
  );
}

function riskFields(risk) {
  const chance = risk ? Number((risk.probability * 100).toFixed(3)) : "";
  return el(
    "fieldset.card-risk",
    { "data-field": "risk" },
    el("legend.label", {}, "What may happen"),
    el(
      "div.fields",
      {},
      field({ label: "Event", name: "event", value: risk?.event, hint: "Empty: nothing in particular.", attributes: { autocomplete: "off" } }),
      field({ label: risk?.each_unit ? "Chance of each unit, %" : "Chance, %", name: "probability", value: chance, attributes: { inputmode: "decimal", autocomplete: "off" } }),
    ),
    risk ? el("p.hint", {}, added(risk)) : null,
  );
}

function added({ hours, weeks, percent, step, note }) {
  const where = step ? ` on step ${formatNumber(step)}` : "";
  const parts = [hours ? `${hoursText(hours)} hours${where}` : "", weeks ? `${hoursText(weeks)} weeks` : "", Number(percent ?? 0) ? `${formatNumber(Number(percent))} % of the hours` : ""].filter(Boolean);
  const told = parts.length ? `It adds ${parts.join(" and ")}. ` : "";
  return `${told}${note ? `${note}.` : ""}`;
}

function readRisk(risk, event, chance) {
  if (!event) return null;
  const probability = Number(chance.replace(",", "."));
  return { ...risk, event, probability: Number.isNaN(probability) ? chance : Number((probability / 100).toFixed(6)) };
}
