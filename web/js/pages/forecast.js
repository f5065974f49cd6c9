/** Forecast: when it will be finished, how sure that is, why, and what the owner has to decide. */

import { mountAirframe } from "../components/airframe.js";
import { causesList } from "../components/causes.js";
import { chain } from "../components/chain.js";
import { chartKey } from "../components/chart-key.js";
import { printCharts } from "../components/chart-print.js";
import { isCertain } from "../components/date-band.js";
import { finishAnswer, movedDays, writtenSentence } from "../components/finish-answer.js";
import { moneyAnswer, spendSentence } from "../components/money-answer.js";
import { askAgain } from "../components/spread-slot.js";
import { chancesTable, drawMilestones, footnote } from "../components/spread-panels.js";
import { get } from "../lib/api.js";
import { chances } from "../lib/chances.js";
import { drawChart } from "../lib/chart.js";
import { byId, el, fill, when } from "../lib/dom.js";
import { daysBetween, formatDays, formatExact, formatNumber, formatShare } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { showSimulation } from "../lib/simulation.js";
import { table } from "../lib/table.js";

runPage(async (sheet) => {
  printCharts("portrait");
  const [{ total }] = await Promise.all([
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
  sheet.keepUp(async () => {
    await sheet.refreshTitleBlock();
    askAgain(sheet);
  });
  await showSimulation(sheet, { place: byId("spread-state"), onAnswer: ({ result }) => draw(sheet, result) });
});

/** The whole sheet, with what the simulation found or without; the plan may have moved on since. */
async function draw(sheet, result) {
  const [forecast, money] = await Promise.all([get(sheet.path("/forecast")), get(sheet.path("/money"))]);
  const isOpen = result !== null && forecast.why.length > 0 && !isCertain(result.finish);
  drawAnswer(sheet, { forecast, money }, result);
  drawNext(forecast);
  drawMilestones(byId("milestones"), forecast.milestones, result);
  drawMoney(sheet, money, result);
  drawWhy(forecast);
  byId("sure").hidden = !isOpen;
  byId("uncertain").hidden = !isOpen;
  await Promise.all([drawMoved(sheet, forecast), isOpen && drawSure(sheet, result), isOpen && drawCauses(sheet)]);
}

function drawAnswer(sheet, { forecast, money }, result) {
  fill(
    byId("answer"),
    finishAnswer(forecast, result, sheet.project.aircraft || sheet.project.name),
    el(
      "dl.answer-brief",
      {},
      brief("Why this date", reason(forecast)),
      brief("Waiting for your yes", waiting(sheet, forecast, money)),
    ),
    writtenSentence(forecast, result),
    el("p", {}, progressSentence(forecast, result)),
    el("p", {}, spendSentence(money)),
    el("p.no-print", {}, el("button.button", { type: "button", onclick: () => print() }, "Print this sheet")),
  );
}

async function drawSure(sheet, result) {
  fill(byId("sure-note"), footnote(result));
  await drawChart(byId("curve"), {
    path: sheet.path("/charts/finish-curve"),
    label: "The chances that it is finished, by date, with the likely, the 80 % and the wanted date.",
    table: chancesTable(result),
  });
}

async function drawCauses(sheet) {
  await showSimulation(sheet, {
    path: "/causes",
    what: "what makes the date uncertain",
    place: byId("causes-state"),
    onAnswer: ({ result }) => fill(byId("causes"), result ? causesList(result) : null),
  });
}

function drawMoney(sheet, money, result) {
  const why = result?.cost_reason;
  fill(
    byId("money"),
    moneyAnswer(money, result),
    bothSentence(result),
    why ? el("p", {}, why) : null,
    el("p.no-print", {}, el("a", { href: sheet.link("money") }, "All about the money"), ", ", el("a", { href: sheet.link("statement") }, "the owner’s statement")),
  );
}

function bothSentence(result) {
  if (!result?.both || !result.target) return null;
  return el("p", {}, `Finished by the wanted date and within the budget, both: ${chances(result.both.probability)}.`);
}

function progressSentence({ as_of: asOf, finish, done_share: share }, result) {
  const weeks = Math.round(daysBetween(asOf, result?.finish.p50 ?? finish) / 7);
  const left = weeks > 0 ? `about ${formatNumber(weeks)} ${weeks === 1 ? "week" : "weeks"} to go` : "nothing left to do";
  return `Over all zones, ${formatShare(share)} of the planned work is done; ${left}.`;
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
  return [el("b", {}, first.name), place, follow, when(rest ? finish : first.finish), " if everything goes as written. ", el("a.no-print", { href: "#why-title" }, "See the whole chain")];
}

/** Over-and-above items are answered on Money; a vendor's price is told to the shop. */
function waiting(sheet, { waiting_for_owner: prices }, { decisions }) {
  if (!prices.length && !decisions.length) return "Nothing: no price and no work waits for it.";
  const price = ({ id, name }) => el("li", {}, "The price of ", el("a", { href: `${sheet.link("away")}#${encodeURIComponent(id)}` }, name));
  return [
    el("ul.waiting", { role: "list" }, decisions.length ? el("li", {}, asked(sheet, decisions)) : null, prices.map(price)),
    prices.length ? el("p.soft", {}, "Tell the shop your answer to a price; it is recorded there.") : null,
  ];
}

/** The first over-and-above item, with the way to where all are answered. */
function asked(sheet, [first, ...others]) {
  const rest = others.length ? `, and ${formatNumber(others.length)} more` : "";
  return [el("a", { href: `${sheet.link("money")}#decisions-panel` }, first.name), `: ${formatExact(first.amount, first.currency)}${rest}`];
}

function drawNext({ next, as_of: asOf }) {
  fill(
    byId("next"),
    next.length
      ? [
          el("p.soft", {}, "What can be started, on the dates as written."),
          el(
            "ul.next",
            { role: "list" },
            next.map((one) =>
              el("li", {}, one.start <= asOf ? el("span", {}, "now") : when(one.start, "short"), el("span", {}, one.name, one.zone_name ? el("span.soft", {}, `, ${one.zone_name}`) : null)),
            ),
          ),
        ]
      : el("p", {}, "No work is left to start."),
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
            `If everything goes as written, these ${formatNumber(stops.length)} pieces of work wait for one another, the last until `,
            when(finish),
            ". A day lost in one of them is nearly always a day lost at the end.",
          ),
          chain(stops, { name: (one) => one.name, more: "more steps" }),
        ]
      : el("p", {}, "Nothing is left to do."),
  );
}

