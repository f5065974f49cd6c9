/** The owner's first question, answered: when it is finished, and how sure that is, in words. */

import { el, when } from "../lib/dom.js";
import { chances } from "../lib/chances.js";
import { daysBetween, formatDays } from "../lib/format.js";
import { term } from "../lib/term.js";
import { t } from "../lib/text.js";
import { isCertain } from "./date-band.js";
import { dimension } from "./dimension.js";

/**
 * @param {any} forecast The owner's page as the service answers it.
 * @param {any} result What the simulation found; null where it has found nothing (yet).
 * @param {string} name Of the aircraft or project.
 * @param {HTMLElement} standing How far the simulation is. It has the place of what it will find.
 * @returns {(Node | null)[]}
 */
export function finishAnswer(forecast, result, name, standing) {
  if (!forecast.why.length) return finished(forecast, name);
  if (!result || isCertain(result.finish)) return asWritten(forecast, result, name, standing);
  return uncertain(forecast, result, name);
}

/**
 * What stands below: the date as written, where it is not the answer itself, and how it moved.
 * @param {any} forecast @param {any} result
 */
export function writtenSentence(forecast, result) {
  if (!forecast.why.length || !result || isCertain(result.finish)) return null;
  return [t`If everything goes as written: ${when(result.planned)}.`, " ", moved(forecast, true)];
}

function uncertain(forecast, { finish, target, planned }, name) {
  return [
    el("p.answer-label", {}, t`${name}: ${term("likely date", t`likely`)} finished by`),
    el("p.answer-date", {}, when(finish.p50, "day")),
    el("p.answer-by80", {}, t`${term("80 % date", chances(0.8))} that it is finished by ${when(finish.p80)}.`),
    el("p.answer-target", {}, target ? t`The wanted date, ${when(target.date)}, has ${chances(target.probability)}.` : t`No target date is set.`),
    dimension({ as_of: forecast.as_of, target: target?.date ?? null, finish: planned, spread: finish }),
  ];
}

/** One date: nothing in the plan is uncertain, or how uncertain it is is not known. */
function asWritten(forecast, result, name, standing) {
  const note = result ? CERTAIN : t`This is the date if everything goes as written; it is not a promise.`;
  const isComputing = !result && standing.querySelector("progress");
  return [
    el("p.answer-label", {}, t`${name}: if everything goes as written, finished on`),
    el("p.answer-date", {}, when(forecast.finish, "day")),
    standing,
    isComputing ? null : [el("p.lead", {}, against(forecast), " ", moved(forecast)), el("p.answer-honest", {}, note)],
    dimension({ as_of: forecast.as_of, target: forecast.target_finish, finish: forecast.finish, spread: null }),
  ];
}

const CERTAIN =
  t`As far as this plan is written, nothing uncertain reaches the finish. Where work could take longer, give it a low and a high figure: the date then says how sure it is.`;

function finished(forecast, name) {
  return [
    el("p.answer-label", {}, t`${name} was finished on`),
    el("p.answer-date", {}, when(forecast.finish, "long")),
    el("p.lead", {}, against(forecast), " ", moved(forecast)),
  ];
}

function against({ finish, target_finish: target, late_days: late }) {
  if (!target) return t`No target date is set.`;
  if (!late) return t`That is the target date.`;
  const [apart, date] = [formatDays(Math.abs(daysBetween(target, finish))), when(target)];
  return late > 0 ? t`That is ${apart} after the target of ${date}.` : t`That is ${apart} before the target of ${date}.`;
}

/** How the date that is shown last moved: the likely one where both entries know it, or the one as written. */
function moved({ log }, isLikely = false) {
  const between = isLikely ? movedDays : writtenDays;
  const now = log.at(-1);
  const before = log.findLast((entry) => between(entry, now));
  if (!now || !before) return isLikely ? t`The likely date has not moved since this log began.` : t`The date has not moved since this log began.`;
  const days = between(before, now);
  const by = formatDays(Math.abs(days));
  if (isLikely) return days > 0 ? t`The likely date last moved later, by ${by}.` : t`The likely date last moved sooner, by ${by}.`;
  return days > 0 ? t`The date last moved later, by ${by}.` : t`The date last moved sooner, by ${by}.`;
}

/**
 * By how many days a forecast differs from an earlier one; both likely dates, or both as written.
 * @param {any} before @param {any} after Entries of the forecast log.
 */
export function movedDays(before, after) {
  if (!before || !after) return 0;
  return before.p50 && after.p50 ? daysBetween(before.p50, after.p50) : writtenDays(before, after);
}

function writtenDays(before, after) {
  return daysBetween(before.finish, after.finish);
}
