/** How the codes of a finding read, and small drawings of its condition. */

import { el } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { t } from "../lib/text.js";

const quantities = new Intl.NumberFormat(undefined, { maximumFractionDigits: 3 });

/** @type {[string, string][]} Code and words. */
export const AUTHENTICITY = [
  ["original", t`Original`],
  ["period_change", t`Period change`],
  ["later_change", t`Later change`],
  ["unknown", t`Not known`],
];

/** What a decision on form rests on, the strongest first. @type {[string, string][]} */
export const RUNGS = [
  ["factory_drawing", t`Factory drawing`],
  ["factory_photo", t`Factory photo`],
  ["trace", t`Trace on this airframe`],
  ["sister_aircraft", t`Sister aircraft`],
  ["makers_practice", t`The maker's practice`],
  ["opinion", t`Opinion`],
];

/** How an item that leaves comes back. @type {[string, string][]} */
export const SOURCES = [
  ["overhaul", t`The same item, overhauled`],
  ["exchange", t`An exchange unit`],
  ["in_hand", t`A part in hand`],
  ["pattern", t`A new part, made after a pattern`],
];

/** What becomes of the thing, in the order of the ledger. @type {[string, string][]} */
export const OUTCOMES = [
  ["kept", t`Kept as found`],
  ["conserved", t`Conserved`],
  ["repaired", t`Repaired or overhauled`],
  ["renewed", t`Renewed: cloth, wire, plating`],
  ["replaced", t`Replaced`],
  ["reproduced", t`Reproduced`],
  ["removed", t`Later work removed`],
  ["undecided", t`Not decided yet`],
];

/** @param {[string, string][]} words @param {string | null} code */
export function wordFor(words, code) {
  return words.find(([known]) => known === code)?.[1] ?? code ?? "";
}

/** A square whose hatch tells the grade; the words stand beside it. @param {number} grade */
export function gradeMark(grade) {
  return el("span.grade-mark", { "data-grade": grade, "aria-hidden": "true" });
}

/** "3 repairable" with its mark. @param {{grade: number, name: string}} words */
export function gradeWords({ grade, name }) {
  return el("span.grade-words", {}, gradeMark(grade), el("span", {}, `${grade} ${name}`));
}

/** "2 findings", "1 finding". @param {number} number @param {string} noun */
export function count(number, noun) {
  return `${formatNumber(number)}\u00a0${noun}${number === 1 ? "" : "s"}`;
}

/** 2.5 and "bay" read "2.5 bays". @param {string | number} quantity @param {string} driver */
export function inUnits(quantity, driver) {
  const number = Number(quantity);
  return `${quantities.format(number)}\u00a0${number === 1 ? unit(driver) : units(driver)}`;
}

/** A driver unit as it is read. @param {string} driver */
export function unit(driver) {
  return driver === "m2" ? "m²" : driver;
}

/** Several of them: bays, patches, m², aircraft. @param {string} driver */
export function units(driver) {
  if (["m2", "aircraft"].includes(driver)) return unit(driver);
  return `${driver}${/(ch|sh|s|x)$/.test(driver) ? "es" : "s"}`;
}

/** What came of a finding. @param {{tasks: number, begun: number, done: number}} line */
export function cameOfIt({ tasks, begun, done }) {
  if (!tasks) return "";
  if (done === tasks) return t`${count(tasks, "task")}, all done`;
  const parts = [done ? `${formatNumber(done)} done` : "", begun ? `${formatNumber(begun)} begun` : ""].filter(Boolean);
  return [count(tasks, "task"), ...parts].join(", ");
}

/** The beginning of what was seen, for a line that names the finding. @param {string} seen */
export function shortened(seen) {
  return seen.length > 60 ? `${seen.slice(0, 59).trimEnd()}…` : seen;
}
