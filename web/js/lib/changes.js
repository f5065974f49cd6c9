/** Lines of the change log in words, and what to say when an edit came too late. */

import { formatDate, formatInstant, formatNumber } from "./format.js";
import { many, t, told } from "./text.js";
import { stateName } from "./words.js";

const KINDS = {
  evidence: t`photo or document`,
  crew: t`crew entry`,
  send_out: t`send-out`,
  cost: t`cost line`,
  funding: t`money that comes in`,
  over_and_above: t`over-and-above item`,
};
const DATE = /^\d{4}-\d\d-\d\d$/;
/** Limits of plan health are shares, except for numbers of days. */
const IS_SHARE = /^health_limits\.(?!.*_days$)/;
const MOST_FIELDS = 4;

/**
 * What was changed: "state: not started to in work; started: none to 9 Oct 2026".
 * @param {any} change A line of the change log.
 */
export function describeChange(change) {
  const what = kindName(change.kind);
  if (!change.before) return t`${what} added`;
  if (!change.after) return t`${what} dropped`;
  const before = flat(change.before);
  const after = flat(change.after);
  const keys = [...new Set([...Object.keys(before), ...Object.keys(after)])];
  const parts = keys
    .filter((key) => JSON.stringify(before[key]) !== JSON.stringify(after[key]))
    .map((key) => `${fieldName(key)}: ${step(before[key], after[key], key)}`);
  const rest = parts.length - MOST_FIELDS;
  const first = parts.slice(0, MOST_FIELDS).join("; ");
  return rest > 0 ? t`${first}; and ${formatNumber(rest)} more` : first || t`nothing that shows`;
}

/** Who did it and when. @param {any} change */
export function whoAndWhen(change) {
  return t`${change.who}, ${formatInstant(change.at)}`;
}

/** What somebody else did to the thing in the meantime. @param {import("./api.js").ApiError} error */
export function whatChanged(error) {
  const changes = error.problem.changes_since ?? [];
  const lines = changes.map((change) => t`${whoAndWhen(change)} (${describeChange(change)})`);
  return lines.length ? t`It was changed in the meantime by ${lines.join("; ")}.` : t`It was changed in the meantime.`;
}

/** @param {string} kind */
export function kindName(kind) {
  return KINDS[kind] ?? worded(kind);
}

function flat(value, stem = "", into = {}) {
  for (const [key, part] of Object.entries(value)) {
    const name = stem ? `${stem}.${key}` : key;
    if (part && typeof part === "object" && !Array.isArray(part)) flat(part, name, into);
    else into[name] = part;
  }
  return into;
}

function step(before, after, key) {
  if (!Array.isArray(before ?? after)) return t`${shown(before, key)} to ${shown(after, key)}`;
  const lacks = (list) => (entry) => !(list ?? []).some((one) => JSON.stringify(one) === JSON.stringify(entry));
  const added = (after ?? []).filter(lacks(before)).map((entry) => t`added ${inWords(entry)}`);
  const gone = (before ?? []).filter(lacks(after)).map((entry) => t`taken out ${inWords(entry)}`);
  return [...added, ...gone].join(", ") || t`put in another order`;
}

/** An entry of a list: its values one after another; of an outline, how many corners it has. */
function inWords(entry) {
  if (entry?.corners) return many(entry.corners.length, "{0} with {n} corner", "{0} with {n} corners", entry.zone);
  if (entry && typeof entry === "object") return Object.values(entry).map(inWords).join(" ");
  return shown(entry, "");
}

/** @param {string} key As in the plan: "status.started". */
export function fieldName(key) {
  return key.replace(/^status\./, "").split(".").map(worded).join(": ");
}

/** A name of the plan as words: the catalogue has those of all kinds and fields. */
function worded(name) {
  return told(name.replaceAll("_", " "));
}

function shown(value, key) {
  if (key.endsWith("state")) return stateName(value ?? "not_started");
  if (value === undefined || value === null || value === "") return t`none`;
  if (IS_SHARE.test(key)) return `${formatNumber(100 * value)}\u00a0%`;
  if (typeof value === "number") return formatNumber(value);
  if (typeof value === "string" && DATE.test(value)) return formatDate(value);
  return String(value).length > 60 ? t`a longer text` : String(value);
}
