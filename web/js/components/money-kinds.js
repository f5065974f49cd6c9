/** The other lists of money: budget, money that comes in, hours, exchange rates. */

import { sum } from "../lib/amounts.js";
import { el, when } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatExact, formatNumber } from "../lib/format.js";
import { many, t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { nextId } from "./editing.js";
import { KIND_OPTIONS } from "./money-costs.js";

const DECIMAL = { inputmode: "decimal", maxlength: 24 };
/** As the service calls the chapter of what is not shared out among the chapters. */
const WHOLE = "whole";
const AGAIN = [
  [0, t`once`],
  [1, t`every month`],
  [2, t`every two months`],
  [3, t`every quarter`],
  [6, t`every half year`],
  [12, t`every year`],
];

/** @param {import("../lib/sheet.js").Sheet} sheet @returns {import("./money-lines.js").LineKind} */
export function budgetKind(sheet) {
  const kindName = (kind) => KIND_OPTIONS.find(([key]) => key === kind)?.[1] ?? kind;
  return {
    kind: "budget_line",
    path: "/budget",
    caption: t`Budget lines`,
    nothing: t`No budget is set. Give each chapter what was agreed for it; what is kept back for surprises is a line of its own.`,
    addText: t`Add a budget line`,
    needs: { chapter: t`Chapter: which one is the money for?`, amount: t`Amount: how much was agreed?` },
    called: (one) => one.name || t`Chapter ${one.chapter}`,
    text: (one) => [one.chapter, one.name, kindName(one.kind)].join(" "),
    columns: [
      { label: t`Chapter`, cell: (one) => (one.chapter === WHOLE ? t`not shared out` : one.chapter), sort: (one) => one.chapter },
      { label: t`Sort`, cell: (one) => kindName(one.kind), sort: (one) => kindName(one.kind) },
      { label: t`Amount`, cell: (one) => formatExact(one.amount, one.currency), sort: (one) => Number(one.amount), numeric: true },
    ],
    fresh: () => ({ chapter: "", name: "", kind: "other", amount: "", currency: sheet.project.currency }),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        one.key ? null : field({ label: t`Chapter`, name: "chapter", value: one.chapter, hint: t`Two digits, such as 85.`, attributes: { maxlength: 80 } }),
        field({ label: t`Name`, name: "name", value: one.name, attributes: { maxlength: 200 } }),
        field({ label: t`Sort`, name: "kind", type: "select", value: one.kind, options: KIND_OPTIONS }),
        field({ label: t`Amount`, name: "amount", value: one.amount, attributes: DECIMAL }),
        field({ label: t`Currency`, name: "currency", value: one.currency, attributes: { maxlength: 3 } }),
      ),
      typed: (node) => {
        const { chapter, name, kind, amount, currency } = readForm(node);
        return { ...(one.key ? {} : { chapter }), name: name ?? "", kind, amount: amount ?? "", currency: currency?.toUpperCase() ?? "" };
      },
    }),
  };
}

/** @param {import("../lib/sheet.js").Sheet} sheet @returns {import("./money-lines.js").LineKind} */
export function fundingKind(sheet) {
  const again = ({ every_months: months }) => AGAIN.find(([count]) => count === months)?.[1] ?? everyMonths(months);
  return {
    kind: "funding",
    path: "/funding",
    caption: t`Money that comes in`,
    nothing: t`No money is entered that comes in. What the owner pays each month belongs here; then this says how long it lasts.`,
    addText: t`Add money that comes in`,
    needs: { name: t`Name: who pays it?`, on: t`From: when does it come?`, amount: t`Amount: how much?` },
    called: (one) => one.name || one.id,
    text: (one) => [one.name, one.id].join(" "),
    columns: [
      { label: t`Amount`, cell: (one) => formatExact(one.amount, sheet.project.currency), sort: (one) => Number(one.amount), numeric: true },
      { label: t`How often`, cell: again, sort: (one) => one.every_months },
      { label: t`From`, cell: (one) => when(one.on), sort: (one) => one.on },
      { label: t`Until`, cell: (one) => (one.every_months ? (one.until ? when(one.until) : t`no end`) : ""), sort: (one) => one.until },
    ],
    fresh: (rows) => ({ id: nextId("F", rows), name: "", on: null, amount: "", every_months: 0, until: null }),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        field({ label: t`Name`, name: "name", value: one.name, attributes: { maxlength: 200 } }),
        field({ label: t`Amount, ${sheet.project.currency}`, name: "amount", value: one.amount, attributes: DECIMAL }),
        field({ label: t`From`, name: "on", type: "date", value: one.on }),
        field({ label: t`How often`, name: "every_months", type: "select", value: one.every_months, options: oftenOptions(one.every_months) }),
        field({ label: t`Until`, name: "until", type: "date", value: one.until, hint: t`Empty: without an end.` }),
      ),
      typed: (node) => {
        const { name, amount, on, every_months: months, until } = readForm(node);
        return { name: name ?? "", amount: amount ?? "", on, every_months: Number(months), until };
      },
    }),
  };
}

