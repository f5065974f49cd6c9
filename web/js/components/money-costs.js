/** Cost lines: what each costs, how far it has come, what is paid of it. */

import { compare, minus, sum } from "../lib/amounts.js";
import { datedText, el, when } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatExact, formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { nextId } from "./editing.js";
import { entryRows } from "./entry-rows.js";
import { targetField, targetOf, targetRead } from "./money-target.js";

/** How far a cost has come, in order. */
const STATES = { estimate: t`Estimate`, quoted: t`Quoted`, ordered: t`Ordered`, invoiced: t`Billed`, paid: t`Paid` };

export const KIND_OPTIONS = [
  ["material", t`Material`],
  ["vendor", t`Work outside`],
  ["labour", t`Labour`],
  ["freight", t`Freight`],
  ["duty", t`Duty`],
  ["standing", t`Standing cost`],
  ["contingency", t`Kept back`],
  ["other", t`Something else`],
];

const DUE_AT = [
  ["date", t`on a date`],
  ["order", t`the order`],
  ["approved", t`the approved price`],
  ["left_vendor", t`leaving the vendor`],
  ["accepted", t`being accepted`],
];
const DECIMAL = { inputmode: "decimal", maxlength: 24 };

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {import("./money-target.js").Targets} targets
 * @param {(id: string) => string[]} flagsOf Sentences about a line.
 * @returns {import("./money-lines.js").LineKind}
 */
export function costKind(sheet, targets, flagsOf) {
  const called = (one) => one.name || one.document || one.id;
  const belongs = (one) => [one.chapter, targetOf(one, targets)].filter(Boolean).join(", ");
  return {
    kind: "cost",
    path: "/costs",
    caption: t`Every cost line`,
    nothing: t`No cost is entered yet. Quotes, orders, bills and payments stand here, each in its own currency.`,
    addText: t`Add a cost`,
    needs: { name: t`Name: what is it for?`, amount: t`Amount: what does it cost?` },
    called,
    under: (one) => one.document,
    text: (one) => [called(one), one.id, one.document, STATES[one.state], one.currency, belongs(one), ...flagsOf(one.id)].join(" "),
    columns: [
      { label: t`Stands at`, cell: (one) => STATES[one.state] ?? one.state, sort: (one) => Object.keys(STATES).indexOf(one.state) },
      { label: t`Amount`, cell: (one) => formatExact(one.amount, one.currency), sort: (one) => Number(one.amount), numeric: true },
      { label: t`Paid of it`, cell: (one) => (compare(paidOf(one)) ? formatExact(paidOf(one), one.currency) : ""), sort: (one) => Number(paidOf(one)), numeric: true },
      { label: t`Date`, cell: (one) => (one.on ? when(one.on) : ""), sort: (one) => one.on },
      { label: t`Belongs to`, cell: (one) => el("span.wide", {}, belongs(one)), sort: belongs },
      { label: t`Worth a look`, cell: (one) => flagsOf(one.id).map((text) => el("p.flag", {}, datedText(text))) },
    ],
    form: (one) => costForm(sheet, one, targets),
    fresh: (rows) => ({ id: nextId("C", rows), name: "", kind: "other", state: "estimate", amount: "", currency: sheet.project.currency, on: null, payments: [], dues: [], earlier: [], document: "" }),
    more: (one) => [flagList(flagsOf(one.id)), earlierSteps(one)],
  };
}

/** What is paid; a paid line without payments is paid in full. @param {any} one */
function paidOf({ state, amount, payments = [] }) {
  if (payments.length) return sum(payments.map((each) => each.amount));
  return state === "paid" ? String(amount) : "0";
}

function flagList(sentences) {
  return sentences.length ? el("ul.flags", { role: "list" }, sentences.map((text) => el("li", {}, datedText(text)))) : null;
}

