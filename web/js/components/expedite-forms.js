/** Ways to have something done in fewer days for a price: the list, and the form of each. */

import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatDays, formatMoney } from "../lib/format.js";
import { t } from "../lib/text.js";
import { addForm, editForm, nextId, unfolding } from "./editing.js";
import { LEG_WORDS } from "./leg-strip.js";

const KINDS = [
  ["overtime", t`Overtime`],
  ["second_shift", t`Second shift`],
  ["fee", t`Expedite fee at the vendor`],
  ["air_freight", t`Air freight`],
  ["exchange_unit", t`Exchange unit`],
  ["other", t`Something else`],
];
const LEGS = Object.entries(LEG_WORDS).filter(([leg]) => leg !== "return");

/**
 * @typedef {object} Targets What can be done in fewer days, as [id, name] pairs.
 * @property {[string, string][]} tasks
 * @property {[string, string][]} items
 */

/**
 * An expedite in the list, unfolding into its form.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any} one A line of GET expedites.
 * @param {Targets} targets
 * @param {() => Promise<void>} afterwards
 * @returns {HTMLElement}
 */
export function expediteEntry(sheet, one, targets, afterwards) {
  const thing = {
    kind: "expedite",
    key: one.key,
    name: one.name || one.id,
    version: one.version,
    path: sheet.path(`/expedites/${encodeURIComponent(one.key)}`),
    canGo: true,
  };
  const summary = [el("b", {}, thing.name), el("span.soft", {}, ` ${inShort(sheet, one, targets)}`)];
  return unfolding(one.key, summary, () => editForm(sheet, thing, fieldsOf(sheet, one, targets), typed, afterwards));
}

/**
 * The form that adds one.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any[]} known The lines that there are.
 * @param {Targets} targets
 * @param {() => Promise<void>} afterwards
 */
export function newExpedite(sheet, known, targets, afterwards) {
  const fresh = { kind: "overtime", gains_days: 1, by_the_day: true, leg: "vendor_work" };
  const what = {
    kind: "expedite",
    path: "/expedites",
    text: t`Add it`,
    needs: { name: t`What is done: how should it read?`, cost: t`Cost: what does it take?` },
    called: ({ name }) => name,
  };
  const node = addForm(
    sheet,
    what,
    fieldsOf(sheet, fresh, targets),
    () => ({ id: nextId("E", known, 2), ...typed(node) }),
    afterwards,
  );
  return unfolding("new", el("b", {}, t`Add a way to buy days`), node);
}

function fieldsOf(sheet, one, targets) {
  return el(
    "div.fields",
    {},
    field({ label: t`What is done`, name: "name", value: one.name, hint: t`As it should read: “Left tip float: an evening shift”.` }),
    field({ label: t`Kind`, name: "kind", type: "select", value: one.kind, options: KINDS }),
    targetField(one, targets),
    field({ label: t`Leg`, name: "leg", type: "select", value: one.leg, options: LEGS, hint: t`Of an item that is sent out; no matter for a task.` }),
    field({
      label: t`Days it takes off`,
      name: "gains_days",
      type: "number",
      value: one.gains_days,
      hint: one.taken_days ? t`At most; ${formatDays(one.taken_days)} are taken already.` : t`At most, in working days of the task or the leg.`,
      attributes: { min: 0.125, max: 3660, step: 0.125, required: true, inputmode: "decimal" },
    }),
    el(
      "div.field",
      { "data-field": "by_the_day" },
      el("span.label", { "aria-hidden": "true" }, t`How it is bought`),
      el("label.check", {}, el("input", { type: "checkbox", name: "by_the_day", checked: Boolean(one.by_the_day) }), t`By the day: any number of them`),
    ),
    field({
      label: t`Cost`,
      name: "cost",
      value: one.cost,
      hint: t`Of each day where it is bought by the day, else of all.`,
      attributes: { required: true, inputmode: "decimal", maxlength: 20 },
    }),
    field({
      label: t`Currency`,
      name: "currency",
      value: one.currency ?? sheet.project.currency,
      hint: t`Three letters, such as GBP.`,
      attributes: { maxlength: 3 },
    }),
  );
}

/** What becomes shorter: a task, or an item that is away. What is closed by now stays to choose. */
function targetField(one, { tasks, items }) {
  const value = one.task ? `task:${one.task}` : one.send_out ? `send_out:${one.send_out}` : "";
  const group = (label, kind, entries) =>
    entries.length
      ? el("optgroup", { label }, entries.map(([id, name]) => el("option", { value: `${kind}:${id}`, selected: value === `${kind}:${id}` }, name)))
      : null;
  const node = field({ label: t`What becomes shorter`, name: "target", type: "select", attributes: { required: true } });
  node.dataset.field = "task";
  const isOffered = [...tasks.map(([id]) => `task:${id}`), ...items.map(([id]) => `send_out:${id}`)].includes(value);
  const own = value && !isOffered ? el("option", { value, selected: true }, t`${value.slice(value.indexOf(":") + 1)} (finished)`) : null;
  node.querySelector("select").append(...[own, group(t`Work`, "task", tasks), group(t`Items away`, "send_out", items)].filter(Boolean));
  return node;
}

function typed(node) {
  const { name, target, gains_days: days, currency, by_the_day: byTheDay, cost, ...rest } = readForm(node);
  const [, kind, id] = /^(task|send_out):(.*)$/s.exec(target ?? "") ?? [];
  return {
    ...rest,
    name: name ?? "",
    task: kind === "task" ? id : null,
    send_out: kind === "send_out" ? id : null,
    gains_days: Number(days),
    by_the_day: Boolean(byTheDay),
    cost: cost ?? "",
    currency: currency?.toUpperCase() ?? null,
  };
}

/** "up to 5 days of F19.4, EUR 345 a day; 2 days taken". */
function inShort(sheet, one, { tasks, items }) {
  const money = formatMoney(one.cost, one.currency ?? sheet.project.currency);
  const [, name] = [...tasks, ...items].find(([id]) => id === (one.task ?? one.send_out)) ?? [];
  const days = one.by_the_day ? t`up to ${formatDays(one.gains_days)}, ${money} a day` : t`${formatDays(one.gains_days)} for ${money}`;
  const inAll = `${name ?? one.task ?? one.send_out}: ${days}`;
  if (!one.taken_days) return inAll;
  return one.taken_days === one.gains_days ? t`${inAll}; all taken` : t`${inAll}; ${formatDays(one.taken_days)} taken`;
}
