/** What the finished work of a card took, beside what the card says. */

import { el } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { count, unit } from "./finding-words.js";

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
      columns: [
        { label: t`Step`, heading: true, cell: ({ step }) => `${step.number} ${step.name}` },
        { label: t`What the shop needed`, cell: proposed, numeric: true },
        { label: t`The card`, cell: ({ step }) => hoursText(step.hours), numeric: true },
        { label: t`It took`, cell: ({ jobs, average }) => (jobs ? `${hours.format(average)} in ${count(jobs, "job")}` : t`not done yet`), numeric: true },
        { label: t`Told by`, cell: ({ step, proposal }) => (proposal ? basisText(card, step, proposal) : t`fewer than ${formatNumber(enough)} jobs`) },
      ],
    }),
  );
}

function proposed({ proposal }) {
  if (!proposal) return "";
  return proposal.is_taken ? t`as on the card` : el("strong", {}, hoursText(proposal.hours));
}

function basisText(card, step, { basis, jobs, ratio }) {
  if (basis === "step") return t`${count(jobs, "job")} of this step`;
  const whose = basis === "card" ? `card ${card.id}` : t`${tradeName(step.trade)}, cards from memory`;
  return t`${hours.format(ratio)} times the hours in ${count(jobs, "job")}: ${whose}`;
}
