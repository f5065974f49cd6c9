/** The shorter lists beside the work: what waits, what comes and goes. */

import { datedText, el, when } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";
import { t, told } from "../lib/text.js";
import { isCertain } from "./date-band.js";
import { urgency } from "./task-card.js";

/** Tasks that can begin soon, and what each waits for. */
export function waitingList(lines, open) {
  const line = ({ task, waits_for: waits }) =>
    el(
      "li.line",
      {},
      el("h3", {}, el("button.name", { type: "button", onclick: () => open(task) }, task.name || task.id)),
      el("p", {}, t`${urgency(task)} planned for ${when(task.start, "short")}`),
      el(
        "ul.waits",
        { role: "list" },
        waits.map(({ name, who }) => el("li", {}, t`waits for ${datedText(name)}`, who && [", ", el("span.soft", {}, told(who))])),
      ),
    );
  return list(lines.map(line), t`Nothing waits for somebody else in the coming days.`);
}

/**
 * Items on their way in or out.
 * @param {any[]} items
 * @param {"in" | "out"} way
 * @param {(id: string) => string} addressOf Where a send-out is worked with.
 */
export function movementList(items, way, addressOf) {
  const line = ({ send_out: id, name, vendor_name: vendor, on, overdue_days: overdue, spread }) =>
    el(
      "li.line",
      {},
      el("h3", {}, el("a", { href: addressOf(id) }, name || id)),
      el(
        "p",
        {},
        el("span.stamp.away", {}, way === "in" ? t`Comes in` : t`Goes out`),
        " ",
        isSure(spread) ? when(on, "long") : t`likely ${when(spread.p50, "short")}, 80\u00a0%\u00a0by\u00a0${when(spread.p80, "short")}`,
        overdue > 0 && [", ", el("strong", {}, t`${formatDays(overdue)} overdue`)],
        isSure(spread) ? null : ["; ", el("span.soft", {}, t`${when(on, "short")} as written`)],
      ),
      el("p.soft", {}, way === "in" ? t`from ${vendor}` : t`to ${vendor}`),
    );
  const nothing = way === "in" ? t`Nothing is expected in the coming days.` : t`Nothing has to leave in the coming days.`;
  return list(items.map(line), nothing);
}

/** Whether there is one date alone to say: nothing is uncertain, or how uncertain it is is not known. */
function isSure(spread) {
  return !spread || isCertain(spread);
}

function list(lines, nothing) {
  if (!lines.length) return el("p.empty-state", {}, nothing);
  return el("ul.lines", { role: "list" }, lines);
}
