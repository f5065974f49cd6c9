/**
 * The steps of a method card: edited, added, moved, and taken out once the card is saved.
 *
 * A step keeps its number wherever it stands: tasks that were made by it are called after it.
 */

import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { formatNumber } from "../lib/format.js";
import { t } from "../lib/text.js";
import { tradeCode, tradeName, USUAL_TRADES } from "../lib/words.js";
import { readThree, threeFields } from "./card-hours.js";
import { checkName } from "./check-words.js";
import { unit } from "./finding-words.js";

const CHECKS = [["", t`No check`], ...["hold", "buy_off", "witness"].map((kind) => [kind, checkName(kind)])];

/** @param {any} card @param {any} all As the service answers. */
export function stepList(card, all) {
  const rows = card.steps.map((step) => stepRow(step, card, all));
  const list = el("div.card-steps");
  const draw = () => {
    list.append(...rows.map(({ node }) => node));
    const isAlone = rows.filter(({ gone }) => !gone).length < 2;
    rows.forEach((row, place) => row.stands(place, row === rows.at(-1), isAlone));
  };
  const listen = (row) => {
    row.onMove = (by) => {
      const place = rows.indexOf(row);
      const pair = by < 0 ? [rows[place - 1], row] : [row, rows[place + 1]];
      swap(rows, ...pair);
      draw();
    };
    row.onGone = draw;
  };
  const add = () => {
    const number = Math.max(...rows.map(({ step }) => step.number)) + 1;
    const before = rows.filter(({ gone }) => !gone).at(-1).step.number;
    const row = stepRow({ number, name: t`Step ${number}`, hours: ["", "", ""], after: [before] }, card, all);
    listen(row);
    rows.push(row);
    draw();
    row.node.querySelector("input").select();
  };
  rows.forEach(listen);
  draw();
  const node = el("div.stack", {}, list, el("button.button.plain.no-print", { type: "button", onclick: add }, t`Add a step`));
  return { node, read: () => readSteps(rows) };
}

/** Let a step come before the one above it; where it waited for that one, the order turns round. */
function swap(rows, upper, lower) {
  const [up, low] = [upper.step.number, lower.step.number];
  rows.splice(rows.indexOf(upper), 2, lower, upper);
  const waits = lower.after();
  if (!waits.includes(up)) return;
  lower.setAfter(union(upper.after(), without(waits, up)));
  upper.setAfter([low]);
  for (const row of rows) {
    const theirs = row.after();
    if (row !== upper && theirs.includes(low) && !theirs.includes(up)) row.setAfter(theirs.map((one) => (one === low ? up : one)));
  }
}

/** The steps that stay; what waited for one that goes waits for what that one waited for. */
function readSteps(rows) {
  const stand = rows.filter(({ gone }) => !gone);
  const before = new Map(rows.filter(({ gone }) => gone).map(({ step, after }) => [step.number, after()]));
  const stands = (number) => (before.has(number) ? before.get(number).flatMap(stands) : [number]);
  return stand.map((row, place) => {
    row.called(`steps[${place}]`);
    return { ...row.read(), after: union(row.after().flatMap(stands), []) };
  });
}

function union(some, others) {
  return [...new Set([...some, ...others])];
}

function without(numbers, one) {
  return numbers.filter((number) => number !== one);
}

/* One step. */

const PART = "step-";

