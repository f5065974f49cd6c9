/** Checks in words: what a hold point, a buy-off or a witnessed test wants, and how it stands. */

import { el, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";

const KINDS = { hold: "Hold point", buy_off: "Buy-off", witness: "Witnessed test" };
const LOOKS = { open: "held", reopened: "danger", settled: "accomplished", passed_over: "away", no_record: "away" };
const STATES = { open: "open", reopened: "open again", settled: "settled", passed_over: "passed over", no_record: "no record" };

/** @param {"hold"|"buy_off"|"witness"} kind */
export function checkName(kind) {
  return KINDS[kind] ?? kind;
}

/** Nothing goes on before it is settled. @param {{state: string}} check */
export function holds({ state }) {
  return state === "open" || state === "reopened";
}

/** @param {any} check */
export function checkStamp({ kind, state }) {
  return el(`span.stamp.${LOOKS[state]}`, {}, `${KINDS[kind]}, ${STATES[state]}`);
}

/** What it wants, or who settled it; without the stamp. @param {any} check @returns {any[]} */
export function checkText({ kind, wants, state, evidence, by, on, reason }) {
  const asked = wants ? `Wants: ${wants}. ` : "";
  const shown = evidence ? `${formatNumber(evidence)} on file. ` : "";
  const who = by ? [by, ", ", when(on), ". "] : [];
  switch (state) {
    case "settled":
      return [...(by ? who : []), kind === "hold" || evidence ? shown : ""];
    case "passed_over":
      return [...who, reason];
    case "reopened":
      return [...who, reason, " ", asked];
    case "no_record":
      return by ? ["Signed by ", ...who, "Nothing is attached."] : ["Done before checks were kept."];
    default:
      return [asked || WANTED[kind], shown];
  }
}

const WANTED = { hold: "Wants evidence.", buy_off: "Wants the inspector’s word.", witness: "Wants a witness." };
