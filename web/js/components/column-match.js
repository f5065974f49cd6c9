/** Which column of a file holds what, and how it is to be read. */

import { el, fill } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { formatNumber } from "../lib/format.js";
import { many, t, told } from "../lib/text.js";

const EXISTING = [
  ["keep", t`Leave them aside`],
  ["update", t`Change them as the file says`],
];
/** How much a column is needed; in this order they are offered. */
const NEEDS = [t`Needed`, t`Needed for a new one`, t`May be left out`];
const CHOICES = {
  day_first: t`the day comes first`,
  month_first: t`the month comes first`,
  point: t`the point parts off the decimals`,
  comma: t`the comma parts off the decimals`,
};

/**
 * The fields of the second step; `ask` adds what the file does not tell.
 * @param {any} look What the service found in the file.
 * @param {(changed: {sheet?: string, header?: string}) => void} lookAgain
 */
export function columnFields(look, lookAgain) {
  const questions = el("div.stack", { role: "status" });
  const node = [
    el("div.fields", {}, look.sheets.length > 1 && sheetField(look, lookAgain), headField(look, lookAgain)),
    el("p.soft", {}, many(look.rows, "{n} row below the head.", "{n} rows below the head.")),
    el("ul.match-list", { role: "list", "aria-label": t`Columns of the file` }, look.columns.map((one) => matchLine(one, look.fields))),
    field({ label: t`Rows about what is in the plan already`, name: "existing", type: "select", options: EXISTING }),
    questions,
  ];
  const ask = (asked) => {
    fill(questions, asked.map(questionField));
    questions.querySelector("select").focus();
  };
  return { node, ask };
}

/** What was chosen, as the service wants it. @param {HTMLFormElement} form @param {any} look */
export function chosen(form, look) {
  const names = [];
  for (const { place } of look.columns) names[place] = form.elements[`column-${place}`].value;
  return {
    sheet: look.sheet,
    header: look.header,
    match: Array.from(names, (name) => name ?? "").join(","),
    existing: form.elements.existing.value,
    dates: form.elements.dates?.value,
    decimals: form.elements.decimals?.value,
  };
}

/** How a column is called. @param {string} name */
function columnWords(name) {
  return told(name.replaceAll("_", " "));
}

function sheetField({ sheets, sheet }, lookAgain) {
  const options = sheets.map((name, place) => [String(place), name]);
  const attributes = { onchange: ({ target }) => lookAgain({ sheet: target.value }) };
  return field({ label: t`Sheet`, name: "sheet", type: "select", value: sheet, options, attributes });
}

function headField({ top, rows_in_all: all, header, sheet }, lookAgain) {
  const options = top.map(({ row, cells }) => [String(row), t`Row ${row}: ${cells.filter(Boolean).join(" | ")}`]);
  const attributes = { onchange: ({ target }) => lookAgain({ sheet, header: target.value }) };
  const hint = all > top.length ? t`One of the first ${formatNumber(top.length)} of ${formatNumber(all)} rows.` : undefined;
  return field({ label: t`The head is`, name: "header", type: "select", value: header, options, hint, attributes });
}

function matchLine({ place, letter, heading, samples, match }, fields) {
  const name = heading || t`Column ${letter}`;
  const option = (one) => el("option", { value: one.name, selected: one.name === match }, columnWords(one.name));
  const groups = Map.groupBy(fields, need);
  const group = (label) => (groups.has(label) ? el("optgroup", { label }, groups.get(label).map(option)) : null);
  return el(
    "li",
    {},
    el("b", {}, name),
    el("span.samples", {}, samples.length ? samples.join(" · ") : t`nothing below it`),
    el("div.field", {}, el("select", { name: `column-${place}`, "aria-label": t`${name} is` }, el("option", { value: "" }, t`Left out`), NEEDS.map(group))),
  );
}

function need({ key, needed }) {
  if (key) return NEEDS[0];
  return NEEDS[needed ? 1 : 2];
}

function questionField({ about, choices, columns, example }) {
  const options = [["", t`Choose`], ...choices.map((one) => [one, CHOICES[one]])];
  const hint = t`What stands under ${columns.join(", ")} can be read both ways.`;
  return field({ label: t`In ${example}`, name: about, type: "select", options, hint, attributes: { required: true } });
}
