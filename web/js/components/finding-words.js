/** How the codes of a finding read, and small drawings of its condition. */

import { el } from "../lib/dom.js";
import { formatNumber, unbroken } from "../lib/format.js";
import { many, t, told, toldIn } from "../lib/text.js";

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

/**
 * Units of the method cards that are shipped: one, several, and a number of them.
 * @type {Record<string, [string, string, (number: number) => string]>}
 */
const UNITS = {
  aircraft: [t`aircraft`, t`aircraft`, (number) => many(number, "{n} aircraft", "{n} aircraft")],
  batch: [t`batch`, t`batches`, (number) => many(number, "{n} batch", "{n} batches")],
  bay: [t`bay`, t`bays`, (number) => many(number, "{n} bay", "{n} bays")],
  circuit: [t`circuit`, t`circuits`, (number) => many(number, "{n} circuit", "{n} circuits")],
  engine: [t`engine`, t`engines`, (number) => many(number, "{n} engine", "{n} engines")],
  hull: [t`hull`, t`hulls`, (number) => many(number, "{n} hull", "{n} hulls")],
  leg: [t`leg`, t`legs`, (number) => many(number, "{n} leg", "{n} legs")],
  m2: ["m²", "m²", (number) => `${quantities.format(number)} m²`],
  member: [t`member`, t`members`, (number) => many(number, "{n} member", "{n} members")],
  mod: [t`mod`, t`mods`, (number) => many(number, "{n} mod", "{n} mods")],
  panel: [t`panel`, t`panels`, (number) => many(number, "{n} panel", "{n} panels")],
  patch: [t`patch`, t`patches`, (number) => many(number, "{n} patch", "{n} patches")],
  propeller: [t`propeller`, t`propellers`, (number) => many(number, "{n} propeller", "{n} propellers")],
  run: [t`run`, t`runs`, (number) => many(number, "{n} run", "{n} runs")],
  seat: [t`seat`, t`seats`, (number) => many(number, "{n} seat", "{n} seats")],
  splice: [t`splice`, t`splices`, (number) => many(number, "{n} splice", "{n} splices")],
  surface: [t`surface`, t`surfaces`, (number) => many(number, "{n} surface", "{n} surfaces")],
  tank: [t`tank`, t`tanks`, (number) => many(number, "{n} tank", "{n} tanks")],
  wheel: [t`wheel`, t`wheels`, (number) => many(number, "{n} wheel", "{n} wheels")],
  wing: [t`wing`, t`wings`, (number) => many(number, "{n} wing", "{n} wings")],
};

/** "2 bays"; of a part "0.25 hulls", and of a unit of the shop's own "2 × jig". @param {string | number} quantity @param {string} driver */
export function inUnits(quantity, driver) {
  const number = Number(quantity);
  const known = UNITS[driver];
  const figure = quantities.format(number);
  if (known && Number.isInteger(number)) return unbroken(known[2](number));
  return unbroken(known ? `${figure} ${known[1]}` : `${figure} × ${driver}`);
}

/** A driver unit as it is read; one of the shop's own reads as it is. @param {string} driver */
export function unit(driver) {
  return UNITS[driver]?.[0] ?? driver;
}

/** Several of them: bays, patches, m², aircraft. @param {string} driver */
export function units(driver) {
  return UNITS[driver]?.[1] ?? driver;
}

/** @param {number} number */
export function countFindings(number) {
  return unbroken(many(number, "{n} finding", "{n} findings"));
}

/** Where an old part or later work is kept. @param {{kept_at?: string, labelled?: boolean}} finding */
export function keptWords({ kept_at: place, labelled }) {
  if (!place) return "";
  return labelled ? t`${place}, labelled` : t`${place}, no label`;
}

/** What came of a finding. @param {{tasks: number, begun: number, done: number}} line */
export function cameOfIt({ tasks, begun, done }) {
  if (!tasks) return "";
  const all = unbroken(many(tasks, "{n} task", "{n} tasks"));
  if (done === tasks) return t`${all}, all done`;
  return [all, done ? t`${formatNumber(done)} done` : "", begun ? t`${formatNumber(begun)} begun` : ""].filter(Boolean).join(", ");
}

/**
 * What the service answers, with the words of grades, treatments, chapters and kinds as the reader says them.
 * @param {any} evaluation
 */
export function inWords(evaluation) {
  return {
    ...evaluation,
    grades: toldIn(evaluation.grades, "name", "meaning"),
    treatments: toldIn(evaluation.treatments, "name", "implies", "where", "record_first", "originality"),
    chapters: toldIn(evaluation.chapters, "title"),
    kinds: toldIn(evaluation.kinds, "name"),
    standing_line: told(evaluation.standing_line),
  };
}

/** The beginning of what was seen, for a line that names the finding. @param {string} seen */
export function shortened(seen) {
  return seen.length > 60 ? `${seen.slice(0, 59).trimEnd()}…` : seen;
}
