/** The finish in a sentence: the likely date first, the one as written in second place. */

import { when } from "../lib/dom.js";
import { isCertain } from "./date-band.js";

/**
 * @param {string} written The finish if everything goes as written.
 * @param {{state: string, result: any}} sure How the simulation stands.
 * @returns {(string | HTMLElement)[]}
 */
export function finishWords(written, { state, result }) {
  if (!result) {
    const spread = state === "running" ? "; its spread is being computed." : ".";
    return ["If everything goes as written, the finish is ", when(written, "long"), spread];
  }
  const { p50, p80 } = result.finish;
  if (isCertain(result.finish)) return ["The finish is ", when(p50, "long"), "; nothing in the plan is uncertain."];
  return [
    "The finish is likely ",
    when(p50, "long"),
    ", with 8 chances in 10 by ",
    when(p80, "long"),
    "; if everything goes as written, ",
    when(written, "long"),
    ".",
  ];
}
