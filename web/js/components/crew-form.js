/**
 * The forms of the crew: people of a trade, what else they know, and new people.
 *
 * Rows of one label, calendar and number are the same people with several trades.
 */

import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { many, t } from "../lib/text.js";
import { tradeCode, tradeName, USUAL_TRADES } from "../lib/words.js";
import { addForm, calendarField, editForm, unfolding } from "./editing.js";
import { entryRows } from "./entry-rows.js";

/** A crew entry in the list. @returns {HTMLElement} */
export function crewEntry(sheet, row, { crew, calendars, afterwards }) {
  const name = row.label || tradeName(row.trade);
  const others = crew.filter((one) => one !== row && areSame(one, row)).map(({ trade }) => tradeName(trade));
  const who = `${tradeName(row.trade)}, ${many(row.people, "{n} person", "{n} people")}`;
  const about = others.length ? t`${who}; the same hands: ${others.join(", ")}` : who;
  const summary = [el("b", {}, name), " ", el("span.soft", {}, about)];
  const thing = {
    kind: "crew",
    key: row.key,
    path: sheet.path(`/crew/${encodeURIComponent(row.key)}`),
    name: `${name}, ${tradeName(row.trade)}`,
    version: row.version,
    canGo: true,
  };
  const tied = t`Known as the same people by label, number and calendar: change them in every row (here ${tradeName(row.trade)}, and ${others.join(", ")}).`;
  return unfolding(row.key, summary, () => {
    const rates = laterRates(sheet, row.rates);
    const fields = [others.length ? el("p.soft", {}, tied) : null, crewFields(sheet, row, calendars), rates.node];
    const read = (node) => ({ ...typed(node), rates: rates.read() });
    return [editForm(sheet, thing, fields, read, afterwards), sheet.readOnly ? null : secondTrade(sheet, row, name, afterwards)];
  });
}

/** A form for new people; they keep the project's calendar unless another is chosen. */
export function newCrew(sheet, { crew, calendars, project, afterwards }) {
  const what = {
    kind: "crew",
    path: "/crew",
    text: t`Add them`,
    needs: { trade: t`Trade: what do they do?` },
    called: ({ label, trade }) => label || tradeName(trade),
  };
  const fields = [el("div.fields", {}, tradeField(crew)), crewFields(sheet, { label: "", people: 1, calendar: project.calendar, rate: null }, calendars)];
  const node = addForm(sheet, what, fields, () => ({ trade: tradeCode(readForm(node).trade), ...typed(node) }), afterwards);
  return unfolding("new", el("b", {}, t`Add people`), node);
}

/** The same people in one more trade: a row of their own with the same label, number and calendar. */
function secondTrade(sheet, row, name, afterwards) {
  if (!row.label) return el("p.soft", {}, t`Who knows a second trade is told by the label: give these people one first.`);
  const what = {
    kind: "crew",
    path: "/crew",
    text: t`Add the trade`,
    needs: { trade: t`Another trade: what else does ${name} do?` },
    called: ({ trade }) => `${name}, ${tradeName(trade)}`,
  };
  const { label, people, calendar, rate, rates } = row;
  const read = () => ({ trade: tradeCode(readForm(node).trade), label, people, calendar, rate, rates });
  const node = addForm(sheet, what, el("div.fields", {}, tradeField([], t`Another trade of the same hands`)), read, afterwards);
  return node;
}

function tradeField(crew, label = t`Trade`) {
  const known = new Set([...USUAL_TRADES, ...crew.map(({ trade }) => tradeName(trade))]);
  return field({ label, name: "trade", suggestions: [...known], hint: t`Tasks ask for people by this word.`, attributes: { maxlength: 80 } });
}

function crewFields(sheet, { label, people, calendar, rate }, calendars) {
  return el(
    "div.fields",
    {},
    field({ label: t`Label`, name: "label", value: label, hint: t`Trade and number, no names of persons.` }),
    field({
      label: t`People`,
      name: "people",
      type: "number",
      value: people,
      attributes: { min: 0, max: 1000, step: 1, inputmode: "numeric" },
    }),
    calendarField(calendar, calendars, t`none yet: levelling asks for one`),
    field({
      label: t`Cost of an hour of one person, ${sheet.project.currency}`,
      name: "rate",
      value: rate,
      hint: t`0 for hands that are not paid; empty where it is not known.`,
      attributes: { inputmode: "decimal" },
    }),
  );
}

/** What an hour costs later on; the rate above holds until the first of them. */
function laterRates(sheet, rates) {
  const rows = entryRows({
    label: t`Later rates`,
    name: "rates",
    entries: rates,
    addText: t`Add a later rate`,
    hint: t`Each holds from its date on, until the next.`,
    parts: [
      { name: "on", label: t`From`, type: "date" },
      { name: "rate", label: t`Cost of an hour, ${sheet.project.currency}`, attributes: { inputmode: "decimal", maxlength: 24 } },
    ],
  });
  const read = () => rows.read().filter(({ on, rate }) => on || rate).map(({ on, rate }) => ({ on: on || null, rate }));
  return { node: rows.node, read };
}

function typed(node) {
  const { label, people, calendar, rate } = readForm(node);
  return { label: label ?? "", people: Number(people), calendar, rate };
}

function areSame(one, other) {
  return Boolean(one.label) && one.label === other.label && one.calendar === other.calendar && one.people === other.people;
}
