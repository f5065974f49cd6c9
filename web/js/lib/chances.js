/** Chances in words that need no lesson: "8 chances in 10", "1 chance in 100". */

import { many, t } from "./text.js";

/**
 * A probability as chances in ten or in a hundred. What was found by counting is never called
 * certain or impossible.
 * @param {number} probability 0 to 1.
 */
export function chances(probability) {
  if (probability < 0.005) return t`less than 1 chance in 100`;
  if (probability >= 0.995) return t`more than 99 chances in 100`;
  const hundredths = Math.round(probability * 100);
  const [count, of] = hundredths % 10 ? [hundredths, 100] : [hundredths / 10, 10];
  return unbroken(many(count, "{n} chance in {0}", "{n} chances in {0}", of));
}

/** A sampling error of some days: "less than a day", "about 2 days". @param {number} days */
export function aboutDays(days) {
  if (days < 0.5) return t`less than a day`;
  return unbroken(many(Math.round(days), "about {n} day", "about {n} days"));
}

function unbroken(text) {
  return text.replaceAll(" ", "\u00a0");
}
