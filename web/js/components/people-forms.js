/** The forms of vendors and crew. */

import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatDate, formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { tradeName } from "../lib/words.js";
import { editForm, unfolding } from "./editing.js";

/** A vendor in the list. @returns {HTMLElement} */
export function vendorEntry(sheet, vendor, calendars, afterwards) {
  const name = vendor.name || vendor.id;
  const summary = [
    el("b", {}, name),
    el("span.soft", {}, ` ${[vendor.country, vendor.currency, pastText(vendor.history)].filter(Boolean).join(", ")}`),
  ];
  const fields = el(
    "div.fields",
    {},
    field({ label: "Name", name: "name", value: vendor.name }),
    field({ label: "Country", name: "country", value: vendor.country }),
    calendarField(vendor.calendar, calendars),
    field({
      label: "Currency",
      name: "currency",
      value: vendor.currency,
      hint: "Three letters, such as GBP.",
      attributes: { maxlength: 3 },
    }),
  );
  const thing = thingOf(sheet, "vendor", "vendors", vendor, name);
  const typed = () => {
    const { name: called, country, calendar, currency } = readForm(node);
    return { name: called ?? "", country: country ?? "", calendar, currency: currency?.toUpperCase() ?? null };
  };
  const node = editForm(sheet, thing, fields, typed, afterwards);
  return unfolding(vendor.key, summary, [node, pastJobs(vendor, name)]);
}

/** A crew entry in the list. @returns {HTMLElement} */
export function crewEntry(sheet, crew, calendars, afterwards) {
  const name = crew.label || tradeName(crew.trade);
  const people = crew.people === 1 ? "1 person" : `${crew.people} people`;
  const summary = [el("b", {}, name), el("span.soft", {}, ` ${tradeName(crew.trade)}, ${people}`)];
  const fields = el(
    "div.fields",
    {},
    field({ label: "Label", name: "label", value: crew.label, hint: "Trade and number, no names of persons." }),
    field({
      label: "People",
      name: "people",
      type: "number",
      value: crew.people,
      attributes: { min: 0, max: 99, step: 1, inputmode: "numeric" },
    }),
    calendarField(crew.calendar, calendars),
  );
  const thing = thingOf(sheet, "crew", "crew", crew, name);
  const typed = () => {
    const { label, people: count, calendar } = readForm(node);
    return { label: label ?? "", people: Number(count), calendar };
  };
  const node = editForm(sheet, thing, fields, typed, afterwards);
  return unfolding(crew.key, summary, node);
}

function thingOf(sheet, kind, plural, { key, version }, name) {
  return { kind, key, name, version, path: sheet.path(`/${plural}/${encodeURIComponent(key)}`) };
}

function calendarField(value, calendars) {
  const options = calendars.map(({ id, name }) => [id, name || id]);
  return field({
    label: "Calendar",
    name: "calendar",
    type: "select",
    value,
    options: [["", "as the project"], ...options],
  });
}

function pastText(history) {
  if (!history.length) return "no past jobs";
  return history.length === 1 ? "1 past job" : `${history.length} past jobs`;
}

function pastJobs({ history }, name) {
  const ratio = ({ quoted_days: quoted, actual_days: actual }) => actual / quoted;
  return table({
    caption: `Past jobs of ${name}`,
    rows: history,
    empty: "No past job is on file. Until there is one, the quoted lead time is all there is to go by.",
    columns: [
      { label: "Work", cell: ({ kind }) => kind, heading: true, sort: ({ kind }) => kind },
      {
        label: "Ordered",
        cell: ({ ordered }) => (ordered ? formatDate(ordered) : "no date"),
        sort: ({ ordered }) => ordered,
      },
      { label: "Quoted days", cell: (job) => formatNumber(job.quoted_days), numeric: true, sort: (job) => job.quoted_days },
      { label: "Taken days", cell: (job) => formatNumber(job.actual_days), numeric: true, sort: (job) => job.actual_days },
      { label: "Taken for each quoted day", cell: (job) => formatNumber(ratio(job)), numeric: true, sort: ratio },
    ],
  });
}