function earlierSteps({ earlier = [], state, amount, currency, on, document: number }) {
  if (!earlier.length) return null;
  const rows = [...earlier, { state, amount, on, document: number }];
  const moved = ({ amount: now }, at) => (at ? minus(now, rows[at - 1].amount) : "0");
  return el(
    "details.behind",
    {},
    el("summary", {}, many(rows.length, "How it came to this amount ({n} step)", "How it came to this amount ({n} steps)")),
    table({
      caption: t`Earlier steps and now`,
      hideCaption: true,
      rows: rows.map((one, at) => ({ ...one, moved: moved(one, at) })),
      columns: [
        { label: t`Stood at`, cell: (one) => STATES[one.state] ?? one.state, heading: true },
        { label: t`Date`, cell: (one) => (one.on ? when(one.on) : t`no date`) },
        { label: t`Amount`, cell: (one) => formatExact(one.amount, currency), numeric: true },
        { label: t`Moved`, cell: (one) => (compare(one.moved) ? `${compare(one.moved) > 0 ? "+" : ""}${formatExact(one.moved, currency)}` : ""), numeric: true },
        { label: t`Document`, cell: (one) => one.document },
      ],
    }),
  );
}

function costForm(sheet, one, targets) {
  const payments = entryRows({
    label: t`Payments`,
    name: "payments",
    entries: one.payments,
    addText: t`Add a payment`,
    hint: t`In the currency of the line. A line that is paid needs none if it was paid at once.`,
    parts: [
      { name: "on", label: t`Date`, type: "date" },
      { name: "amount", label: t`Amount`, attributes: DECIMAL },
      { name: "in_kind", label: t`Given instead of money`, attributes: { maxlength: 200 } },
    ],
  });
  const dues = entryRows({
    label: t`When it falls due`,
    name: "dues",
    entries: one.dues,
    addText: t`Add a due part`,
    hint: t`Parts of the amount that fall due so many days after something happens.`,
    parts: [
      { name: "percent", label: t`Percent`, attributes: DECIMAL },
      { name: "days", label: t`Days after`, type: "number", attributes: { step: 1, inputmode: "numeric" } },
      { name: "at", label: t`What happens`, type: "select", options: DUE_AT },
      { name: "on", label: t`Date, if on a date`, type: "date" },
    ],
  });
  const fields = [
    el(
      "div.fields",
      {},
      field({ label: t`Name`, name: "name", value: one.name, attributes: { maxlength: 200 } }),
      field({ label: t`Stands at`, name: "state", type: "select", value: one.state, options: Object.entries(STATES) }),
      field({ label: t`Amount`, name: "amount", value: one.amount, attributes: DECIMAL }),
      field({ label: t`Currency`, name: "currency", value: one.currency, hint: t`Three letters, such as GBP.`, attributes: { maxlength: 3 } }),
      field({ label: t`Date`, name: "on", type: "date", value: one.on, hint: t`Of the quote, order, bill or payment.` }),
      field({ label: t`Number of the document`, name: "document", value: one.document, attributes: { maxlength: 200 } }),
      field({ label: t`Sort`, name: "kind", type: "select", value: one.kind, options: KIND_OPTIONS }),
      field({ label: t`Chapter`, name: "chapter", value: one.chapter, hint: t`Two digits, such as 85.`, attributes: { maxlength: 80 } }),
      targetField(one, targets),
    ),
    part(t`Payments`, one.payments.length, payments.node),
    part(t`When it falls due`, one.dues.length, dues.node),
  ];
  return {
    fields,
    typed: (node) => {
      const { name, state, amount, currency, on, document: number, kind, chapter } = readForm(node);
      return {
        name: name ?? "",
        state,
        amount: amount ?? "",
        currency: currency?.toUpperCase() ?? "",
        on,
        document: number ?? "",
        kind,
        chapter,
        ...targetRead(node),
        payments: payments.read().filter(isFilled("amount")),
        dues: dues.read().filter(isFilled("percent")).map((due) => ({ percent: due.percent, at: due.at, days: Number(due.days || 0), on: due.on || null })),
      };
    },
  };
}

function isFilled(name) {
  return (row) => Boolean(row[name]);
}

function part(title, count, content) {
  return el("details.entry-part", { open: count > 0 }, el("summary", {}, count ? `${title} (${count})` : title), content);
}

/** How many lines there are, and how many are worth a look. @param {any[]} lines @param {any[]} flags */
export function costLine(lines, flags) {
  if (!lines.length) return t`None yet.`;
  const odd = new Set(flags.map(({ of }) => of));
  const count = lines.filter(({ id }) => odd.has(id)).length;
  const all = many(lines.length, "{n} line", "{n} lines");
  return count ? t`${all}, ${formatNumber(count)} worth a look.` : `${all}.`;
}
