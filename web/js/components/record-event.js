/** Record what happened to a send-out: one tap opens, the date is there, a second tap records. */

import { ApiError, patch, post } from "../lib/api.js";
import { openDialog } from "../lib/dialog.js";
import { el, fill, freshId } from "../lib/dom.js";
import { finishSentence } from "../lib/format.js";
import { say, sayProblem } from "../lib/notice.js";

/**
 * @typedef {object} Event
 * @property {string} verb "Left the vendor"
 * @property {string} [key] Date of the status that it sets; or
 * @property {"rejection" | "contact"} [kind] what else is recorded.
 */

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {object} item A send-out of the Away answer.
 * @param {Event} event
 * @param {() => Promise<void>} onRecorded
 */
export function recordEvent(sheet, item, event, onRecorded) {
  const asOf = sheet.project.as_of;
  const isPromise = event.key === "promised";
  const dateId = freshId("date");
  const noteId = freshId("note");
  const date = el("input", {
    id: dateId,
    type: "date",
    required: true,
    value: isPromise ? (item.promised ?? asOf) : asOf,
    max: isPromise ? undefined : asOf,
    autofocus: isPromise,
  });
  const note = el("input", { id: noteId, type: "text", maxlength: 200, required: true, autofocus: true });
  const wrong = el("p.wrong", { role: "alert" });
  const save = el("button.button.strong", { type: "submit", autofocus: event.kind !== "contact" && !isPromise }, "Record");
  const form = el(
    "form.fields",
    { id: freshId("record") },
    el("div.field", {}, el("label", { for: dateId }, isPromise ? "Promised to leave the vendor on" : "On"), date),
    event.kind === "contact"
      ? el("div.field", {}, el("label", { for: noteId }, "What was said"), note)
      : null,
    el("div.field", {}, wrong, save),
  );
  form.addEventListener("submit", async (submitted) => {
    submitted.preventDefault();
    save.disabled = true;
    try {
      const done = await write(sheet, item, event, date.value, note.value);
      dialog.close();
      await onRecorded();
      tell(sheet, item, event, done, onRecorded);
    } catch (error) {
      save.disabled = false;
      if (!(error instanceof ApiError)) throw error;
      fill(wrong, error.isStale ? `${error.message} Close this and look again.` : error.message);
    }
  });
  const dialog = openDialog({ title: `${event.verb}: ${item.name}`, content: form });
}

function write(sheet, item, event, on, note) {
  const path = sheet.path(`/send-outs/${item.id}`);
  if (event.kind === "rejection") return post(`${path}/rejection`, { on }, { version: item.version });
  if (event.kind === "contact") return post(`${path}/contacts`, { on, note }, { version: item.version });
  return patch(path, { status: { [event.key]: on } }, { version: item.version });
}

function tell(sheet, item, event, done, onRecorded) {
  const moved = done?.finish ? finishSentence(done.finish) : "";
  say(`${item.name}: ${event.verb.toLowerCase()}. ${moved}`, {
    undo: async () => {
      try {
        await post(sheet.path("/undo"), { kind: "send_out", key: item.id });
        await onRecorded();
        say(`${item.name} is as it was before.`);
      } catch (error) {
        sayProblem(error);
      }
    },
  });
}

