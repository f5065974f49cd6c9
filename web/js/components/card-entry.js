/** One method card: what its work took, its form, copying and retiring it. */

import { ApiError, get, patch, post } from "../lib/api.js";
import { whatChanged } from "../lib/changes.js";
import { el, fill } from "../lib/dom.js";
import { finishSentence } from "../lib/format.js";
import { say, sayProblem } from "../lib/notice.js";
import { many, t } from "../lib/text.js";
import { cardFields } from "./card-fields.js";
import { cardHistory, hasBetterHours, newSteps } from "./card-history.js";
import { editForm } from "./editing.js";
import { countFindings, unit } from "./finding-words.js";
import { takeBack, tellDone } from "./undo.js";

/**
 * A card that unfolds under its name; its form is made when it is unfolded.
 *
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any} all As the service answers.
 * @param {any} line Of the card.
 * @param {(key?: string) => Promise<void>} again Draw the page again, with a card in sight.
 * @returns {{node: HTMLDetailsElement, update: (line: any) => void}} `update` tells what other
 *   work says of the card now; what is typed into its form stays.
 */
export function cardEntry(sheet, all, line, again) {
  const head = el("summary");
  const told = el("div.stack");
  const body = el("div.thing-body");
  const node = /** @type {HTMLDetailsElement} */ (el("details.thing", { "data-key": line.key }, head, body));
  const update = (now) => {
    fill(head, summary(now));
    fill(told, whatItTook(sheet, all, now, again));
  };
  node.addEventListener("toggle", () => {
    if (node.open && !body.hasChildNodes()) fill(body, told, content(sheet, all, line, again));
  });
  update(line);
  return { node, update };
}

function summary(line) {
  const { card, findings, standing_jobs: standing, steps } = line;
  const used = [findings ? countFindings(findings) : "", standing ? many(standing, "{n} standing job", "{n} standing jobs") : ""].filter(Boolean);
  const facts = [card.id, t`by the ${unit(card.driver)}`, many(steps.length, "{n} step", "{n} steps"), used.join(", ") || t`not used`];
  return [
    el("b", {}, card.name || card.id),
    el("span.soft", {}, ` ${facts.join(" · ")} `),
    isFromMemory(card) ? el("span.stamp.away", {}, t`hours from memory`) : null,
    hasBetterHours(line) ? [" ", el("span.stamp.in_work", {}, t`better hours known`)] : null,
  ];
}

/** Whose hours the card has, what its work took, and taking that. */
function whatItTook(sheet, all, line, again) {
  const better = sheet.readOnly ? null : newSteps(line);
  const take = () => send(sheet, line, again, t`Taken what the shop needed`, { steps: better, from_memory: false });
  return [
    isFromMemory(line.card) ? el("p.from-memory", {}, t`From memory: replace with your own.`) : null,
    cardHistory(line, all.enough_jobs),
    better ? el("div.button-row.no-print", {}, action(t`Take what the shop needed`, take, again)) : null,
  ];
}

function content(sheet, all, line, again) {
  const { card } = line;
  const fields = cardFields(all, line);
  const form = editForm(sheet, thingOf(sheet, line), fields.node, fields.read, () => again());
  if (sheet.readOnly) return form;
  const [text, past] = card.retired ? [t`Offer it again`, t`Offered again`] : [t`Retire the card`, t`Retired`];
  return [
    form,
    el(
      "div.button-row.no-print",
      {},
      action(t`Copy the card`, () => copy(sheet, card, again), again),
      action(text, () => send(sheet, line, again, past, { retired: !card.retired }), again),
    ),
  ];
}

function thingOf(sheet, { key, card, version }) {
  return { kind: "method_card", key, path: sheet.path(`/cards/${encodeURIComponent(key)}`), name: `${key} ${card.name}`, version };
}

async function send(sheet, line, again, past, edit) {
  const thing = thingOf(sheet, line);
  const done = await patch(thing.path, edit, { version: thing.version });
  await again();
  tellDone(`${past}: ${thing.name}. ${finishSentence(done.finish)}`, done, () => takeBack(sheet, { ...thing, version: done.version }, () => again()));
}

function action(text, work, again) {
  return el("button.button", { type: "button", onclick: ({ currentTarget }) => once(currentTarget, work, again) }, text);
}

async function copy(sheet, card, again) {
  const { cards } = await get(sheet.path("/cards"));
  const id = nextId(card.id, cards);
  const done = await post(sheet.path("/cards"), { ...card, id, name: t`${card.name}, copy`, retired: false });
  await again(id);
  const followers = cards.filter(({ after_cards: before }) => before.includes(card.id)).map(({ key }) => key);
  const copied = t`Copied: ${card.id} as ${id}.`;
  const note = many(followers.length, "{0} comes after {1}, not yet after the copy.", "{0} come after {1}, not yet after the copy.", followers.join(", "), card.id);
  const thing = { kind: "method_card", key: id, name: id, version: done.version };
  tellDone(followers.length ? `${copied} ${note}` : copied, done, () => takeBack(sheet, thing, () => again()));
}

/** M05-2, M05-3, ...: the first that is free. */
function nextId(id, cards) {
  const taken = new Set(cards.map(({ key }) => key));
  let number = 2;
  while (taken.has(`${id}-${number}`)) number += 1;
  return `${id}-${number}`;
}

/** Do something once; a newer edit of somebody else is shown in its place. */
async function once(button, work, again) {
  button.disabled = true;
  try {
    await work();
  } catch (error) {
    if (error instanceof ApiError && error.isStale) {
      await again();
      say(t`Nothing was done. ${whatChanged(error)}`, { tone: "problem" });
    } else sayProblem(error);
  } finally {
    button.disabled = false;
  }
}

/** Left out of a plan file, it is so. */
function isFromMemory({ from_memory: fromMemory = true }) {
  return fromMemory;
}
