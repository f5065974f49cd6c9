/** A new project has begun: what it begins with, and when it would be finished. */

import { get } from "../lib/api.js";
import { el, fill, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { follow } from "../lib/simulation.js";
import { table } from "../lib/table.js";
import { many, t, told } from "../lib/text.js";
import { isCertain, likelyDate } from "./date-band.js";

/** @param {any} begun What the service answered. @param {any} told */
export function begunPanel(begun, told) {
  const path = `/projects/${begun.id}`;
  const hours = begun.work.reduce((sum, one) => sum + one.hours, 0);
  const likely = el("p.begun-likely", { role: "status" }, t`How sure that is, is being worked out.`);
  showLikely(path, likely, told.target_finish);
  const link = (sheet) => `/${sheet}?project=${begun.id}`;
  return el(
    "section.panel.begun",
    { "aria-labelledby": "begun-title" },
    el("h2", { id: "begun-title", tabindex: "-1" }, t`${told.name} has begun`),
    el("p.answer-label", {}, t`With nothing found yet, as written it would be finished on`),
    el("p.answer-date", {}, when(begun.finish)),
    likely,
    el("p", {}, many(begun.tasks, "That is {n} task and about {0} hours of work that every aircraft of its kind needs. Each finding adds what it asks for.", "That is {n} tasks and about {0} hours of work that every aircraft of its kind needs. Each finding adds what it asks for.", formatNumber(Math.round(hours)))),
    begun.problems.length ? el("div.problem", {}, el("ul", {}, begun.problems.map((sentence) => el("li", {}, told(sentence))))) : null,
    el("p.button-row.no-print", {}, el("a.button.strong", { href: link("evaluation") }, t`Begin the evaluation`), el("a.button", { href: link("forecast") }, t`See the forecast`)),
    el("details.behind", {}, el("summary", {}, t`Hours, card by card`), workTable(begun.work)),
  );
}

/** Tell the likely finish as soon as it is known. */
function showLikely(path, place, target) {
  const stop = follow(`${path}/simulation`, async (answer) => {
    if (answer?.state === "running") return;
    stop();
    const block = answer?.state === "ready" ? await get(`${path}/title-block`) : null;
    if (!block?.likely) {
      fill(place, t`How sure that is could not be worked out; the forecast says more.`);
      return;
    }
    const spread = { p10: block.p10, p50: block.likely, p80: block.by80, p90: block.p90 };
    fill(place, likelyDate(spread, isCertain(spread) ? {} : { target, size: "row" }));
  });
}

function workTable(work) {
  return table({
    caption: t`Likely hours of each method card`,
    hideCaption: true,
    rows: work,
    columns: [
      { label: t`Work`, cell: ({ card, name }) => [el("span.soft", {}, card), " ", name], heading: true },
      { label: t`Hours`, cell: ({ hours }) => formatNumber(hours), numeric: true },
    ],
  });
}
