/** The other lists of money: budget, money that comes in, hours, exchange rates. */

import { sum } from "../lib/amounts.js";
import { el, when } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatExact, formatNumber } from "../lib/format.js";
import { tradeName } from "../lib/words.js";
import { nextId } from "./editing.js";
import { KIND_OPTIONS } from "./money-costs.js";

const DECIMAL = { inputmode: "decimal", maxlength: 24 };
/** As the service calls the chapter of what is not shared out among the chapters. */
const WHOLE = "whole";
const AGAIN = [
  [0, "once"],
  [1, "every month"],
  [2, "every two months"],
  [3, "every quarter"],
  [6, "every half year"],
  [12, "every year"],
];

/** @param {import("../lib/sheet.js").Sheet} sheet @returns {import("./money-lines.js").LineKind} */
export function budgetKind(sheet) {
  const kindName = (kind) => KIND_OPTIONS.find(([key]) => key === kind)?.[1] ?? kind;
  return {
    kind: "budget_line",
    path: "/budget",
    caption: "Budget lines",
    nothing: "No budget is set. Give each chapter what was agreed for it; what is kept back for surprises is a line of its own.",
    addText: "Add a budget line",
    needs: { chapter: "Chapter: which one is the money for?", amount: "Amount: how much was agreed?" },
    called: (one) => one.name || `Chapter ${one.chapter}`,
    text: (one) => [one.chapter, one.name, kindName(one.kind)].join(" "),
    columns: [
      { label: "Chapter", cell: (one) => (one.chapter === WHOLE ? "not shared out" : one.chapter), sort: (one) => one.chapter },
      { label: "Sort", cell: (one) => kindName(one.kind), sort: (one) => kindName(one.kind) },
      { label: "Amount", cell: (one) => formatExact(one.amount, one.currency), sort: (one) => Number(one.amount), numeric: true },
    ],
    fresh: () => ({ chapter: "", name: "", kind: "other", amount: "", currency: sheet.project.currency }),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        one.key ? null : field({ label: "Chapter", name: "chapter", value: one.chapter, hint: "Two digits, such as 85.", attributes: { maxlength: 80 } }),
        field({ label: "Name", name: "name", value: one.name, attributes: { maxlength: 200 } }),
        field({ label: "Sort", name: "kind", type: "select", value: one.kind, options: KIND_OPTIONS }),
        field({ label: "Amount", name: "amount", value: one.amount, attributes: DECIMAL }),
        field({ label: "Currency", name: "currency", value: one.currency, attributes: { maxlength: 3 } }),
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
  const again = ({ every_months: months }) => AGAIN.find(([count]) => count === months)?.[1] ?? `every ${months} months`;
  return {
    kind: "funding",
    path: "/funding",
    caption: "Money that comes in",
    nothing: "No money is entered that comes in. What the owner pays each month belongs here; then this says how long it lasts.",
    addText: "Add money that comes in",
    needs: { name: "Name: who pays it?", on: "From: when does it come?", amount: "Amount: how much?" },
    called: (one) => one.name || one.id,
    text: (one) => [one.name, one.id].join(" "),
    columns: [
      { label: "Amount", cell: (one) => formatExact(one.amount, sheet.project.currency), sort: (one) => Number(one.amount), numeric: true },
      { label: "How often", cell: again, sort: (one) => one.every_months },
      { label: "From", cell: (one) => when(one.on), sort: (one) => one.on },
      { label: "Until", cell: (one) => (one.every_months ? (one.until ? when(one.until) : "no end") : ""), sort: (one) => one.until },
    ],
    fresh: (rows) => ({ id: nextId("F", rows), name: "", on: null, amount: "", every_months: 0, until: null }),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        field({ label: "Name", name: "name", value: one.name, attributes: { maxlength: 200 } }),
        field({ label: `Amount, ${sheet.project.currency}`, name: "amount", value: one.amount, attributes: DECIMAL }),
        field({ label: "From", name: "on", type: "date", value: one.on }),
        field({ label: "How often", name: "every_months", type: "select", value: one.every_months, options: oftenOptions(one.every_months) }),
        field({ label: "Until", name: "until", type: "date", value: one.until, hint: "Empty: without an end." }),
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
  return known.some(([count]) => count === String(months)) ? known : [...known, [String(months), `every ${months} months`]];
}

/** @param {import("../lib/sheet.js").Sheet} sheet @param {import("./money-target.js").Targets} targets @returns {import("./money-lines.js").LineKind} */
export function hoursKind(sheet, { tasks }) {
  const taskName = (id) => tasks.find(([known]) => known === id)?.[1] ?? id;
  const who = (one) => one.label || (one.trade ? tradeName(one.trade) : "");
  return {
    kind: "hours_worked",
    path: "/hours",
    caption: "Hours worked",
    nothing: "No hours are entered yet. Labour that is done is reckoned from the planned hours until they are; they are entered on Today, on the card of the work.",
    addText: "Add hours",
    needs: { task: "Work: on which piece was it?", on: "Date: when?", hours: "Hours: how many?" },
    called: (one) => taskName(one.task),
    text: (one) => [taskName(one.task), one.task, who(one)].join(" "),
    columns: [
      { label: "Date", cell: (one) => when(one.on), sort: (one) => one.on },
      { label: "Hours", cell: (one) => formatNumber(Number(one.hours)), sort: (one) => Number(one.hours), numeric: true },
      { label: "Who", cell: who, sort: who },
    ],
    fresh: (rows) => ({ id: nextId("H", rows), task: "", on: sheet.project.as_of, hours: "", trade: null, label: "" }),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        field({ label: "Work", name: "task", type: "select", value: one.task, options: [["", "choose"], ...tasks] }),
        field({ label: "Date", name: "on", type: "date", value: one.on }),
        field({ label: "Hours", name: "hours", value: one.hours, attributes: DECIMAL }),
        field({ label: "Who", name: "label", value: one.label, hint: "As the crew has it: trade and number, no names of persons.", attributes: { maxlength: 200 } }),
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
    caption: "Exchange rates",
    nothing: "No exchange rate is entered.",
    addText: "Add a rate",
    needs: { currency: "Currency: which one?", on: "From: since when?", rate: "Rate: what is one of it worth?" },
    called: (one) => one.currency,
    text: (one) => [one.currency, one.on].join(" "),
    columns: [
      { label: "From", cell: (one) => when(one.on), sort: (one) => one.on },
      { label: `One of it in ${own}`, cell: (one) => one.rate, sort: (one) => Number(one.rate), numeric: true },
    ],
    fresh: () => ({ currency: "", on: sheet.project.as_of, rate: "" }),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        one.key ? null : field({ label: "Currency", name: "currency", value: one.currency, hint: "Three letters, such as GBP.", attributes: { maxlength: 3 } }),
        field({ label: "From", name: "on", type: "date", value: one.on, hint: "It holds until the next one." }),
        field({ label: `What one of it is worth, ${own}`, name: "rate", value: one.rate, attributes: DECIMAL }),
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
  return rows.length ? `${formatNumber(Number(sum(rows.map((one) => one.hours))))} hours.` : "None yet.";
}
