/** Plans that were approved, with their reasons; approving the plan as it stands. */

import { post } from "../lib/api.js";
import { el, fill, when } from "../lib/dom.js";
import { field, form, readForm, showErrors } from "../lib/forms.js";
import { formatExact, formatMoney, formatNumber } from "../lib/format.js";
import { say } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { t } from "../lib/text.js";
import { unfolding } from "./editing.js";

/**
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {{baselines: any[], plan_version: number}} approved Oldest first; and the plan that is looked at.
 * @param {() => Promise<any>} afterwards
 */
export function showBaselines(place, sheet, { baselines, plan_version: version }, afterwards) {
  fill(
    place,
    baselines.length
      ? table({
          caption: t`Plans approved, the one in force first`,
          hideCaption: true,
          rows: [...baselines].reverse(),
          columns: [
            { label: t`Approved on`, cell: (one) => when(one.approved_on), heading: true },
            { label: t`Finish as approved`, cell: (one) => when(one.finish) },
            { label: t`Worth`, cell: (one) => formatExact(one.amount, sheet.project.currency), numeric: true },
            { label: t`Pieces of work`, cell: (one) => formatNumber(one.packages), numeric: true },
            { label: t`Reason`, cell: (one) => one.reason || t`none given` },
          ],
        })
      : el("p.empty-state", {}, t`No plan is approved yet: there is nothing to measure the work against. Approve it once the budget is agreed; every later approval keeps those before it.`),
    sheet.mayDecide ? approval(sheet, baselines, version, afterwards) : el("p.soft", {}, t`The owner or the planner approves a plan.`),
  );
}

function approval(sheet, baselines, version, afterwards) {
  const node = form(
    [
      field({ label: t`Reason`, name: "reason", hint: baselines.length ? t`What has become different since the last one.` : t`Such as “agreed at the start”.`, attributes: { maxlength: 2000 } }),
      el("button.button.strong", {}, t`Approve the plan as it stands`),
    ],
    async () => {
      const { reason } = readForm(node);
      if (!reason) {
        showErrors(node, [{ field: "reason", message: t`Reason: say why it is approved now; it is kept.` }]);
        return;
      }
      await post(sheet.path("/baselines"), { reason, plan_version: version });
      await afterwards();
      say(t`The plan and its budget are approved as they stand. Earlier ones are kept.`);
    },
  );
  return el("div.no-print", {}, unfolding("new-baseline", el("b", {}, baselines.length ? t`Approve it anew` : t`Approve the plan as it stands`), node));
}

/** What is in force. @param {any[]} baselines Oldest first. @param {string} currency */
export function baselineLine(baselines, currency) {
  const last = baselines.at(-1);
  if (!last) return t`None yet.`;
  return t`In force: ${when(last.approved_on)}, ${formatMoney(last.amount, currency)}, finish ${when(last.finish)}.`;
}
