/** Checks in words: what a hold point, a buy-off or a witnessed test wants, and how it stands. */

import { el, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { t } from "../lib/text.js";

const KINDS = { hold: t`Hold point`, buy_off: t`Buy-off`, witness: t`Witnessed test` };
const LOOKS = { open: "held", reopened: "danger", settled: "accomplished", passed_over: "away", no_record: "away" };
const WANTED = { hold: t`Wants evidence.`, buy_off: t`Wants the inspector’s word.`, witness: t`Wants a witness.` };
const STATES = { open: t`open`, reopened: t`open again`, settled: t`settled`, passed_over: t`passed over`, no_record: t`no record` };

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
  return el(`span.stamp.${LOOKS[state]}`, {}, t`${KINDS[kind]}, ${STATES[state]}`);
}

/** What it wants, or who settled it; without the stamp. @param {any} check @returns {any[]} */
export function checkText({ kind, wants, state, evidence, by, on, reason }) {
  const asked = wants ? t`Wants: ${wants}.` : WANTED[kind];
  const shown = evidence ? t`${formatNumber(evidence)} on file.` : "";
  const who = by ? t`${by}, ${when(on)}.` : "";
  switch (state) {
    case "settled":
      return spaced([who, shown]);
    case "passed_over":
      return spaced([who, reason]);
    case "reopened":
      return spaced([who, reason, wants && asked]);
    case "no_record":
      return [by ? t`Signed by ${by}, ${when(on)}. Nothing is attached.` : t`Done before checks were kept.`];
    default:
      return spaced([asked, shown]);
  }
}

function spaced(sentences) {
  return sentences.filter(Boolean).flatMap((one, place) => (place ? [" ", one] : [one]));
}
