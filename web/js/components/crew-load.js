/** Work against hands: the chart by trade and week, and what it comes to for each trade and place. */

import { drawChart } from "../lib/chart.js";
import { el, fill, when } from "../lib/dom.js";
import { formatDays, formatNumber, formatShare } from "../lib/format.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { longTable } from "./long-table.js";

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {HTMLElement} chart
 * @param {HTMLElement} trades
 * @param {any} load As the service tells it.
 */
export async function showLoad(sheet, chart, trades, load) {
  const isOpen = trades.querySelector("details")?.open;
  fill(trades, el("details.behind", { open: isOpen }, el("summary", {}, t`Each trade and place as a table`), summary(load)));
  await drawChart(chart, {
    path: sheet.path("/charts/crew-load"),
    label: t`Days of work against days of hands, for each trade and place by week. The table says the same.`,
    table: weeksTable(load),
    tableTitle: t`Each week as a table`,
  });
}

/** What a trade or a place is called, and how many there are. */
function rowsOf({ trades, places }) {
  return [
    ...trades.map((one) => ({ ...one, title: tradeName(one.trade), count: one.people })),
    ...places.map((one) => ({ ...one, title: one.name || one.place, count: one.capacity })),
  ];
}

function summary(load) {
  const rows = rowsOf(load);
  return table({
    caption: t`What is left to do, and who can do it`,
    rows,
    empty: t`No trade and no place is asked for.`,
    columns: [
      { label: t`Trade or place`, cell: (one) => [one.title, one.labels?.length ? el("span.crew-labels", {}, one.labels.join(", ")) : null], heading: true, sort: (one) => one.title },
      { label: t`How many`, cell: (one) => (one.count ? formatNumber(one.count) : t`nobody`), numeric: true },
      { label: t`Work left, days`, cell: (one) => formatNumber(one.used_days), sort: (one) => one.used_days, numeric: true },
      { label: t`Hands there, days`, cell: (one) => formatNumber(one.available_days), sort: (one) => one.available_days, numeric: true },
      { label: t`Busiest week`, cell: busiest },
      { label: t`Sets the finish`, cell: (one) => pathWords(one, load), sort: (one) => one.share_of_path ?? 0, numeric: true },
    ],
  });
}

/** "from 4 Jan 2027: 5 of 5 days", and in words where work meets nobody on its own dates. */
function busiest({ busiest_week: monday, weeks }) {
  const week = weeks.find((one) => one.week === monday);
  if (!week) return "";
  const [from, used, available] = [when(monday), formatNumber(week.used_days), formatDays(week.available_days)];
  return week.over_days > 0
    ? many(week.over_days, "from {0}: {1} of {2}; {n} day finds nobody free", "from {0}: {1} of {2}; {n} days find nobody free", from, used, available)
    : t`from ${from}: ${used} of ${available}`;
}

function pathWords({ share_of_path: share }, { path_days: days }) {
  return share ? `${formatDays(share * days)}, ${formatShare(share)}` : "";
}

function weeksTable(load) {
  const rows = rowsOf(load).flatMap((one) => one.weeks.map((week) => ({ ...week, title: one.title })));
  const list = longTable({
    caption: t`Work and hands by week`,
    text: (row) => `${row.title} ${row.week}`,
    columns: [
      { label: t`Week from`, cell: (row) => when(row.week), sort: (row) => row.week, heading: true },
      { label: t`Trade or place`, cell: (row) => row.title, sort: (row) => row.title },
      { label: t`Work, days`, cell: (row) => formatNumber(row.used_days), sort: (row) => row.used_days, numeric: true },
      { label: t`Hands, days`, cell: (row) => formatNumber(row.available_days), sort: (row) => row.available_days, numeric: true },
      { label: t`Nobody free, days`, cell: (row) => (row.over_days > 0 ? formatNumber(row.over_days) : ""), sort: (row) => row.over_days, numeric: true },
    ],
  });
  list.showRows(rows);
  return list.node;
}
