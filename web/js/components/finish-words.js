/** The finish in a sentence: how likely it is, and where a change would put it. */

import { when } from "../lib/dom.js";
import { t } from "../lib/text.js";
import { isCertain } from "./date-band.js";

/**
 * The likely date first, the one as written in second place.
 * @param {string} written The finish if everything goes as written.
 * @param {{state: string, result: any}} sure How the simulation stands.
 * @returns {(string | HTMLElement)[]}
 */
export function finishWords(written, { state, result }) {
  const asWritten = when(written, "long");
  if (!result) {
    return state === "running"
      ? t`If everything goes as written, the finish is ${asWritten}; its spread is being computed.`
      : t`If everything goes as written, the finish is ${asWritten}.`;
  }
  const likely = when(result.finish.p50, "long");
  if (isCertain(result.finish)) return t`The finish is ${likely}; nothing in the plan is uncertain.`;
  return t`The finish is likely ${likely}, with 8 chances in 10 by ${when(result.finish.p80, "long")}; if everything goes as written, ${asWritten}.`;
}

/**
 * What something that is only tried would do to the finish as written.
 * @param {{finish_before: string, finish_after: string | null}} trial
 * @returns {(string | HTMLElement)[]}
 */
export function movedWords({ finish_before: before, finish_after: after }) {
  if (!after || before === after) return t`The finish as written stays ${when(before)}.`;
  return t`The finish as written moves from ${when(before)} to ${when(after)}.`;
}