/** One date has not moved yet: a drawing of it would show nothing. */
function began(entry) {
  if (!entry) return "No forecast has been logged yet.";
  const { on, finish, p50, p80 } = entry;
  const dates = p50 ? ["likely ", when(p50), ", 80\u00a0% by ", when(p80)] : [when(finish), " as written"];
  return ["The log began on ", when(on), ": ", dates, ". From the next date on, how it has moved is drawn here."];
}

async function drawMoved(sheet, { log }) {
  const known = log.some(({ p50 }) => p50);
  const by = (entry) => {
    const days = movedDays(log[log.indexOf(entry) - 1], entry);
    return days ? `${formatDays(Math.abs(days))} ${days > 0 ? "later" : "sooner"}` : "";
  };
  const dated = (iso) => (iso ? when(iso) : el("span.soft", {}, "not known"));
  const entries = table({
    caption: "Each forecast and why it changed",
    rows: [...log].reverse(),
    empty: "No forecast has been logged yet.",
    columns: [
      { label: "On", cell: (one) => when(one.on), heading: true },
      ...(known ? [{ label: "Likely finish", cell: (one) => dated(one.p50) }, { label: "80\u00a0% by", cell: (one) => dated(one.p80) }] : []),
      { label: "As written", cell: (one) => when(one.finish) },
      { label: "Moved", cell: by },
      { label: "Because of", cell: (one) => one.reason },
    ],
  });
  if (new Set(log.map(({ on }) => on)).size < 2) {
    fill(byId("moved-key"));
    fill(byId("moved"), el("p", {}, began(log.at(-1))), el("details.behind", {}, el("summary", {}, "The log as a table"), entries));
    return;
  }
  fill(byId("moved-key"), known ? chartKey(["likely", "by80", "written", "spread"]) : null);
  await drawChart(byId("moved"), {
    path: sheet.path("/charts/forecast-log"),
    label: "The forecast finish as it was on each date, with the target.",
    table: entries,
  });
}
