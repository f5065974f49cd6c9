/** The hours of a task on its sheet: what was entered, changed and taken out again. */

import { get } from "../lib/api.js";
import { el, fill, when } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatNumber } from "../lib/format.js";
import { t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { editForm, unfolding } from "./editing.js";
import { hoursForm } from "./hours-form.js";
import { entryName, formatHours, hoursSentence, typedHours, whoWorked } from "./hours-words.js";

/** So many entries are taken in at a glance. */
const SHOWN = 5;

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {string} path Endpoint of the task.
 * @param {any} answer The task as the service tells it.
 * @param {() => Promise<void>} onChange
 * @returns {HTMLElement | null} A milestone takes no hours.
 */
export function hoursSection(sheet, path, answer, onChange) {
  if (answer.task.milestone) return null;
  const node = el("section.hours-list", { "aria-label": t`Hours` });
  const again = async () => {
    fill(node, parts(sheet, await get(path), again));
    if (node.isConnected) node.querySelector("h3").focus({ preventScroll: true });
    await onChange();
  };
  return /** @type {HTMLElement} */ (fill(node, parts(sheet, answer, again)));
}

function parts(sheet, answer, again) {
  const { task, hours, hours_lines: lines, people } = answer;
  const entry = (one) => (sheet.readOnly ? el("p.hours-line", {}, told(one, task)) : editable(sheet, task, people, one, again));
  const all = lines.map(entry);
  const more = all.length > SHOWN ? el("details", {}, el("summary", {}, t`Earlier entries (${formatNumber(all.length - SHOWN)})`), all.slice(SHOWN)) : null;
  return [el("h3", { tabindex: "-1" }, t`Hours`), el("p", {}, t`${hoursSentence(hours)}.`), all.slice(0, SHOWN), more, sheet.readOnly ? null : adding(sheet, task, people, again)];
}

function told(one, task) {
  return [when(one.on, "day"), el("span", {}, whoWorked(one, tradeName(one.trade ?? task.trade))), el("b", {}, formatHours(one.hours))];
}

function editable(sheet, task, people, one, again) {
  const who = whoWorked(one, tradeName(one.trade ?? task.trade));
  const thing = {
    kind: "hours_worked",
    key: one.key,
    path: sheet.path(`/hours/${encodeURIComponent(one.key)}`),
    name: entryName(one, who),
    version: one.version,
    canGo: true,
  };
  return unfolding(one.key, told(one, task), () => hoursFields(sheet, one, thing, people, again));
}

function hoursFields(sheet, one, thing, people, again) {
  const labels = [...new Set([one.label, ...people.map(({ label }) => label)])].filter(Boolean);
  const fields = el(
    "div.fields",
    {},
    field({ label: t`Date`, name: "on", type: "date", value: one.on, attributes: { max: sheet.project.as_of } }),
    field({ label: t`Who`, name: "label", type: "select", value: one.label, options: [["", t`nobody named`], ...labels.map((label) => [label, label])] }),
    field({ label: t`Hours`, name: "hours", value: one.hours, attributes: { inputmode: "decimal", maxlength: 12, autocomplete: "off" } }),
  );
  const typed = (node) => {
    const { on, label, hours } = readForm(node);
    return { on, label: label ?? "", hours: typedHours(hours) ?? hours };
  };
  return editForm(sheet, thing, fields, typed, again);
}

function adding(sheet, task, people, again) {
  const place = el("details.hours-add", {}, el("summary", {}, t`Enter hours`));
  place.append(hoursForm(sheet, task, people, sheet.project.as_of, { saved: again, undone: again }));
  return place;
}
