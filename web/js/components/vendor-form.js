/** The forms of vendors: what each takes, where it is, its days; and the past jobs beside it. */

import { boxes, ticked } from "../lib/boxes.js";
import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatDate, formatExact, formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { addForm, calendarField, editForm, freeId, unfolding } from "./editing.js";

/** A vendor in the list. @param {{calendars: any[], kinds: any[]}} plan @returns {HTMLElement} */
export function vendorEntry(sheet, vendor, plan, afterwards) {
  const name = vendor.name || vendor.id;
  const takes = vendor.kinds.length ? t`takes ${vendor.kinds.map((kind) => kindText(kind, plan.kinds)).join(", ")}` : "";
  const summary = [
    el("b", {}, name),
    " ",
    el("span.soft", {}, [vendor.country, vendor.currency, takes, pastText(vendor.history)].filter(Boolean).join("; ")),
  ];
  const thing = {
    kind: "vendor",
    key: vendor.key,
    path: sheet.path(`/vendors/${encodeURIComponent(vendor.key)}`),
    name,
    version: vendor.version,
    canGo: true,
  };
  return unfolding(vendor.key, summary, () => [
    editForm(sheet, thing, vendorFields(vendor, plan), typed, afterwards),
    pastJobs(vendor, name, plan.kinds),
  ]);
}

/**
 * A form for another vendor.
 * @param {{vendors: any[], calendars: any[], kinds: any[]}} plan
 * @param {string | null} takes A kind of send-out that it takes, ticked beforehand.
 */
export function newVendor(sheet, plan, takes, afterwards) {
  const what = {
    kind: "vendor",
    path: "/vendors",
    text: t`Add the vendor`,
    needs: { name: t`Name: what is the vendor called?` },
    called: ({ name }) => name,
  };
  const read = () => {
    const body = typed(node);
    return { id: freeId(body.name, plan.vendors), ...body };
  };
  const fresh = { currency: sheet.project.currency, kinds: takes ? [takes] : [] };
  const node = addForm(sheet, what, vendorFields(fresh, plan), read, afterwards);
  const hint = t`The planner asks the vendor that takes a kind of work; of several, the one with most past jobs of it.`;
  return unfolding("new", el("b", {}, t`Add a vendor`), [el("p.soft", {}, hint), node]);
}

/** Where a vendor for a kind of send-out is added. @param {string} kind */
export function vendorLink(sheet, kind) {
  return sheet.link("settings", { takes: kind });
}

function vendorFields({ name, country, calendar, currency, kinds }, plan) {
  return [
    el(
      "div.fields",
      {},
      field({ label: t`Name`, name: "name", value: name }),
      field({ label: t`Country`, name: "country", value: country }),
      calendarField(calendar, plan.calendars),
      field({
        label: t`Currency`,
        name: "currency",
        value: currency,
        hint: t`Three letters, such as GBP.`,
        attributes: { maxlength: 3 },
      }),
    ),
    boxes({
      label: t`Takes`,
      name: "kinds",
      values: kinds,
      options: plan.kinds.map((one) => [one.id, one.name || one.id]),
      none: el("p.soft", {}, t`The plan has no kinds of send-outs: they come with a plan file.`),
    }),
  ];
}

function typed(node) {
  const { name, country, calendar, currency } = readForm(node);
  return { name: name ?? "", country: country ?? "", calendar, currency: currency?.toUpperCase() ?? null, kinds: ticked(node, "kinds") };
}

function kindText(kind, kinds) {
  return kinds.find(({ id }) => id === kind)?.name || kind;
}

function pastText(history) {
  return history.length ? many(history.length, "{n} past job", "{n} past jobs") : t`no past jobs`;
}

function pastJobs({ history, currency }, name, kinds) {
  const price = (amount) => (amount && currency ? formatExact(amount, currency) : amount || t`not known`);
  const ratio = ({ quoted_days: quoted, actual_days: actual }) => actual / quoted;
  return table({
    caption: t`Past jobs of ${name}`,
    rows: history,
    empty: t`No past job is on file. Until there is one, the quoted lead time is all there is to go by.`,
    columns: [
      { label: t`Work`, cell: ({ kind }) => kindText(kind, kinds), heading: true, sort: ({ kind }) => kindText(kind, kinds) },
      {
        label: t`Ordered`,
        cell: ({ ordered }) => (ordered ? formatDate(ordered) : t`no date`),
        sort: ({ ordered }) => ordered,
      },
      { label: t`Quoted days`, cell: (job) => formatNumber(job.quoted_days), numeric: true, sort: (job) => job.quoted_days },
      { label: t`Taken days`, cell: (job) => formatNumber(job.actual_days), numeric: true, sort: (job) => job.actual_days },
      { label: t`Taken for each quoted day`, cell: (job) => formatNumber(ratio(job)), numeric: true, sort: ratio },
      { label: t`First price`, cell: (job) => price(job.quoted_price), numeric: true, sort: (job) => Number(job.quoted_price ?? 0) },
      { label: t`Final price`, cell: (job) => price(job.final_price), numeric: true, sort: (job) => Number(job.final_price ?? 0) },
    ],
  });
}
