/**
 * The place of "how far the spread is worked out". Once it was filled its room stays, so that
 * nothing below it jumps when the work is done.
 */

import { follow, showSimulation } from "../lib/simulation.js";

/** While nothing is known of how sure the dates are, and where it will not be known. */
export const COMPUTING = { state: "running", result: null };
export const UNKNOWN = { state: "failed", result: null };

/**
 * Follow the simulation, or the causes, for as long as the sheet is open.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {HTMLElement} slot An empty element of the page.
 * @param {(answer: import("../lib/simulation.js").Answer) => any} onAnswer
 * @param {{path?: string, what?: string}} [options] As for `showSimulation`.
 */
export async function spreadSlot(sheet, slot, onAnswer, options = {}) {
  const place = document.createElement("div");
  slot.replaceChildren(place);
  await showSimulation(sheet, {
    ...options,
    place,
    onAnswer: (answer) => {
      slot.style.minBlockSize = `${slot.offsetHeight}px`;
      return onAnswer(answer);
    },
  });
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
