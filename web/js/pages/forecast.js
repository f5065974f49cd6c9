/** Forecast: when it will be finished, why, and what the owner has to decide. */

import { mountAirframe } from "../components/airframe.js";
import { chain } from "../components/chain.js";
import { printCharts } from "../components/chart-print.js";
import { dimension } from "../components/dimension.js";
import { get } from "../lib/api.js";
import { drawChart } from "../lib/chart.js";
import { byId, el, fill, when } from "../lib/dom.js";
import { daysBetween, formatDate, formatDays, formatMoney, formatNumber, formatShare } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { table } from "../lib/table.js";

const HONEST = "This is the date if nothing more slips; it is not a promise. How likely it is has not been worked out.";

runPage(async (sheet) => {
  printCharts("portrait");
  const [forecast, { total }] = await Promise.all([
    get(sheet.path("/forecast")),
    get(sheet.path("/tasks"), { query: { limit: 1 } }),
    mountAirframe(byId("airframe"), sheet, {
      onSelect: (zone) => {
        location.href = sheet.link("schedule", { zone });
      },
    }),
  ]);
  if (!total) {
    byId("main").replaceChildren(byId("main").querySelector("h1"), el("p.empty-state", {}, "There is no work in this plan yet, so there is nothing to forecast. Bring in a plan file on the ", el("a", { href: `${sheet.link("settings")}#plan-file` }, "Settings"), " sheet."));
    return;
  }
  drawAnswer(sheet, forecast);
  drawNext(forecast);
  drawMilestones(forecast);
  drawWhy(forecast);
  await drawMoved(sheet, forecast);
});

function drawAnswer(sheet, forecast) {
  const isOver = !forecast.why.length;
  fill(
    byId("answer"),
    el("p.answer-label", {}, `${sheet.project.aircraft || sheet.project.name} ${isOver ? "was finished on" : "will be finished on"}`),
    el("p.answer-date", {}, when(forecast.finish, "long")),
    el("p.lead", {}, targetSentence(forecast), " ", movedSentence(forecast)),
    isOver ? null : el("p.answer-honest", {}, HONEST),
    isOver ? null : dimension(forecast),
    el(
      "dl.answer-brief",
      {},
      brief("Why this date", reason(forecast)),
      brief("Waiting for your yes", pricesWaiting(sheet, forecast)),
    ),
    el("p", {}, progressSentence(forecast)),
    el("p", {}, spendSentence(forecast.spend)),
    el("p.no-print", {}, el("button.button", { type: "button", onclick: () => print() }, "Print this sheet")),
  );
}

function targetSentence({ finish, target_finish: target, late_days: late }) {
  if (!target) return "No target date is set.";
  if (!late) return "That is the target date.";
  const way = late > 0 ? "after" : "before";
  return `That is ${formatDays(Math.abs(daysBetween(target, finish)))} ${way} the target of ${formatDate(target)}.`;
}

function movedSentence({ log }) {
  const before = log.findLast((entry) => entry.finish !== log.at(-1).finish);
  if (!before) return "The date has not moved since this log began.";
  const moved = daysBetween(before.finish, log.at(-1).finish);
  const way = moved > 0 ? "later" : "sooner";
  return `It last moved from ${formatDate(before.finish)}, ${formatDays(Math.abs(moved))} ${way}.`;
}

function progressSentence({ done_share: share, weeks_to_go: weeks }) {
  const left = weeks > 0 ? `${formatNumber(weeks)} weeks to go` : "nothing left to do";
  return `Over all zones, ${formatShare(share)} of the planned work is done; ${left}.`;
}

function spendSentence({ currency, budget, paid, by_currency: others }) {
  const also = others.filter((one) => Number(one.paid) > 0).map((one) => formatMoney(one.paid, one.currency));
  const spent = `Paid so far: ${[formatMoney(paid, currency), ...also].join(" + ")}`;
  const note = also.length ? " (each currency as it was paid, nothing converted)" : "";
  return Number(budget) > 0
    ? `${spent}${note}, against a budget of ${formatMoney(budget, currency)}.`
    : `${spent}${note}; no budget is set.`;
}

