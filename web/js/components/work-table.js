/** All work with its dates: as written, likely, and how often it sets the finish. */

import { el, when } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";
import { t } from "../lib/text.js";
import { stateName, tradeName } from "../lib/words.js";
import { ofHundred } from "./courses.js";
import { longTable } from "./long-table.js";

/**
 * @param {object} parts
 * @param {(one: any) => HTMLElement} parts.name How a piece of work is named.
 * @param {(one: any) => string} parts.zone
 * @param {() => boolean} parts.isComputing Whether likely dates are still to come.
 * @returns {ReturnType<typeof longTable>} Empty until rows are shown.
 */
export function workTable({ name, zone, isComputing }) {
  const likely = (level) => (one) => {
    if (one.spread) return when(one.spread[level]);
    return one.state !== "done" && isComputing() ? el("span.soft", {}, t`being computed`) : "";
  };
  return longTable({
    caption: t`Work with dates and float`,
    text: (one) => `${one.id} ${one.name} ${zone(one)} ${one.trade ?? ""} ${stateName(one.state)}`,
    columns: [
      { label: t`Work`, cell: name, sort: (one) => one.name, heading: true },
      { label: t`Zone`, cell: zone, sort: zone },
      { label: t`Trade`, cell: (one) => (one.trade ? tradeName(one.trade) : ""), sort: (one) => one.trade },
      { label: t`State`, cell: stamp, sort: (one) => one.state },
      { label: t`Start`, cell: (one) => when(one.start), sort: (one) => one.start },
      { label: t`Finish as written`, cell: (one) => when(one.finish), sort: (one) => one.finish },
      { label: t`Likely`, cell: likely("p50"), sort: (one) => one.spread?.p50 },
      { label: "80 % by", cell: likely("p80"), sort: (one) => one.spread?.p80 },
      { label: t`Float`, cell: float, sort: (one) => (one.state === "done" ? null : one.total_float_days), numeric: true },
      { label: t`Sets the finish, of 100 courses`, cell: (one) => ofHundred(one.criticality), sort: (one) => one.criticality, numeric: true },
    ],
  });
}

function stamp(one) {
  return el(`span.stamp.${one.state}`, {}, stateName(one.state));
}

function float(one) {
  if (one.state === "done") return "";
  if (one.total_float_days < 0) return t`${formatDays(-one.total_float_days)} too late`;
  return one.critical ? "none" : formatDays(one.total_float_days);
}