function stepRow(step, card, all) {
  const title = t`Step ${formatNumber(step.number)}`;
  const fields = stepFields(step, card, all);
  const [earlier, later, out] = [t`Earlier`, t`Later`, t`Take out`].map((text) => tool(text, title));
  const back = el("button.button", { type: "button" }, t`Put it back`);
  const gone = el("div.button-row", { hidden: true }, el("span", {}, t`It goes when the card is saved.`), back);
  const keeps = whatItKeeps(step, card, all);
  const tools = el("div.button-row.no-print", {}, earlier, later, keeps.isNeeded ? null : out);
  const told = keeps.words.length ? el("p.hint", {}, keeps.words.join(" ")) : null;
  const node = el("fieldset.card-step", {}, el("legend", {}, title), fields, told, gone, tools);
  const input = (part) => node.querySelector(`[name="${PART}${part}"]`);
  const row = {
    node,
    step,
    gone: false,
    onMove: (_by) => {},
    onGone: () => {},
    after: () => input("after").value.split(/\D+/).filter(Boolean).map(Number),
    setAfter: (numbers) => {
      input("after").value = numbers.join(", ");
    },
    /** Where it stands says which way it can go; each field learns the place that a refusal will name. */
    stands: (place, isLast, isAlone) => {
      earlier.disabled = place === 0;
      later.disabled = isLast;
      out.disabled = isAlone;
      row.called(`steps[${place}]`);
    },
    called: (where) => {
      node.dataset.field = where;
      for (const one of fields.querySelectorAll("[data-part]")) one.dataset.field = `${where}.${one.dataset.part}`;
    },
    read: () => ({
      ...step,
      name: input("name").value.trim(),
      hours: readThree(node.querySelector(".step-hours")),
      trade: tradeCode(input("trade").value.trim()),
      people: Number(input("people").value),
      check: input("check").value || null,
    }),
  };
  for (const one of fields.querySelectorAll("[data-field]")) one.dataset.part = one.dataset.field.slice(PART.length);
  const setGone = (isGone) => {
    row.gone = isGone;
    gone.hidden = !isGone;
    fields.hidden = tools.hidden = isGone;
    row.onGone();
    (isGone ? back : out).focus();
  };
  const move = (button, other, by) => {
    row.onMove(by);
    (button.disabled ? other : button).focus();
  };
  earlier.addEventListener("click", () => move(earlier, later, -1));
  later.addEventListener("click", () => move(later, earlier, 1));
  out.addEventListener("click", () => setGone(true));
  back.addEventListener("click", () => setGone(false));
  return row;
}

function tool(text, title) {
  return el("button.button.plain", { type: "button", "aria-label": `${title}: ${text}` }, text);
}

function stepFields(step, card, { trades }) {
  const names = [...new Set([...trades.map(tradeName), ...USUAL_TRADES])];
  return el(
    "div.step-fields",
    {},
    field({ label: t`What is done`, name: `${PART}name`, value: step.name }),
    el(
      "div.step-row",
      {},
      threeFields("step-hours", step.trade ? t`Person-hours by the ${unit(card.driver)}` : t`Hours`, `${PART}hours`, step.hours),
      el(
        "div.step-who",
        {},
        field({ label: t`Trade`, name: `${PART}trade`, value: step.trade ? tradeName(step.trade) : "", suggestions: names, hint: t`Empty: it only takes time.` }),
        field({ label: t`People`, name: `${PART}people`, type: "number", value: step.people ?? 1, attributes: { min: 1, step: 1, inputmode: "numeric" } }),
        field({ label: t`After the steps`, name: `${PART}after`, value: (step.after ?? []).join(", "), attributes: { autocomplete: "off" } }),
        field({ label: t`Check`, name: `${PART}check`, type: "select", value: step.check ?? "", options: CHECKS }),
      ),
    ),
  );
}

/** What has no field: places, a season, an item that leaves, a card that is worked inside this one. */
function whatItKeeps({ number, places, calendar }, card, { cards }) {
  const inside = cards.filter((line) => line.card.inside?.some((one) => one.card === card.id && one.step === number));
  const needed = [
    number === card.leaves_after ? t`It sends the item out.` : "",
    number === card.back_before ? t`It waits until the item is back.` : "",
    card.inside?.some(({ before }) => before === number) ? t`It waits for a step of another card.` : "",
    inside.length ? t`It is waited for by ${inside.map(({ key }) => key).join(", ")}.` : "",
  ].filter(Boolean);
  const words = [
    ...needed,
    places?.length ? t`It takes ${places.map(({ place }) => place).join(", ")}.` : "",
    calendar ? t`It keeps the calendar ${calendar}.` : "",
  ].filter(Boolean);
  return { words, isNeeded: needed.length > 0 };
}
