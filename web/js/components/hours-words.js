/** Hours worked, in words: how they are read, typed and summed up on a card. */

import { formatDate } from "../lib/format.js";
import { t } from "../lib/text.js";

const hours = new Intl.NumberFormat(undefined, { maximumFractionDigits: 2 });

/** "6.5 h" in the reader's own way of writing. @param {string | number} count */
export function formatHours(count) {
  return `${hours.format(Number(count))}\u00a0h`;
}

/** What was entered and what was planned. @param {{today: string, so_far: string, planned: number}} sum */
export function hoursSentence({ today, so_far: soFar, planned }) {
  const plan = formatHours(Math.round(planned * 10) / 10);
  if (!Number(soFar)) return t`No hours yet; planned ${plan}`;
  return t`${formatHours(today)} today, ${formatHours(soFar)} so far; planned ${plan}`;
}

/**
 * Hours as they were typed, with a decimal comma or point, as the service takes them.
 * @param {string | null} text
 * @returns {string | null} null: it is no number.
 */
export function typedHours(text) {
  const plain = (text ?? "").trim().replace("\u2212", "-").replace(",", ".");
  return /^-?(\d+\.?\d*|\.\d+)$/.test(plain) ? plain : null;
}

/** How an entry is called: "6.5 h of metal 1, 9 Oct". @param {{hours: string | number, on: string}} entry @param {string} who */
export function entryName({ hours: count, on }, who) {
  return t`${formatHours(count)} of ${who}, ${formatDate(on, "short")}`;
}

/** Who worked, as the crew calls them. @param {{label: string}} entry @param {string} [nobody] */
export function whoWorked({ label }, nobody = t`nobody named`) {
  return label || nobody;
}
