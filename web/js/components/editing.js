/**
 * Editing one thing of the plan (a calendar, a vendor, ...): a form that unfolds under its name.
 *
 * Saving sends what was changed and the version that was read. If somebody was quicker, the newer
 * version is read, the form says what was changed, and what was typed stays.
 */

import { get, patch } from "../lib/api.js";
import { el } from "../lib/dom.js";
import { form } from "../lib/forms.js";
import { finishSentence } from "../lib/format.js";
import { say } from "../lib/notice.js";
import { takeBack, tellDone } from "./undo.js";

/**
 * @typedef {object} Editable
 * @property {string} kind As in the change log: "calendar".
 * @property {string} key Of the thing; empty for the project.
 * @property {string} path Endpoint of the one thing.
 * @property {string} name How it is called in notices.
 * @property {number} version That was read.
 */

/**
 * A form for one thing.
 *
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {Editable} thing
 * @param {any} fields
 * @param {() => Record<string, any>} typed What the fields hold, by the names of the plan.
 * @param {() => Promise<void>} afterwards Called after saving and after undo.
 */
export function editForm(sheet, thing, fields, typed, afterwards) {
  let before = {};
  queueMicrotask(() => {
    before = typed();
  });
  const node = form(
    el(
      "fieldset.stack",
      { disabled: sheet.readOnly },
      fields,
      sheet.readOnly ? null : el("button.button.strong", {}, "Save"),
    ),
    async () => {
      const changed = changedOnly(before, typed());
      if (!Object.keys(changed).length) {
        say("Nothing to save: no field was changed.");
        return;
      }
      const done = await patch(thing.path, changed, { version: thing.version });
      await afterwards();
      tellDone(`Saved: ${thing.name}. ${finishSentence(done.finish)}`, done, () =>
        takeBack(sheet, { ...thing, version: done.version }, afterwards),
      );
    },
    async () => {
      ({ version: thing.version } = await get(thing.path));
    },
  );
  return node;
}

/** Of what was typed, what is new: the rest may have been changed by somebody else since. */
function changedOnly(before, now) {
  const isNew = ([key, value]) => JSON.stringify(value) !== JSON.stringify(before[key]);
  return Object.fromEntries(Object.entries(now).filter(isNew));
}

/** A thing that unfolds under its name. @param {string} key @param {any[]} summary @param {any} content */
export function unfolding(key, summary, content) {
  return el("details.thing", { "data-key": key }, el("summary", {}, summary), el("div.thing-body", {}, content));
}
