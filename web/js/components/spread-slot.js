/**
 * The place of "how far the spread is worked out". Once it was filled its room stays, and says
 * that the work is done, so that nothing below it jumps.
 */

import { el, fill } from "../lib/dom.js";
import { follow, showSimulation } from "../lib/simulation.js";

/** While nothing is known of how sure the dates are, and where it will not be known. */
export const COMPUTING = { state: "running", result: null };
export const UNKNOWN = { state: "failed", result: null };

/**
 * Follow the simulation, or the causes, for as long as the sheet is open.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {HTMLElement} slot An empty element of the page.
 * @param {(answer: import("../lib/simulation.js").Answer) => any} onAnswer
 * @param {object} [options] `path` and `what` as for `showSimulation`.
 * @param {string} [options.then] Said once it is done.
 */
export async function spreadSlot(sheet, slot, onAnswer, { then = "the dates below are complete", ...options } = {}) {
  const place = el("div");
  const done = el("p.soft", { role: "status" });
  fill(slot, place, done);
  await showSimulation(sheet, {
    ...options,
    place,
    onAnswer: (answer) => {
      const wasUsed = slot.classList.contains("used");
      fill(done, wasUsed && answer.state === "ready" ? `Worked out: ${then}.` : null);
      if (answer.state !== "ready" && !wasUsed) {
        slot.classList.add("used");
        slot.style.minBlockSize = `${slot.getBoundingClientRect().height}px`;
      }
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
