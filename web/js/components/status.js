/**
 * Recording where a task stands: what is sent, and the two small dialogs that need a word more.
 *
 * Every record goes through `record`, which tells what became of the finish date and offers undo.
 */

import { sendOrKeep } from "../lib/queue.js";
import { el } from "../lib/dom.js";
import { field, form, readForm, sendButton, showErrors } from "../lib/forms.js";
import { finishSentence, formatDays } from "../lib/format.js";
import { openDialog } from "../lib/dialog.js";
import { t } from "../lib/text.js";
import { takeBack, tellDone, tellKept } from "./undo.js";

const DIDS = { in_work: t`In work`, held: t`Held`, done: t`Done`, not_started: t`Not started` };

const REASONS = [
  t`Waiting for a part`,
  t`Waiting for an item that is away`,
  t`Waiting for a decision`,
  t`Found more work`,
  t`No hands for it`,
  t`Too cold or too damp`,
];

/** Status that begins, or goes on with, a task. */
export function startedOn(card, asOf) {
  return { state: "in_work", started: card.started ?? asOf };
}

/** Status that finishes a task. */
export function doneOn(card, asOf) {
  return { state: "done", started: card.started ?? asOf, finished: asOf };
}

/**
 * Store a status and tell what it did.
 *
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {{id: string, name: string, version: number}} card
 * @param {object} status Part of a task's status.
 * @param {() => Promise<void>} afterwards Draw the page again; also called after an undo.
 */
export async function record(sheet, card, status, afterwards) {
  const path = sheet.path(`/tasks/${encodeURIComponent(card.id)}`);
  const left = status.remaining_days;
  const did = left === undefined ? DIDS[status.state] : t`${formatDays(left)} left`;
  const what = t`${did}: ${card.name || card.id}`;
  const request = { method: "PATCH", path, body: { status }, version: card.version };
  const done = await sendOrKeep(sheet, { ...request, what, task: card.id, state: status.state });
  await afterwards();
  if (!done) return tellKept(what);
  tellDone(t`${what}. ${finishSentence(done.finish)}`, done, () =>
    undoTask(sheet, { ...card, version: done.version }, afterwards),
  );
}

/** Take back the last change of a task. Same arguments as `record`, without a status. */
export function undoTask(sheet, { id, name, version }, afterwards) {
  return takeBack(sheet, { kind: "task", key: id, name: name || id, version }, afterwards);
}

/**
 * Ask why a task is held.
 * @param {object} card
 * @param {(status: object) => Promise<void>} save
 * @param {(error: any) => Promise<void>} onStale
 */
export function askHeld(card, save, onStale) {
  const reason = field({
    label: t`Why is it held?`,
    name: "held_reason",
    value: card.held_reason,
    attributes: { required: true, maxlength: 200, autocomplete: "off" },
  });
  const input = /** @type {HTMLInputElement} */ (reason.querySelector("input"));
  const choices = REASONS.map((text) => {
    const choice = el("button.button", { type: "button" }, text);
    choice.addEventListener("click", () => {
      input.value = text;
    });
    return choice;
  });
  const until = field({ label: t`Until, if known`, name: "held_until", type: "date" });
  const node = form(
    [
      el("div.button-row", { role: "group", "aria-label": t`Usual reasons` }, choices),
      reason,
      until,
    ],
    async () => {
      const { held_reason, held_until } = readForm(node);
      if (!held_reason) {
        showErrors(node, [{ field: "held_reason", message: t`Say in a few words why it is held` }]);
        return;
      }
      await save({ state: "held", held_reason, held_until });
      dialog.close();
    },
    onStale,
  );
  const dialog = openDialog({
    title: t`Hold: ${card.name}`,
    content: node,
    actions: [sendButton(node, t`Hold the task`)],
  });
}

/** Ask how many days are left. Same promises as `askHeld`. */
export function askDaysLeft(card, save, onStale) {
  const left = card.remaining_days ?? card.days;
  const days = field({
    label: t`Working days left`,
    name: "remaining_days",
    type: "number",
    value: left,
    hint: t`Planned: ${formatDays(card.days)}. Half days are fine.`,
    attributes: { min: 0, max: 7300, step: 0.125, inputmode: "decimal", required: true },
  });
  const input = /** @type {HTMLInputElement} */ (days.querySelector("input"));
  const step = (by, text, label) =>
    el("button.button", { type: "button", "aria-label": label, onclick: () => change(by) }, text);
  const change = (by) => {
    input.value = String(Math.max(0, Number(input.value || 0) + by));
  };
  const node = form(
    [
      days,
      el(
        "div.button-row",
        { role: "group", "aria-label": t`Change by` },
        step(-1, "− 1", t`One day less`),
        step(-0.5, "− ½", t`Half a day less`),
        step(0.5, "+ ½", t`Half a day more`),
        step(1, "+ 1", t`One day more`),
        step(5, "+ 5", t`Five days more`),
      ),
    ],
    async () => {
      const { remaining_days: typed } = readForm(node);
      const value = Number(typed);
      if (typed === null || !Number.isFinite(value) || value < 0) {
        showErrors(node, [{ field: "remaining_days", message: t`Give the days left as a number, 0 or more` }]);
        return;
      }
      await save({ state: "in_work", remaining_days: value });
      dialog.close();
    },
    onStale,
  );
  const dialog = openDialog({
    title: t`Days left: ${card.name}`,
    content: node,
    actions: [sendButton(node, t`Save the days left`)],
  });
}
