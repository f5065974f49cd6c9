/** Since when it is told what moved: the last look, a month ago, or a date of one's own. */

import { el, fill } from "../lib/dom.js";
import { formatDate, todayHere } from "../lib/format.js";
import { t } from "../lib/text.js";

/** A look that is no longer ago belongs to the same visit. [ms] */
const VISIT_MS = 4 * 3_600_000;

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {{plan_version: number, as_of: string}} plan As it is now.
 * @param {(since: string) => void} onChoice Told a date or a plan version, at once and on each choice.
 * @returns {HTMLElement}
 */
export function sincePicker(sheet, plan, onChoice) {
  const look = lastLook(sheet, plan.plan_version);
  const month = aMonthBefore(plan.as_of);
  const own = el("input", { type: "date", name: "since-date", max: plan.as_of, value: month, "aria-label": t`Since which date`, hidden: true });
  const options = [
    look ? el("option", { value: String(look.version) }, t`your last look, ${formatDate(look.on, "short")}`) : null,
    el("option", { value: month }, t`a month ago, ${formatDate(month, "short")}`),
    el("option", { value: "own" }, t`a date of your choice`),
  ];
  const choice = el("select", { name: "since" }, options);
  choice.addEventListener("change", () => {
    own.hidden = choice.value !== "own";
    onChoice(own.hidden ? choice.value : own.value);
  });
  own.addEventListener("change", () => own.value && onChoice(own.value));
  onChoice(choice.value);
  return fill(el("div.since"), el("label", {}, el("span", {}, t`since`), choice), own);
}

/** What this person saw last, in a visit before this one, if the plan was changed since; it is kept in this browser. */
function lastLook(sheet, version) {
  const key = `ribstitch.look.${sheet.project.id}.${sheet.person.name ?? sheet.person.role}`;
  const known = read(key);
  const isSameVisit = known && Date.now() - known.at < VISIT_MS;
  const before = isSameVisit ? known.before : known?.seen;
  const now = { at: Date.now(), seen: { version, on: todayHere() }, before: before ?? null };
  try {
    localStorage.setItem(key, JSON.stringify(now));
  } catch {
    return null; // Nothing may be kept here: there is no last look.
  }
  return before && before.version < version ? before : null;
}

function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "null");
  } catch {
    return null;
  }
}

function aMonthBefore(iso) {
  const [year, month, day] = iso.split("-").map(Number);
  const last = new Date(Date.UTC(year, month - 1, 0)).getUTCDate();
  return new Date(Date.UTC(year, month - 2, Math.min(day, last))).toISOString().slice(0, 10);
}
