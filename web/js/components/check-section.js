/** The check on the sheet of a task: what it wants, who signed, and signing. */

import { sayProblem } from "../lib/notice.js";
import { datedText, el, when } from "../lib/dom.js";
import { t } from "../lib/text.js";
import { checkStamp, checkText, holds } from "./check-words.js";
import { openReopening, openSignOff } from "./sign-off-form.js";

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any} answer The task as the service answers it.
 * @param {object} page
 * @param {() => void} page.close Puts the task's sheet away.
 * @param {() => Promise<void>} page.onChange
 */
export function checkSection(sheet, { task, version, check, sign_offs: signed, held_back_by: waits }, { close, onChange }) {
  if (!check && !waits.length) return null;
  const card = { id: task.id, name: task.name, version, check };
  const open = (how) => () => {
    close();
    how(sheet, card, { afterwards: onChange }).catch(sayProblem);
  };
  const buttons = check && !sheet.readOnly && [
    check.state === "settled" ? null : el("button.button", { type: "button", onclick: open(openSignOff) }, t`Sign off…`),
    holds(check) ? null : el("button.button", { type: "button", onclick: open(openReopening) }, t`Open again…`),
  ];
  return el(
    "section.check-section",
    {},
    el("h3", {}, t`Check`),
    waits.map((sentence) => el("p.check-waits", {}, t`Cannot start: ${datedText(sentence)}`)),
    check && el("p.check-line", {}, checkStamp(check), " ", checkText(check)),
    signed.length ? el("ol.sign-offs", {}, signed.map(line)) : null,
    buttons && el("div.button-row", {}, buttons),
  );
}

function line({ on, by, licence, statement, override, reopens }) {
  const who = licence ? t`${by} (${licence})` : by;
  const word = override || statement || t`no word was added`;
  if (reopens) return el("li", {}, t`${when(on)}, open again by ${who}: ${word}`);
  return el("li", {}, override ? t`${when(on)}, passed over by ${who}: ${word}` : t`${when(on)}, signed off by ${who}: ${word}`);
}
