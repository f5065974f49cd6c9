/** Over and above: what was found after the budget was agreed, and what the owner said to it. */

import { el, when } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatExact, formatNumber } from "../lib/format.js";
import { many, t } from "../lib/text.js";
import { answerName } from "../lib/words.js";
import { nextId } from "./editing.js";
import { decisionForms } from "./money-decisions.js";
import { targetField, targetOf, targetRead } from "./money-target.js";

const DECIMAL = { inputmode: "decimal", maxlength: 24 };

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {import("./money-target.js").Targets} targets
 * @param {() => Promise<any>} afterwards
 * @returns {import("./money-lines.js").LineKind}
 */
export function askedKind(sheet, targets, afterwards) {
  const currency = (one) => one.currency ?? sheet.project.currency;
  return {
    kind: "over_and_above",
    path: "/over-and-above",
    caption: t`Asked for over and above the budget`,
    nothing: t`Nothing was asked for over and above the budget. What is found later and costs more goes here, and waits for the owner's yes.`,
    addText: t`Ask for a yes`,
    needs: { name: t`Name: what was found, and what is to be done?`, asked_on: t`Asked on: when?` },
    called: (one) => one.name,
    text: (one) => [one.name, one.id, answerName(one.state), one.reason, targetOf(one, targets)].join(" "),
    columns: [
      { label: t`Amount`, cell: (one) => formatExact(one.amount, currency(one)), sort: (one) => Number(one.amount), numeric: true },
      { label: t`Hours`, cell: (one) => (Number(one.hours) ? formatNumber(Number(one.hours)) : ""), sort: (one) => Number(one.hours), numeric: true },
      { label: t`Asked on`, cell: (one) => when(one.asked_on), sort: (one) => one.asked_on },
      { label: t`Answer`, cell: answerOf, sort: (one) => answerName(one.state) },
      { label: t`Reason`, cell: (one) => one.reason },
    ],
    fresh: (rows) => ({ id: nextId("A", rows), name: "", asked_on: sheet.project.as_of, amount: "", currency: null, hours: "0", chapter: null, task: null, send_out: null }),
    isFixed: (one) => sheet.readOnly || one.state !== "waiting",
    more: (one) => said(sheet, one, currency(one), targets, afterwards),
    form: (one) => ({
      fields: el(
        "div.fields",
        {},
        field({ label: t`What was found, what is to be done`, name: "name", value: one.name, attributes: { maxlength: 200 } }),
        field({ label: t`Asked on`, name: "asked_on", type: "date", value: one.asked_on }),
        field({ label: t`Amount`, name: "amount", value: one.amount, attributes: DECIMAL }),
        field({ label: t`Currency`, name: "currency", value: currency(one), attributes: { maxlength: 3 } }),
        field({ label: t`Hours`, name: "hours", value: one.hours, hint: t`Of the shop, beside the amount.`, attributes: DECIMAL }),
        field({ label: t`Chapter`, name: "chapter", value: one.chapter, hint: t`Two digits, such as 85.`, attributes: { maxlength: 80 } }),
        targetField(one, targets),
      ),
      typed: (node) => {
        const { name, asked_on: on, amount, currency: code, hours, chapter } = readForm(node);
        const own = code?.toUpperCase() ?? null;
        return { name: name ?? "", asked_on: on, amount: amount ?? "0", currency: own === sheet.project.currency ? null : own, hours: hours ?? "0", chapter, ...targetRead(node) };
      },
    }),
  };
}

function answerOf({ state, decided_on: on, decided_by: by }) {
  const words = el(state === "waiting" ? "span.stamp.held" : "span", {}, answerName(state));
  if (!on) return words;
  return by ? t`${words} on ${when(on)} by ${by}` : t`${words} on ${when(on)}`;
}

/** What it is and what was said; who may decide can decide otherwise. */
function said(sheet, one, currency, targets, afterwards) {
  const facts = [
    [t`Amount`, formatExact(one.amount, currency)],
    Number(one.hours) ? [t`Hours`, formatNumber(Number(one.hours))] : null,
    [t`Belongs to`, [one.chapter, targetOf(one, targets)].filter(Boolean).join(", ") || t`nothing in particular`],
    [t`Asked on`, when(one.asked_on)],
    [t`Answer`, answerOf(one)],
    one.reason ? [t`Reason`, one.reason] : null,
  ].filter(Boolean);
  const isWaiting = one.state === "waiting";
  return [
    isWaiting && !sheet.readOnly ? null : el("dl.facts", {}, facts.map(([label, value]) => [el("dt", {}, label), el("dd", {}, value)])),
    sheet.mayDecide && !isWaiting ? [el("p", {}, t`It can be decided otherwise:`), decisionForms(sheet, { ...one, currency }, afterwards)] : null,
  ];
}

/** How many were asked for, and how many wait. @param {any[]} items */
export function askedLine(items) {
  if (!items.length) return t`Nothing was asked for.`;
  const [waiting, approved, declined] = ["waiting", "approved", "declined"].map((state) => items.filter((one) => one.state === state).length);
  const parts = [
    waiting && many(waiting, "{n} waits for a yes", "{n} wait for a yes"),
    approved && t`${formatNumber(approved)} approved`,
    declined && t`${formatNumber(declined)} declined`,
  ];
  return `${parts.filter(Boolean).join(", ")}.`;
}
