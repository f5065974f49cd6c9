/**
 * The place of "how far the spread is worked out". Once it was filled its room stays, and says
 * that the work is done, so that nothing below it jumps.
 */

import { el, fill } from "../lib/dom.js";
import { follow, showSimulation } from "../lib/simulation.js";
import { t } from "../lib/text.js";

/** Where it will not be known how sure the dates are. */
export const UNKNOWN = { state: "failed", result: null };
const COMPUTING = { state: "running", result: null };

/**
 * What the last answer says of a plan: nothing yet, where it was about another version of it.
 * @param {import("../lib/simulation.js").Answer | typeof UNKNOWN | null} answer
 * @param {number} version Of the plan whose dates are shown.
 */
export function answerFor(answer, version) {
  return answer === UNKNOWN || answer?.plan_version === version ? answer : COMPUTING;
}

/**
 * Follow the simulation for as long as the sheet is open.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {HTMLElement} slot An empty element of the page.
 * @param {(answer: import("../lib/simulation.js").Answer) => any} onAnswer
 */
export async function spreadSlot(sheet, slot, onAnswer) {
  const place = el("div");
  const done = el("p.soft", { role: "status" });
  fill(slot, place, done);
  await showSimulation(sheet, {
    place,
    onAnswer: async (answer) => {
      fill(done);
      const isReady = answer.state === "ready";
      if (!isReady) keepRoom(slot);
      await onAnswer(answer);
      if (isReady && slot.classList.contains("used")) fill(done, t`Worked out; the dates below are complete.`);
    },
  });
}

/** From now on a place does not get lower. @param {HTMLElement} slot */
export function keepRoom(slot) {
  if (slot.classList.contains("used")) return;
  slot.classList.add("used");
  slot.style.minBlockSize = `${slot.getBoundingClientRect().height}px`;
}

/**
 * Ask again after a change of the plan; whoever follows is told.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {string} [path] "/simulation" or "/causes"
 */
export function askAgain(sheet, path = "/simulation") {
  const stop = follow(sheet.path(path), () => {});
  stop();
}
