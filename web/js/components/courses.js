/** Shares of simulated courses in words: "in 37 of 100 courses". */

import { t } from "../lib/text.js";

/**
 * @param {number} share 0 to 1. What was found by counting is never called never or always.
 */
export function inCourses(share) {
  const hundredths = Math.round(share * 100);
  if (hundredths < 1) return t`in fewer than 1 of 100 courses`;
  if (hundredths > 99) return t`in more than 99 of 100 courses`;
  return t`in ${hundredths} of 100 courses`;
}

/** How often work sets the finish, as it stands on its own. @param {number | null} share */
export function onPath(share) {
  if (share === null || share === undefined) return "";
  return t`On the path that sets the finish ${inCourses(share)}.`;
}

/** The same in the narrow cell of a table. @param {number | null} share */
export function ofHundred(share) {
  if (share === null || share === undefined) return "";
  const hundredths = Math.round(share * 100);
  if (hundredths < 1) return share > 0 ? t`fewer than 1` : "0";
  return hundredths > 99 && share < 1 ? t`more than 99` : String(hundredths);
}