function oftenOptions(months) {
  const known = AGAIN.map(([count, text]) => [String(count), text]);
  return known.some(([count]) => count === String(months)) ? known : [...known, [String(months), everyMonths(months)]];
}

function everyMonths(months) {
  return many(months, "every {n} month", "every {n} months");
}

/** @param {import("../lib/sheet.js").Sheet} sheet @param {import("./money-target.js").Targets} targets @returns {import("./money-lines.js").LineKind} */
export function hoursKind(sheet, { tasks }) {
  const taskName = (id) => tasks.find(([known]) => known === id)?.[1] ?? id;
  const who = (one) => one.label || (one.trade ? tradeName(one.trade) : "");
  return {
    kind: "hours_worked",
    path: "/hours",
    caption: t`Hours worked`,
    nothing: t`No hours are entered yet. Labour that is done is reckoned from the planned hours until they are; they are entered on Today, on the card of the work.`,
    addText: t`Add hours`,
    needs: { task: t`Work: on which piece was it?`, on: t`Date: when?`, hours: t`Hours: how many?` },
    called: (one) => taskName(one.task),
    text: (one) => [taskName(one.task), one.task, who(one)].join(" "),
    columns: [
      { label: t`Date`, cell: (one) => when(one.on), sort: (one) => one.on },
      { label: t`Hours`, cell: (one) => formatNumber(Number(one.hours)), sort: (one) => Number(one.hours), numeric: true },
      { label: t`Who`, cell: who, sort: who },
    ],
    fresh: (rows) => ({ id: nextId("H", rows), task: "", on: sheet.project.as_of, hours: "", trade: null, label: "" }),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        field({ label: t`Work`, name: "task", type: "select", value: one.task, options: [["", t`choose`], ...tasks] }),
        field({ label: t`Date`, name: "on", type: "date", value: one.on }),
        field({ label: t`Hours`, name: "hours", value: one.hours, attributes: DECIMAL }),
        field({ label: t`Who`, name: "label", value: one.label, hint: t`As the crew has it: trade and number, no names of persons.`, attributes: { maxlength: 200 } }),
      ),
      typed: (node) => {
        const { task, on, hours, label } = readForm(node);
        return { task: task ?? "", on, hours: hours ?? "", label: label ?? "" };
      },
    }),
  };
}

/** @param {import("../lib/sheet.js").Sheet} sheet @returns {import("./money-lines.js").LineKind} */
export function rateKind(sheet) {
  const own = sheet.project.currency;
  return {
    kind: "exchange_rate",
    path: "/exchange-rates",
    caption: t`Exchange rates`,
    nothing: t`No exchange rate is entered.`,
    addText: t`Add a rate`,
    needs: { currency: t`Currency: which one?`, on: t`From: since when?`, rate: t`Rate: what is one of it worth?` },
    called: (one) => one.currency,
    text: (one) => [one.currency, one.on].join(" "),
    columns: [
      { label: t`From`, cell: (one) => when(one.on), sort: (one) => one.on },
      { label: t`One of it in ${own}`, cell: (one) => one.rate, sort: (one) => Number(one.rate), numeric: true },
    ],
    fresh: () => ({ currency: "", on: sheet.project.as_of, rate: "" }),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        one.key ? null : field({ label: t`Currency`, name: "currency", value: one.currency, hint: t`Three letters, such as GBP.`, attributes: { maxlength: 3 } }),
        field({ label: t`From`, name: "on", type: "date", value: one.on, hint: t`It holds until the next one.` }),
        field({ label: t`What one of it is worth, ${own}`, name: "rate", value: one.rate, attributes: DECIMAL }),
      ),
      typed: (node) => {
        const { currency, on, rate } = readForm(node);
        return { ...(one.key ? {} : { currency: currency?.toUpperCase() ?? null }), on, rate: rate ?? "" };
      },
    }),
  };
}

/** How many hours there are. @param {any[]} rows */
export function hoursLine(rows) {
  return rows.length ? `${many(Number(sum(rows.map((one) => one.hours))), "{n} hour", "{n} hours")}.` : t`None yet.`;
}
