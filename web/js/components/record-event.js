/** Record what happened to a send-out: one tap opens, the date is there, a second tap records. */

import { get, patch, post } from "../lib/api.js";
import { openDialog } from "../lib/dialog.js";
import { finishSentence } from "../lib/format.js";
import { field, form, readForm, sendButton, showErrors } from "../lib/forms.js";
import { t } from "../lib/text.js";
import { openChecks } from "./open-checks.js";
import { takeBack, tellDone } from "./undo.js";

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
  const isCall = event.kind === "contact";
  const node = form(
    [
      field({
        label: isPromise ? t`Promised to leave the vendor on` : t`On`,
        name: "on",
        type: "date",
        value: isPromise ? (item.promised ?? asOf) : asOf,
        attributes: { required: true, max: isPromise ? undefined : asOf, autofocus: isPromise },
      }),
      isCall
        ? field({
            label: t`What was said`,
            name: "note",
            attributes: { required: true, maxlength: 200, autocomplete: "off", autofocus: true },
          })
        : null,
    ],
    async () => {
      const { on, note } = readForm(node);
      const missing = [
        on ? null : { field: "on", message: t`Give the date` },
        isCall && !note ? { field: "note", message: t`Say in a few words what was said` } : null,
      ].filter(Boolean);
      if (missing.length) {
        showErrors(node, missing);
        return;
      }
      const done = await write(sheet, item, event, on, note);
      dialog.close();
      await onRecorded();
      tell(sheet, item, event, done, onRecorded);
    },
    async () => {
      ({ version: item.version } = await get(sheet.path(`/send-outs/${item.id}`)));
    },
  );
  node.classList.add("stack");
  const send = sendButton(node, t`Record`);
  const isLeaving = !isPromise && !isCall;
  if (isLeaving) send.setAttribute("autofocus", "");
  const waits = isLeaving && openChecks(sheet, item.open_checks, { again: onRecorded, close: () => dialog.close() });
  const content = [waits, node].filter(Boolean);
  const dialog = openDialog({ title: `${event.verb}: ${item.name}`, content, actions: [send] });
}

function write(sheet, item, event, on, note) {
  const path = sheet.path(`/send-outs/${item.id}`);
  if (event.kind === "rejection") return post(`${path}/rejection`, { on }, { version: item.version });
  if (event.kind === "contact") return post(`${path}/contacts`, { on, note }, { version: item.version });
  return patch(path, { status: { [event.key]: on } }, { version: item.version });
}

function tell(sheet, item, event, done, onRecorded) {
  const isCall = event.kind === "contact";
  const did = isCall ? t`${item.name}: the call is noted.` : `${item.name}: ${event.verb.toLowerCase()}. ${finishSentence(done.finish)}`;
  const thing = { kind: "send_out", key: item.id, name: item.name, version: done.version };
  tellDone(did, done, () => takeBack(sheet, thing, onRecorded));
}

