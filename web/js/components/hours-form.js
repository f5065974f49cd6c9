/**
 * Entering hours on a card with one hand: who, which date, how many. A quick choice of hours
 * saves at once; what was refused stays as it was typed.
 */

import { el, freshId, when } from "../lib/dom.js";
import { form, readForm, showErrors } from "../lib/forms.js";
import { addDays } from "../lib/format.js";
import { sendOrKeep } from "../lib/queue.js";
import { t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { entryName, formatHours, typedHours } from "./hours-words.js";
import { takeBack, tellDone, tellKept } from "./undo.js";

const KIND = "hours_worked";
const QUICK = [1, 2, 4];

/**
 * @typedef {object} Slot A person-slot of the crew.
 * @property {string} label
 * @property {string} trade
 * @property {number} day_hours
 */

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {{id: string, name: string, trade: string | null}} task
 * @param {Slot[]} people Of the task's trade; everybody where it has none.
 * @param {string} asOf
 * @param {{saved: () => Promise<void>, undone: () => Promise<void>, closed?: () => void}} then What
 *   the page does: draws again with the form put away, draws again, puts it away unsaved.
 * @returns {HTMLFormElement}
 */
export function hoursForm(sheet, task, people, asOf, { saved, undone, closed }) {
  const id = freshKey();
  const amount = el("input", { name: "hours", id: freshId("hours"), inputmode: "decimal", autocomplete: "off", maxlength: 12 });
  const quick = el("div.hours-quick", { role: "group", "aria-labelledby": freshId("quick") });
  const node = form(
    [whoField(sheet, task, people), dateField(asOf), hoursField(amount, quick, closed)],
    async () => {
      const body = typed(node, task, people);
      const problems = missing(body, people);
      if (problems.length) {
        showErrors(node, problems);
        return;
      }
      const who = body.label || tradeName(task.trade);
      const name = entryName(body, who);
      const what = t`Hours: ${name}, on ${task.name || task.id}`;
      const request = { method: "POST", path: sheet.path("/hours"), body: { id, ...body } };
      const done = await sendOrKeep(sheet, { ...request, what, task: task.id, state: null });
      remember(sheet, task.trade, body.label);
      await saved();
      if (!done) return tellKept(what);
      tellDone(t`Entered: ${name}, on ${task.name || task.id}.`, done, () =>
        takeBack(sheet, { kind: KIND, key: id, name, version: done.version }, undone),
      );
    },
  );
  node.classList.add("hours-form");
  node.setAttribute("aria-label", t`Hours: ${task.name || task.id}`);
  const drawQuick = () => quick.replaceChildren(...quickChoices(people, chosen(node, people), amount, node));
  node.addEventListener("change", ({ target }) => target.name === "who" && drawQuick());
  drawQuick();
  return node;
}

/* The three questions. */

function whoField(sheet, task, people) {
  const nobody = t`The crew has nobody of this trade yet: the hours count for ${tradeName(task.trade)}.`;
  if (!people.length) return el("p.soft", {}, nobody);
  const known = remembered(sheet)[task.trade ?? ""];
  const isChosen = ({ label }) => people.length === 1 || label === known;
  const first = people.findIndex(isChosen);
  const choice = (one, place) =>
    el(
      "label.pick",
      {},
      el("input", { type: "radio", name: "who", value: place, checked: place === first }),
      el("span", {}, task.trade ? one.label : t`${one.label}, ${tradeName(one.trade)}`),
    );
  return el("fieldset.picks", { "data-field": "label" }, el("legend.label", {}, t`Who`), el("div.pick-row", {}, people.map(choice)));
}

function dateField(asOf) {
  const id = freshId("hours-on");
  const input = el("input", { type: "date", name: "on", id, value: asOf, max: asOf });
  const days = [asOf, addDays(asOf, -1)].map((day) =>
    el("button.button", { type: "button", "data-day": day, onclick: () => choose(day) }, when(day, "weekday")),
  );
  const mark = () => days.forEach((one) => one.setAttribute("aria-pressed", String(one.dataset.day === input.value)));
  const choose = (day) => {
    input.value = day;
    mark();
  };
  input.addEventListener("input", mark);
  mark();
  return el("div.field.hours-on", { "data-field": "on" }, el("label", { for: id }, t`Date`), el("div.hours-days", {}, days, input));
}

function hoursField(amount, quick, closed) {
  const save = el("button.button.strong", { type: "submit" }, t`Save`);
  const close = closed && el("button.button.plain", { type: "button", onclick: closed }, t`Put away`);
  return el(
    "div.field.hours-amount",
    { "data-field": "hours" },
    el("span.label", { id: quick.getAttribute("aria-labelledby") }, t`Hours: one touch saves`),
    quick,
    el("div.hours-typed", {}, el("label", { for: amount.id }, t`Other hours`), amount, save, close),
  );
}

function quickChoices(people, who, amount, node) {
  const days = new Set(who ? [who.day_hours] : people.map((one) => one.day_hours));
  const [full] = days.size === 1 ? days : [0];
  const choice = (count, text) =>
    el("button.button", { type: "button", "aria-label": t`Save ${formatHours(count)}`, onclick: () => take(count) }, text);
  const take = (count) => {
    amount.value = String(count);
    node.requestSubmit();
  };
  const small = QUICK.filter((count) => count !== full).map((count) => choice(count, formatHours(count)));
  return full > 0 ? [...small, choice(full, t`Full day ${formatHours(full)}`)] : small;
}

/* What was answered. */

function chosen(node, people) {
  const picked = node.querySelector("[name='who']:checked");
  return picked ? people[Number(picked.value)] : null;
}

function typed(node, task, people) {
  const { on, hours } = readForm(node);
  const who = chosen(node, people);
  const trade = task.trade || !who ? {} : { trade: who.trade };
  return { task: task.id, on, hours: typedHours(hours), label: who?.label ?? "", ...trade };
}

function missing({ on, hours, label }, people) {
  return [
    people.length && !label ? { field: "label", message: t`Who: choose who worked` } : null,
    on ? null : { field: "on", message: t`Date: choose the date that was worked` },
    hours === null ? { field: "hours", message: t`Hours: give a number, such as 6.5 or 6,5` } : null,
  ].filter(Boolean);
}

/** A key that nobody else chooses; a plain http address has no random UUID. */
function freshKey() {
  const parts = crypto.getRandomValues(new Uint32Array(2));
  return `H-${[...parts].map((part) => part.toString(36)).join("")}`;
}

/* Who it was on the last card, by trade. */

function whereKept(sheet) {
  return `ribstitch-hours-who-${sheet.project.id}`;
}

function remembered(sheet) {
  return JSON.parse(localStorage.getItem(whereKept(sheet)) ?? "{}");
}

function remember(sheet, trade, label) {
  localStorage.setItem(whereKept(sheet), JSON.stringify({ ...remembered(sheet), [trade ?? ""]: label }));
}
