/**
 * Editing one thing of the plan (a calendar, a vendor, ...): a form that unfolds under its name;
 * adding one, and taking one out.
 *
 * Saving sends what was changed and the version that was read. If somebody was quicker, the newer
 * version is read, the form says what was changed, and what was typed stays.
 */

import { ApiError, get, patch, post, remove } from "../lib/api.js";
import { whatChanged } from "../lib/changes.js";
import { el, fill } from "../lib/dom.js";
import { field, form, showErrors, submitting } from "../lib/forms.js";
import { finishSentence } from "../lib/format.js";
import { say } from "../lib/notice.js";
import { t } from "../lib/text.js";
import { slug } from "../lib/words.js";
import { takeBack, tellDone } from "./undo.js";

/**
 * @typedef {object} Editable
 * @property {string} kind As in the change log: "calendar".
 * @property {string} key Of the thing; empty for the project.
 * @property {string} path Endpoint of the one thing.
 * @property {string} name How it is called in notices.
 * @property {number} version That was read.
 * @property {boolean} [canGo] It can be taken out of the plan.
 */

/**
 * A form for one thing.
 *
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {Editable} thing
 * @param {any} fields
 * @param {(form: HTMLFormElement) => Record<string, any>} typed What the fields hold, by the names of the plan.
 * @param {() => Promise<void>} afterwards Called after saving and after undo.
 */
export function editForm(sheet, thing, fields, typed, afterwards) {
  let before = {};
  queueMicrotask(() => {
    before = typed(node);
  });
  const node = form(
    el(
      "fieldset.stack",
      { disabled: sheet.readOnly },
      fields,
      sheet.readOnly ? null : el("div.button-row", {}, el("button.button.strong", {}, t`Save`), thing.canGo && goneButton()),
    ),
    async () => {
      const changed = changedOnly(before, typed(node));
      if (!Object.keys(changed).length) {
        say(t`Nothing to save: no field was changed.`);
        return;
      }
      const done = await patch(thing.path, changed, { version: thing.version });
      await afterwards();
      tellDone(t`Saved: ${thing.name}. ${finishSentence(done.finish)}`, done, () =>
        takeBack(sheet, { ...thing, version: done.version }, afterwards),
      );
    },
    async () => {
      ({ version: thing.version } = await get(thing.path));
    },
  );
  node.querySelector("[data-gone]")?.addEventListener("click", () => takeOut(sheet, thing, node, afterwards));
  return node;
}

function goneButton() {
  return el("button.button.plain", { type: "button", "data-gone": true }, t`Take out of the plan`);
}

/** Take a thing out of the plan; what something still names stays, and the form says what names it. */
function takeOut(sheet, thing, node, afterwards) {
  return submitting(node, async () => {
    try {
      const done = await remove(thing.path, { version: thing.version });
      await afterwards();
      tellDone(t`Taken out: ${thing.name}. ${finishSentence(done.finish)}`, done, () =>
        takeBack(sheet, { ...thing, version: done.version }, afterwards),
      );
    } catch (error) {
      if (!(error instanceof ApiError && error.isStale)) throw error;
      ({ version: thing.version } = await get(thing.path));
      showErrors(node, [{ message: t`${whatChanged(error)} It is still in the plan.` }]);
    }
  });
}

/**
 * A form that adds a thing to the plan.
 *
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {object} what
 * @param {string} what.kind As in the change log, and as the service names it in its answer.
 * @param {string} what.path Endpoint of the list.
 * @param {string} what.text Of the button.
 * @param {Record<string, string>} what.needs Fields that must be filled, and what to say if not.
 * @param {(body: any) => string} what.called How the new thing is called in notices.
 * @param {any} fields
 * @param {() => Record<string, any>} typed
 * @param {() => Promise<void>} afterwards
 */
export function addForm(sheet, { kind, path, text, needs, called }, fields, typed, afterwards) {
  const node = form([fields, el("button.button.strong", {}, text)], async () => {
    const body = typed();
    const missing = Object.entries(needs).filter(([name]) => !body[name]);
    if (missing.length) {
      showErrors(node, missing.map(([name, message]) => ({ field: name, message })));
      return;
    }
    const done = await post(sheet.path(path), body);
    const name = called(body);
    await afterwards();
    tellDone(t`Added: ${name}. ${finishSentence(done.finish)}`, done, () =>
      takeBack(sheet, { kind, key: done[kind].key, name, version: done.version }, afterwards),
    );
  });
  return node;
}

/** An id that is not taken, out of the name of a new thing. @param {string} name @param {{id: string}[]} others */
export function freeId(name, others) {
  const taken = new Set(others.map(({ id }) => id));
  const stem = slug(name ?? "").slice(0, 70);
  let id = stem;
  for (let number = 2; taken.has(id); number += 1) id = `${stem}-${number}`;
  return id;
}

/**
 * The next number of a series: C31 after C30.
 * @param {string} letter @param {{key: string}[]} lines @param {number} [digits] At least so many: E07.
 */
export function nextId(letter, lines, digits = 1) {
  const numbers = lines.map(({ key }) => Number(new RegExp(`^${letter}(\\d+)$`).exec(key)?.[1] ?? 0));
  return `${letter}${String(Math.max(0, ...numbers) + 1).padStart(digits, "0")}`;
}

/** Of what was typed, what is new: the rest may have been changed by somebody else since. */
function changedOnly(before, now) {
  const isNew = ([key, value]) => JSON.stringify(value) !== JSON.stringify(before[key]);
  return Object.fromEntries(Object.entries(now).filter(isNew));
}

/**
 * A thing that unfolds under its name.
 * @param {string} key
 * @param {any[]} summary
 * @param {any} content A function is asked for it when it unfolds: a hundred forms that nobody opens
 *   would cost a page more than all that it shows.
 */
export function unfolding(key, summary, content) {
  const body = el("div.thing-body");
  const node = el("details.thing", { "data-key": key }, el("summary", {}, summary), body);
  if (typeof content !== "function") fill(body, content);
  else node.addEventListener("toggle", () => node.open && !body.hasChildNodes() && fill(body, content()));
  return node;
}

/** Which calendar somebody keeps. @param {string | null} value @param {any[]} calendars @param {string} nothing Where none is named. */
export function calendarField(value, calendars, nothing = t`as the project`) {
  const options = calendars.map(({ id, name }) => [id, name || id]);
  return field({
    label: t`Calendar`,
    name: "calendar",
    type: "select",
    value,
    options: [["", nothing], ...options],
  });
}
