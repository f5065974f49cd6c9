/** Checks on the Records sheet: those that hold, those passed over, those without a record. */

import { el, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { t } from "../lib/text.js";
import { checkName, checkStamp, checkText } from "./check-words.js";
import { openSignOff } from "./sign-off-form.js";
import { openTaskSheet } from "./task-sheet.js";

/** How many are shown before the rest is unfolded. */
const NEXT = 8;

/**
 * The next to be needed first.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any[]} checks Those in sight. @param {any[]} all Those on paper. @param {() => Promise<void>} again
 */
export function holdingChecks(sheet, checks, all, again) {
  if (!all.length) return el("p.empty-state", {}, t`No check is open.`);
  const list = (some) => el("ul.check-list", { role: "list" }, some.map((one) => entry(sheet, one, again)));
  const rest = checks.slice(NEXT);
  return [
    el(
      "div.no-print",
      {},
      list(checks.slice(0, NEXT)),
      rest.length ? el("details", {}, el("summary", {}, t`${formatNumber(rest.length)} more, later`), list(rest)) : null,
    ),
    el("div.print-only", {}, onPaper(all)),
  ];
}

/** One line each. */
function onPaper(checks) {
  return table({
    caption: t`Checks that are open, the next to be needed first`,
    hideCaption: true,
    rows: checks,
    columns: [
      { label: t`Task`, cell: ({ task, name }) => `${name} (${task})`, heading: true },
      { label: t`Check`, cell: ({ check }) => checkName(check.kind) },
      { label: t`Wants`, cell: ({ check }) => (check.state === "reopened" ? [el("b", {}, t`Open again:`), " ", ...checkText(check)] : check.wants || checkText(check)) },
      { label: t`Planned done`, cell: ({ finish }) => when(finish) },
    ],
  });
}

function entry(sheet, one, again) {
  const { task, name, check, finish, version } = one;
  const open = () => openTaskSheet(sheet, task, { onChange: again });
  const sign = () => openSignOff(sheet, { id: task, name, version, check }, { afterwards: again }).catch(sayProblem);
  return el(
    "li.check-entry",
    { "data-task": task },
    el("div.check-line", {}, checkStamp(check), " ", el("button.task-link", { type: "button", onclick: open }, name), " ", el("span.soft", {}, t`${task}, done by ${when(finish)} as written`)),
    el("p", {}, checkText(check)),
    sheet.readOnly ? null : el("button.button.no-print", { type: "button", "aria-label": t`Sign off: ${name}`, onclick: sign }, t`Sign off…`),
  );
}

/** @param {any[]} checks */
export function passedOver(checks) {
  if (!checks.length) return el("p.empty-state", {}, t`No check was passed over.`);
  return table({
    caption: t`Checks that a named person passed over`,
    hideCaption: true,
    rows: checks,
    columns: [
      { label: t`Task`, cell: ({ task, name }) => `${name} (${task})`, heading: true },
      { label: t`Check`, cell: ({ check }) => [checkName(check.kind), el("div.soft", {}, check.by, ", ", when(check.on))] },
      { label: t`Because`, cell: ({ check }) => check.reason },
    ],
  });
}

/** Work that was done before its check was kept holds nothing, and is listed. @param {any[]} checks */
export function withoutRecord(checks) {
  if (!checks.length) return null;
  return el(
    "details",
    {},
    el("summary", {}, t`No record: ${formatNumber(checks.length)} done before their check was kept here`),
    el("ul.plain-list", {}, checks.map(({ task, name, check }) => el("li", {}, `${name} (${task}). `, checkText(check)))),
  );
}
