/** The plan and the cases side by side: finish, milestones, what newly sets the finish. */

import { el, when } from "../lib/dom.js";
import { formatDays, formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";

const NAMED = 6;

/**
 * @param {any} answer Of POST cases.
 * @param {Map<string, string>} names Names of activities by id.
 * @returns {HTMLElement}
 */
export function caseTable({ plan, cases }, names) {
  const rows = [
    { label: "Finish", plan: when(plan.finish), cells: cases.map((one) => moved(one.finish, one.moved_days)), strong: true },
    ...milestoneRows(cases),
    {
      label: "Newly sets the finish",
      plan: el("span.soft", {}, `${formatNumber(plan.critical_path.length)} steps`),
      cells: cases.map((one) => newOnPath(one, names)),
    },
  ];
  return table({
    caption: "The plan and the cases",
    hideCaption: true,
    rows,
    columns: [
      { label: "What moves", cell: (row) => row.label, heading: true },
      { label: "Plan", cell: (row) => row.plan },
      ...cases.map((one, at) => ({ label: one.name || `Case ${at}`, cell: (row) => row.cells[at] })),
    ],
  });
}

/** Milestones that move in at least one case; the others are not worth a row. */
function milestoneRows(cases) {
  const first = cases[0]?.milestones ?? [];
  return first
    .map(({ id, name, plan }, at) => ({
      label: name || id,
      plan: when(plan),
      all: cases.map((one) => one.milestones.find((other) => other.id === id) ?? one.milestones[at]),
    }))
    .filter(({ all }) => all.some((one) => one.moved_days))
    .map(({ label, plan, all }) => ({ label, plan, cells: all.map((one) => moved(one.case, one.moved_days)) }));
}

function moved(iso, days) {
  if (!days) return el("span", {}, when(iso), el("span.soft", {}, ", as planned"));
  return el("span", {}, when(iso), `, ${formatDays(Math.abs(days))} ${days > 0 ? "later" : "sooner"}`);
}

function newOnPath({ new_on_path: ids }, names) {
  if (!ids.length) return el("span.soft", {}, "nothing new");
  const shown = ids.slice(0, NAMED).map((id) => el("li", {}, names.get(id) ?? id));
  const rest = ids.length - NAMED;
  return el("ol.new-path", {}, shown, rest > 0 ? el("li.soft", {}, `and ${formatNumber(rest)} more`) : null);
}
