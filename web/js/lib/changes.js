/** Lines of the change log in words, and what to say when an edit came too late. */

import { formatDate, formatInstant, formatNumber } from "./format.js";
import { stateName } from "./words.js";

const KINDS = { crew: "crew entry", send_out: "send-out", budget_line: "budget line" };
const DATE = /^\d{4}-\d\d-\d\d$/;
const MOST_FIELDS = 4;

/**
 * What was changed: "state: not started to in work; started: none to 9 Oct 2026".
 * @param {any} change A line of the change log.
 */
export function describeChange(change) {
  const what = kindName(change.kind);
  if (!change.before) return `${what} added`;
  if (!change.after) return `${what} dropped`;
  const before = flat(change.before);
  const after = flat(change.after);
  const keys = [...new Set([...Object.keys(before), ...Object.keys(after)])];
  const parts = keys
    .filter((key) => before[key] !== after[key])
    .map((key) => `${fieldName(key)}: ${shown(before[key], key)} to ${shown(after[key], key)}`);
  const rest = parts.length - MOST_FIELDS;
  const told = parts.slice(0, MOST_FIELDS).join("; ");
  return rest > 0 ? `${told}; and ${rest} more` : told || "nothing that shows";
}

/** Who did it and when. @param {any} change */
export function whoAndWhen(change) {
  return `${change.who}, ${formatInstant(change.at)}`;
}

/** What somebody else did to the thing in the meantime. @param {import("./api.js").ApiError} error */
export function whatChanged(error) {
  const changes = error.problem.changes_since ?? [];
  const lines = changes.map((change) => `${whoAndWhen(change)} (${describeChange(change)})`);
  return `It was changed in the meantime${lines.length ? ` by ${lines.join("; ")}` : ""}.`;
}

/** @param {string} kind */
export function kindName(kind) {
  return KINDS[kind] ?? kind;
}

function flat(value, stem = "", into = {}) {
  for (const [key, part] of Object.entries(value)) {
    const name = stem ? `${stem}.${key}` : key;
    if (part && typeof part === "object" && !Array.isArray(part)) flat(part, name, into);
    else into[name] = Array.isArray(part) ? JSON.stringify(part) : part;
  }
  return into;
}

function fieldName(key) {
  return key.replace(/^status\./, "").replaceAll("_", " ");
}

function shown(value, key) {
  if (value === undefined || value === null || value === "") return "none";
  if (key.endsWith("state")) return stateName(value);
  if (typeof value === "number") return formatNumber(value);
  if (typeof value === "string" && DATE.test(value)) return formatDate(value);
  return String(value).length > 60 ? "a longer text" : String(value);
}
