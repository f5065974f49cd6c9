/** The form of a vendor, and the past jobs beside it. */

import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatDate, formatExact, formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { calendarField, editForm, unfolding } from "./editing.js";

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
  const thing = {
    kind: "vendor",
    key: vendor.key,
    path: sheet.path(`/vendors/${encodeURIComponent(vendor.key)}`),
    name,
    version: vendor.version,
  };
  const typed = () => {
    const { name: called, country, calendar, currency } = readForm(node);
    return { name: called ?? "", country: country ?? "", calendar, currency: currency?.toUpperCase() ?? null };
  };
  const node = editForm(sheet, thing, fields, typed, afterwards);
  return unfolding(vendor.key, summary, [node, pastJobs(vendor, name)]);
}

function pastText(history) {
  if (!history.length) return "no past jobs";
  return history.length === 1 ? "1 past job" : `${history.length} past jobs`;
}

function pastJobs({ history, currency }, name) {
  const price = (amount) => (amount && currency ? formatExact(amount, currency) : amount || "not known");
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
      { label: "First price", cell: (job) => price(job.quoted_price), numeric: true, sort: (job) => Number(job.quoted_price ?? 0) },
      { label: "Final price", cell: (job) => price(job.final_price), numeric: true, sort: (job) => Number(job.final_price ?? 0) },
    ],
  });
}
