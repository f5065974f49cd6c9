/** The form of one calendar: its week, holidays, closed ranges and extra openings. */

import { el, freshId } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatDate, weekdayNames } from "../lib/format.js";
import { t } from "../lib/text.js";
import { addForm, editForm, freeId, unfolding } from "./editing.js";
import { formatHours } from "./hours-words.js";

const DAYS = weekdayNames();

/** A calendar in the list. @returns {HTMLElement} */
export function calendarEntry(sheet, calendar, afterwards) {
  const name = calendar.name || calendar.id;
  const summary = [el("b", {}, name), el("span.soft", {}, ` ${weekText(calendar)}`)];
  if (calendar.elapsed) return unfolding(calendar.key, summary, el("p", {}, t`Every date counts, day and night. It cannot be changed.`));
  const thing = {
    kind: "calendar",
    key: calendar.key,
    path: sheet.path(`/calendars/${encodeURIComponent(calendar.key)}`),
    name,
    version: calendar.version,
    canGo: true,
  };
  return unfolding(calendar.key, summary, () => {
    const [fields, typed] = calendarFields(calendar);
    return editForm(sheet, thing, fields, typed, afterwards);
  });
}

const NEW = { name: "", day_hours: 8, week: [8, 8, 8, 8, 8, 0, 0], closed: [], open: [] };

/** A form for another calendar. @param {any[]} calendars Those there are; holidays are as in the first. */
export function newCalendar(sheet, calendars, afterwards) {
  const holidays = calendars.find(({ elapsed }) => !elapsed)?.holidays ?? null;
  const [fields, typed] = calendarFields({ ...NEW, holidays });
  const what = {
    kind: "calendar",
    path: "/calendars",
    text: t`Add the calendar`,
    needs: { name: t`Name: call it after who keeps it, such as Volunteers.` },
    called: ({ name }) => name,
  };
  const read = () => {
    const body = typed(node);
    return { id: freeId(body.name, [...calendars, { id: "elapsed" }]), ...body };
  };
  const node = addForm(sheet, what, fields, read, afterwards);
  const hint = t`Part-time hands, volunteers of two days a week, the dry months for dope: whoever keeps other days gets a calendar. Agreed overtime goes into the openings of the calendar that is there.`;
  return unfolding("new", el("b", {}, t`Add a calendar`), [el("p.soft", {}, hint), node]);
}

/** The fields of a calendar, and how to read them. @returns {[any[], (node: HTMLFormElement) => any]} */
function calendarFields(calendar) {
  const closed = rangeList("closed", t`Closed`, calendar.closed, closedRow, t`Add a closed time`);
  const open = rangeList("open", t`Open in addition`, calendar.open, openRow, t`Add an opening`);
  const fields = [
    el(
      "div.fields",
      {},
      field({ label: t`Name`, name: "name", value: calendar.name }),
      field({
        label: t`Hours of a standard day`,
        name: "day_hours",
        type: "number",
        value: calendar.day_hours,
        hint: t`So many hours count as one working day.`,
        attributes: { min: 0.5, max: 24, step: 0.25, inputmode: "decimal" },
      }),
      field({
        label: t`Public holidays of`,
        name: "holidays",
        value: calendar.holidays,
        hint: t`Country code, such as IE or GB-ENG; empty for none.`,
      }),
    ),
    weekFields(calendar.week),
    closed,
    open,
  ];
  return [fields, (node) => typedCalendar(node, closed, open)];
}

function typedCalendar(node, closed, open) {
  const { name, day_hours, holidays } = readForm(node);
  return {
    name: name ?? "",
    day_hours: Number(day_hours),
    holidays,
    week: DAYS.map((_, index) => Number(node.elements[`week-${index}`].value || 0)),
    closed: pairs(closed),
    open: pairs(open).map(([date, hours]) => ({ date, hours: Number(hours) })),
  };
}

function weekFields(week) {
  const day = (label, index) => {
    const attributes = { min: 0, max: 24, step: 0.25, inputmode: "decimal" };
    const node = field({ label, name: `week-${index}`, type: "number", value: week[index], attributes });
    node.dataset.entry = "";
    return node;
  };
  return el(
    "fieldset",
    { "data-field": "week" },
    el("legend.label", {}, t`Hours of the week`),
    el("div.week", {}, DAYS.map(day)),
  );
}

function rangeList(name, title, entries, row, addText) {
  const rows = el("div.entry-rows", {}, entries.map(row));
  const add = el("button.button", { type: "button" }, addText);
  add.addEventListener("click", () => {
    const made = row(null);
    rows.append(made);
    made.querySelector("input").focus();
  });
  return el("fieldset.entries", { "data-field": name }, el("legend.label", {}, title), rows, add);
}

function closedRow(entry) {
  const [from, to] = entry ?? ["", ""];
  const what = entry ? t`${formatDate(from)} to ${formatDate(to)}` : t`the new line`;
  return rangeRow(dated(t`First day`, from), dated(t`Last day`, to), what);
}

function openRow(entry) {
  const { date, hours } = entry ?? { date: "", hours: 8 };
  const what = entry ? formatDate(date) : t`the new line`;
  const input = el("input", { type: "number", min: 0.25, max: 24, step: 0.25, value: hours });
  return rangeRow(dated(t`Date`, date), labelled(t`Hours`, input), what);
}

function rangeRow(first, second, what) {
  const remove = el("button.button", { type: "button", "aria-label": t`Take out ${what}` }, t`Take out`);
  const row = el("div.range", { "data-entry": true }, first, second, remove);
  remove.addEventListener("click", () => {
    const next = row.nextElementSibling ?? row.parentElement.nextElementSibling;
    row.remove();
    next.querySelector("input")?.focus() ?? next.focus();
  });
  return row;
}

function dated(label, value) {
  return labelled(label, el("input", { type: "date", value }));
}

function labelled(label, input) {
  input.id = freshId("range");
  return el("div.field", {}, el("label", { for: input.id }, label), input);
}

function pairs(list) {
  return [...list.querySelectorAll(".range")].map((row) =>
    [...row.querySelectorAll("input")].map((input) => input.value),
  );
}

function weekText({ elapsed, week, day_hours: day }) {
  if (elapsed) return t`every date`;
  const worked = week.map((hours, index) => (hours ? `${DAYS[index]} ${formatHours(hours)}` : null)).filter(Boolean);
  const isEven = worked.length > 2 && new Set(week.filter(Boolean)).size === 1;
  const first = week.findIndex(Boolean);
  const last = week.findLastIndex(Boolean);
  const isRun = isEven && last - first + 1 === worked.length;
  const text = isRun ? t`${DAYS[first]} to ${DAYS[last]}, ${formatHours(week[first])}` : worked.join(", ");
  return t`${text}; a day is ${formatHours(day)}`;
}
