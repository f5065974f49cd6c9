/** Where an axis of dates is ruled, and what is lettered there: years, quarters, months or Mondays. */

import { formatDate } from "./format.js";

const DAY_MS = 86_400_000;
/** Months from one rule to the next, densest first; 0 rules each Monday. */
const STEPS = [0, 1, 3, 6, 12, 24, 60];
/** Days from one rule to the next, as many as at least. */
const LEAST_DAYS = [7, 28, 90, 181, 365, 730, 1826];

/**
 * @param {number} from [ms] @param {number} to [ms]
 * @param {number} most How many marks there is room for.
 * @returns {{at: number, text: string, year: string}[]} `year` stands at the first, and where one begins.
 */
export function dateMarks(from, to, most) {
  const days = (to - from) / DAY_MS;
  const found = LEAST_DAYS.findIndex((least) => days / least <= most);
  const step = STEPS[found < 0 ? STEPS.length - 1 : found];
  const marks = [];
  let year = "";
  for (const at of step ? monthsFrom(from, to, step) : mondaysFrom(from, to)) {
    const iso = new Date(at).toISOString().slice(0, 10);
    const isNewYear = iso.slice(0, 4) !== year;
    year = iso.slice(0, 4);
    if (step >= 12) marks.push({ at, text: year, year: "" });
    else marks.push({ at, text: formatDate(iso, step ? "monthAlone" : "short"), year: isNewYear ? year : "" });
  }
  return marks;
}

function* mondaysFrom(from, to) {
  const first = Math.ceil(from / DAY_MS);
  // The first of January 1970 was a Thursday.
  for (let day = first + ((11 - (first % 7)) % 7); day * DAY_MS <= to; day += 7) yield day * DAY_MS;
}

function* monthsFrom(from, to, step) {
  const begun = new Date(from);
  let month = begun.getUTCFullYear() * 12 + begun.getUTCMonth();
  month -= month % step;
  for (let at = Date.UTC(0, 0); at <= to; month += step) {
    at = Date.UTC(Math.floor(month / 12), month % 12);
    if (at >= from && at <= to) yield at;
  }
}
