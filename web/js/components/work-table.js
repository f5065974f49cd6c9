/** All work with its dates: as written, likely, and how often it sets the finish. */

import { get } from "../lib/api.js";
import { el, when } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";
import { t } from "../lib/text.js";
import { stateName, tradeName } from "../lib/words.js";
import { ofHundred } from "./courses.js";
import { pagedTable } from "./long-table.js";

/**
 * @param {object} parts
 * @param {string} parts.path Where the service gives it a page at a time.
 * @param {() => Record<string, string>} parts.only What narrows it: zone and trade.
 * @param {(one: any) => HTMLElement} parts.name How a piece of work is named.
 * @param {(one: any) => string} parts.zone
 * @param {() => boolean} parts.isComputing Whether likely dates are still to come.
 * @returns {ReturnType<typeof pagedTable>} Empty until it is shown.
 */
export function workTable({ path, only, name, zone, isComputing }) {
  const likely = (level) => (one) => {
    if (one.spread) return when(one.spread[level]);
    return one.state !== "done" && isComputing() ? el("span.soft", {}, t`being computed`) : "";
  };
  return pagedTable({
    caption: t`Work with dates and float`,
    columns: [
      { label: t`Work`, cell: name, sort: "name", heading: true },
      { label: t`Zone`, cell: zone, sort: "zone" },
      { label: t`Trade`, cell: (one) => (one.trade ? tradeName(one.trade) : ""), sort: "trade" },
      { label: t`State`, cell: stamp, sort: "state" },
      { label: t`Start`, cell: (one) => when(one.start), sort: "start" },
      { label: t`Finish as written`, cell: (one) => when(one.finish), sort: "finish" },
      { label: t`Likely`, cell: likely("p50"), sort: "likely" },
      { label: t`80 % by`, cell: likely("p80"), sort: "by80" },
      { label: t`Float`, cell: float, sort: "float", numeric: true },
      { label: t`Sets the finish, of 100 courses`, cell: (one) => ofHundred(one.criticality), sort: "criticality", numeric: true },
    ],
    read: async ({ q, sort, down, offset, limit }) => {
      const { total, activities } = await get(path, { query: { ...only(), q, sort, descending: down || null, offset, limit } });
      return { total, rows: activities };
    },
  });
}

function stamp(one) {
  return el(`span.stamp.${one.state}`, {}, stateName(one.state));
}

function float(one) {
  if (one.state === "done") return "";
  if (one.total_float_days < 0) return t`${formatDays(-one.total_float_days)} too late`;
  return one.critical ? t`none` : formatDays(one.total_float_days);
}
