/** What the finished work of a card took, beside what the card says. */

import { el } from "../lib/dom.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { unit } from "./finding-words.js";

const hours = new Intl.NumberFormat(undefined, { maximumFractionDigits: 2 });

/** Low, likely and high as they are read. @param {(string | number)[]} three */
export function hoursText(three) {
  return three.map((one) => hours.format(Number(one))).join(" / ");
}

/** The steps of a card with what the shop needed put in; null where that would change nothing. */
export function newSteps({ card, steps }) {
  const isNew = ({ proposal }) => proposal && !proposal.is_taken;
  if (!steps.some(isNew)) return null;
  return card.steps.map((step, place) => (isNew(steps[place]) ? { ...step, hours: steps[place].proposal.hours } : step));
}

/** Whether jobs of the card itself tell better hours than the card; those of a trade are a weaker hint. */
export function hasBetterHours({ steps }) {
  return steps.some(({ proposal }) => proposal && !proposal.is_taken && proposal.basis !== "trade");
}

/** @param {any} line A card as the service answers. @param {number} enough */
export function cardHistory({ card, steps }, enough) {
  if (!steps.some(({ jobs, proposal }) => jobs || proposal)) {
    return el("p.soft", {}, t`No task of this card with hours worked is finished yet, and too few of its trades.`);
  }
  const rows = card.steps.map((step, place) => ({ step, ...steps[place] })).filter(({ step }) => step.trade);
  return el(
    "div.card-history",
    {},
    table({
      caption: t`Person-hours by the ${unit(card.driver)}: at least / likely / at most`,
      rows,
      stacks: true,
      columns: [
        { label: t`Step`, heading: true, cell: ({ step }) => `${step.number} ${step.name}` },
        { label: t`What the shop needed`, cell: proposed, numeric: true },
        { label: t`The card`, cell: ({ step }) => hoursText(step.hours), numeric: true },
        { label: t`It took`, cell: ({ jobs, average }) => (jobs ? many(jobs, "{0} in {n} job", "{0} in {n} jobs", hours.format(average)) : t`not done yet`), numeric: true },
        { label: t`Told by`, cell: ({ step, proposal }) => (proposal ? basisText(card, step, proposal) : many(enough, "fewer than {n} job", "fewer than {n} jobs")) },
      ],
    }),
  );
}

function proposed({ proposal }) {
  if (!proposal) return "";
  return proposal.is_taken ? t`as on the card` : el("strong", {}, hoursText(proposal.hours));
}

function basisText(card, step, { basis, jobs, ratio }) {
  if (basis === "step") return many(jobs, "{n} job of this step", "{n} jobs of this step");
  const times = hours.format(ratio);
  return basis === "card"
    ? many(jobs, "{0} times the hours in {n} job: card {1}", "{0} times the hours in {n} jobs: card {1}", times, card.id)
    : many(jobs, "{0} times the hours in {n} job: {1}, cards from memory", "{0} times the hours in {n} jobs: {1}, cards from memory", times, tradeName(step.trade));
}
