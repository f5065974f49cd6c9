/** How long a vendor may take over one item: a sentence, and a small plot drawn when it is opened. */

import { drawChart } from "../lib/chart.js";
import { el } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { t, told } from "../lib/text.js";

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {{id: string, name: string}} item
 * @param {any} lead Of the simulation's answer; null once the vendor's work is over.
 * @param {{isStale?: boolean}} [options] Of a plan that has changed since: it keeps its room, unseen.
 * @returns {HTMLElement | null}
 */
export function leadTime(sheet, item, lead, { isStale = false } = {}) {
  if (!lead) return null;
  const place = el("div.chart");
  const more = el("details.lead-plot.no-print", {}, el("summary", {}, t`How long it may take`), place);
  more.addEventListener("toggle", () => {
    if (more.open && !place.firstChild) draw(place, { sheet, item, lead }).catch(sayProblem);
  });
  return el(`div.lead-time${isStale ? ".stale" : ""}`, {}, el("p", {}, told(lead.sentence)), more);
}

async function draw(place, { sheet, item, lead }) {
  await drawChart(place, {
    path: sheet.path("/charts/lead-time"),
    query: { send_out: item.id },
    label: t`${item.name}: the chance that the vendor is done, by working days. ${told(lead.sentence)}`,
    table: figures(lead),
  });
}

function figures(lead) {
  const rows = [
    [t`So far`, lead.elapsed_days],
    [t`Quoted`, lead.quoted_days],
    lead.promised_days ? [t`Promised`, lead.promised_days] : null,
    [t`1 chance in 10`, lead.p10_days],
    [t`Likely`, lead.p50_days],
    [t`8 chances in 10`, lead.p80_days],
    [t`9 chances in 10`, lead.p90_days],
  ].filter(Boolean);
  return table({
    caption: t`Working days of the vendor, since its work began`,
    rows,
    columns: [
      { label: t`What`, cell: ([label]) => label, heading: true },
      { label: t`Done within`, cell: ([, days]) => formatDays(days), numeric: true },
    ],
  });
}