function brief(label, content) {
  return el("div", {}, el("dt", {}, label), el("dd", {}, content));
}

/** The first of the work that holds the date, and how much follows it. */
function reason({ why, finish }) {
  if (!why.length) return "Nothing is left to do.";
  const [first] = why;
  const rest = why.length - 1;
  const follow = rest ? `; then ${formatNumber(rest)} more ${rest === 1 ? "piece" : "pieces"} of work, one after another, until ` : ", until ";
  const place = first.zone_name ? ` (${first.zone_name})` : "";
  return [el("b", {}, first.name), place, follow, when(rest ? finish : first.finish), ". ", el("a.no-print", { href: "#why-title" }, "See the whole chain")];
}

function pricesWaiting(sheet, { waiting_for_owner: waiting }) {
  if (!waiting.length) return "Nothing: no vendor's price waits for you.";
  const line = ({ id, name }) =>
    el("li", {}, "The price of ", el("a", { href: `${sheet.link("away")}#${encodeURIComponent(id)}` }, name));
  return [
    el("ul.waiting", { role: "list" }, waiting.map(line)),
    el("p.soft", {}, "Tell the shop your answer; it is recorded there."),
  ];
}

function drawNext({ next, as_of: asOf }) {
  fill(
    byId("next"),
    next.length
      ? el(
          "ul.next",
          { role: "list" },
          next.map((one) =>
            el("li", {}, one.start <= asOf ? el("span", {}, "now") : when(one.start, "short"), el("span", {}, one.name, one.zone_name ? el("span.soft", {}, `, ${one.zone_name}`) : null)),
          ),
        )
      : el("p", {}, "No work is left to start."),
  );
}

function drawMilestones({ milestones }) {
  const spare = ({ done, total_float_days: days }) => {
    if (done) return "";
    if (days < 0) return `${formatDays(-days)} too late`;
    return days > 0 ? `${formatDays(days)} to spare` : "no day to spare";
  };
  fill(
    byId("milestones"),
    table({
      caption: "Milestones with dates",
      hideCaption: true,
      rows: milestones,
      empty: "No milestones in this plan.",
      columns: [
        { label: "Milestone", cell: (one) => one.name, heading: true },
        { label: "Date", cell: (one) => when(one.finish), sort: (one) => one.finish },
        { label: "State", cell: (one) => (one.done ? el("span.stamp.done", {}, "Reached") : spare(one)) },
      ],
    }),
  );
}

function drawWhy({ why, finish }) {
  const stops = why.map((one) => ({ ...one, zone: one.zone_name }));
  fill(
    byId("why"),
    stops.length
      ? [
          el(
            "p.lead",
            {},
            `Because these ${formatNumber(stops.length)} pieces of work wait for one another, the last until `,
            when(finish),
            ". A day lost in one of them is nearly always a day lost at the end.",
          ),
          chain(stops, { name: (one) => one.name, more: "more steps" }),
        ]
      : el("p", {}, "Nothing is left to do."),
  );
}

async function drawMoved(sheet, { log }) {
  const rows = [...log].reverse();
  const by = (entry) => {
    const before = log[log.indexOf(entry) - 1];
    const moved = before ? daysBetween(before.finish, entry.finish) : 0;
    if (!moved) return "";
    return `${formatDays(Math.abs(moved))} ${moved > 0 ? "later" : "sooner"}`;
  };
  const entries = table({
    caption: "Each forecast and why it changed",
    rows,
    empty: "No forecast has been logged yet.",
    columns: [
      { label: "On", cell: (one) => when(one.on), heading: true },
      { label: "Finish", cell: (one) => when(one.finish) },
      { label: "Moved", cell: by },
      { label: "Because of", cell: (one) => one.reason },
    ],
  });
  await drawChart(byId("moved"), {
    path: sheet.path("/charts/forecast-log"),
    label: "The forecast finish as it was on each date, with the target.",
    table: entries,
  });
}
