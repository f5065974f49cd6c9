/** What was done to a task and its links, on its sheet; what was done last can be taken back. */

import { describeChange, whoAndWhen } from "../lib/changes.js";
import { el } from "../lib/dom.js";
import { sayProblem } from "../lib/notice.js";
import { t } from "../lib/text.js";
import { takeBack } from "./undo.js";

/** What was done here; larger actions are taken back where they were begun. */
const OWN = /^(task|link)\.(status|edit|plan|add|drop)$/;

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any[]} changes Of the task and of its links, the newest first.
 * @param {{id: string, name: string}} task
 * @param {() => Promise<void>} afterwards
 */
export function history(sheet, changes, task, afterwards) {
  const last = sheet.readOnly ? undefined : changes.find(({ undoes, undone_by: by }) => undoes === null && by === null);
  const canGo = last && OWN.test(last.action) && (last.kind === "link" || last.before);
  const line = (change) =>
    el(
      "li",
      { "data-change": change.number },
      change.kind === "link" && el("span", {}, `${change.key}: `),
      describeChange(change),
      el("span.soft", {}, `, ${whoAndWhen(change)}`),
      change === last && canGo && [" ", undo(sheet, last, changes, task, afterwards)],
    );
  return el(
    "details.task-history",
    {},
    el("summary", {}, t`History`),
    changes.length ? el("ol", {}, changes.map(line)) : el("p.soft", {}, t`Nothing was changed since it was brought in.`),
  );
}

/** All that was done in the same action goes with it. */
function undo(sheet, { kind, key }, changes, { name }, afterwards) {
  const { version } = changes.find((one) => one.kind === kind && one.key === key);
  const button = el("button.button", { type: "button", "aria-label": t`Undo: ${name}` }, t`Undo`);
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await takeBack(sheet, { kind, key, name, version }, afterwards);
    } catch (error) {
      button.disabled = false;
      sayProblem(error);
    }
  });
  return button;
}
