/** A new project, steps 2 and 3: the calendar of the shop, its people and its places. */

import { el, freshId } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { formatNumber, regionName, weekdayNames } from "../lib/format.js";
import { many, t } from "../lib/text.js";
import { tradeCode, tradeName, USUAL_TRADES } from "../lib/words.js";
import { freeId, unfolding } from "./editing.js";
import { entryRows } from "./entry-rows.js";

const DAYS = weekdayNames();

/** Step 2. @param {any} offer @param {any} told */
export function calendarStep(offer, told) {
  const closed = entryRows({
    label: t`Closed`,
    name: "closed",
    entries: (told.closed ?? []).map(([from, to]) => ({ from, to })),
    addText: t`Add a closed time`,
    hint: t`Summer, Christmas: first and last day.`,
    parts: [
      { name: "from", label: t`First day`, type: "date" },
      { name: "to", label: t`Last day`, type: "date" },
    ],
  });
  const node = [
    el("p.soft", {}, t`When the shop is open. Whoever keeps other days gets them in the next step.`),
    weekFields("week", t`Hours of the week`, told.week),
    field({
      label: t`Public holidays of`,
      name: "holidays",
      type: "select",
      value: told.holidays ?? "",
      options: [["", t`none`], ...countries(offer.countries)],
      hint: t`A part of a country can be named in Settings.`,
    }),
    closed.node,
  ];
  const read = (form) => ({
    week: readWeek(form.querySelector("[data-field='week']")),
    holidays: form.elements.holidays.value || null,
    closed: closed.read().filter(({ from, to }) => from || to).map(({ from, to }) => [from, to]),
  });
  return { node, read };
}

/** Step 3. @param {any} offer @param {any} told */
export function crewStep(offer, told) {
  const lines = el("div.things", {}, told.crew.map((line) => crewLine(line, told.currency)));
  const another = el("button.button", { type: "button" }, t`Add people`);
  another.addEventListener("click", () => {
    const made = crewLine({ label: "", trades: [], people: 1, hours: told.week, rate: null }, told.currency);
    made.open = true;
    lines.append(made);
    made.querySelector("input").focus();
  });
  const places = entryRows({
    label: t`Places`,
    name: "places",
    entries: told.places,
    addText: t`Add a place`,
    hint: t`Bays, jigs and booths that only so much work can use at once.`,
    parts: [
      { name: "name", label: t`Place`, attributes: { maxlength: 500 } },
      { name: "capacity", label: t`How many at once`, type: "number", attributes: { min: 0, max: 1000, step: 1, inputmode: "numeric" } },
      { name: "id", label: "", type: "hidden" },
    ],
  });
  const node = [
    el("p.soft", {}, t`An invented crew, with every trade that the method cards ask for: put your own in its place. Trade and number, no names of persons. Its hours are those that reach this aircraft, not those of the shop: other jobs, the telephone and cleaning take the rest.`),
    el("div", { "data-field": "crew" }, lines),
    el("div.button-row", {}, another),
    places.node,
  ];
  const read = () => ({ crew: readCrew(lines), places: readPlaces(places.read()) });
  return { node, read };
}

function crewLine(line, currency) {
  const [first, second] = line.trades;
  const summary = el("span");
  const content = [
    el(
      "div.fields",
      {},
      field({ label: t`Label`, name: "label", value: line.label, attributes: { maxlength: 200 } }),
      field({ label: t`Trade`, name: "trades", value: first ? tradeName(first) : "", suggestions: USUAL_TRADES, attributes: { maxlength: 80 } }),
      field({ label: t`Second trade`, name: "second", value: second ? tradeName(second) : "", suggestions: USUAL_TRADES, hint: t`Empty: none.`, attributes: { maxlength: 80 } }),
      field({ label: t`People`, name: "people", type: "number", value: line.people, attributes: { min: 1, max: 1000, step: 1, inputmode: "numeric" } }),
      field({ label: t`Cost of an hour of one person, ${currency}`, name: "rate", value: line.rate, hint: t`0: not paid; empty: as the trade, asked in the next step.`, attributes: { inputmode: "decimal", maxlength: 24 } }),
    ),
    weekFields("hours", t`Hours of each of them that reach this aircraft`, line.hours),
    goneButton(),
  ];
  const node = unfolding(line.label || "new", summary, content);
  node.dataset.entry = "";
  const say = () => summary.replaceChildren(...crewWords(readLine(node)));
  node.addEventListener("input", say);
  node.querySelector("[data-gone]").addEventListener("click", () => {
    const next = node.nextElementSibling?.querySelector("summary") ?? node.closest("[data-field]").nextElementSibling;
    const { form } = node.querySelector("input");
    node.remove();
    next.focus();
    form.dispatchEvent(new Event("change"));
  });
  say();
  return node;
}

function goneButton() {
  return el("div.button-row", {}, el("button.button.plain", { type: "button", "data-gone": true }, t`Take out`));
}

function crewWords({ label, trades, people, hours, rate }) {
  const week = hours.reduce((sum, one) => sum + one, 0);
  const parts = [
    trades.map(tradeName).join(" + ") || t`no trade yet`,
    many(people, "{n} person", "{n} people"),
    t`${formatNumber(week)} h a week`,
    rate === null ? "" : t`${rate} an hour`,
  ].filter(Boolean);
  return [el("b", {}, label || t`New people`), el("span.soft", {}, ` ${parts.join(", ")}`)];
}

function readLine(node) {
  const value = (name) => node.querySelector(`[name='${name}']`).value.trim();
  return {
    label: value("label"),
    trades: [value("trades"), value("second")].map(tradeCode).filter(Boolean),
    people: Number(value("people")),
    hours: readWeek(node.querySelector(".week")),
    rate: value("rate") || null,
  };
}

/** The lines as they stand; each field learns the place that a refusal will name. */
function readCrew(lines) {
  return [...lines.children].map((node, index) => {
    for (const name of ["label", "trades", "people", "rate"]) {
      node.querySelector(`[name='${name}']`).closest(".field").dataset.field = `crew[${index}].${name}`;
    }
    node.querySelector(".week").closest("fieldset").dataset.field = `crew[${index}].hours`;
    return readLine(node);
  });
}

function readPlaces(rows) {
  const found = [];
  for (const { id, name, capacity } of rows) {
    if (name) found.push({ id: id || freeId(name, found), name, capacity: Number(capacity || 1) });
  }
  return found;
}

function weekFields(name, label, hours) {
  const day = (text, index) => {
    const id = freshId(name);
    const attributes = { type: "number", min: 0, max: 24, step: 0.25, inputmode: "decimal" };
    return el("div.field", { "data-entry": true }, el("label", { for: id }, text), el("input", { id, value: hours[index] ?? 0, ...attributes }));
  };
  return el("fieldset", { "data-field": name }, el("legend.label", {}, label), el("div.week", {}, DAYS.map(day)));
}

function readWeek(node) {
  return [...node.querySelectorAll("input")].map(({ value }) => Number(value || 0));
}

/** Codes with names in the reader's language, by name. */
function countries(codes) {
  return codes.map((code) => [code, regionName(code)]).sort(([, one], [, other]) => one.localeCompare(other));
}
