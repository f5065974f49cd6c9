/** Forecast: when it will be finished, how sure that is, why, and what the owner has to decide. */

import { mountAirframe } from "../components/airframe.js";
import { causeName, causesList } from "../components/causes.js";
import { chain } from "../components/chain.js";
import { chartKey } from "../components/chart-key.js";
import { printCharts } from "../components/chart-print.js";
import { isCertain } from "../components/date-band.js";
import { finishAnswer, movedDays, writtenSentence } from "../components/finish-answer.js";
import { foldSections, tellFold, unfoldNamed } from "../components/fold.js";
import { beyondWritten, budgetSentence, lasting, moneyAnswer, spendSentence } from "../components/money-answer.js";
import { approvedPart } from "../components/money-why.js";
import { showMoved } from "../components/moved-causes.js";
import { photoRow } from "../components/photos.js";
import { sincePicker } from "../components/since-picker.js";
import { askAgain } from "../components/spread-slot.js";
import { chancesTable, drawMilestones, footnote } from "../components/spread-panels.js";
import { get } from "../lib/api.js";
import { chances } from "../lib/chances.js";
import { drawChart } from "../lib/chart.js";
import { byId, datedText, el, fill, roundText, when } from "../lib/dom.js";
import { daysBetween, formatDays, formatExact, formatMoved, formatNumber, formatShare } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { showSimulation } from "../lib/simulation.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";

runPage(async (sheet) => {
  printCharts("portrait");
  foldSections();
  byId("print").addEventListener("click", () => print());
  const [{ total }] = await Promise.all([
    get(sheet.path("/tasks"), { query: { limit: 1 } }),
    mountAirframe(byId("airframe"), sheet, {
      onSelect: (zone) => {
        location.href = sheet.link("schedule", { zone });
      },
    }),
  ]);
  if (!total) {
    const settings = el("a", { href: `${sheet.link("settings")}#plan-file` }, t`Settings`);
    byId("main").replaceChildren(byId("main").querySelector("h1"), el("p.empty-state", {}, t`There is no work in this plan yet, so there is nothing to forecast. Bring in a plan file on the ${settings} sheet.`));
    return;
  }
  const page = { sheet, shown: "", version: 0, since: "", stop: () => {}, standing: el("div", { id: "spread-state" }) };
  fill(byId("answer"), page.standing);
  sheet.keepUp(async () => {
    await sheet.refreshTitleBlock();
    askAgain(sheet);
  });
  await showSimulation(sheet, { place: page.standing, what: t`how sure that is`, onAnswer: ({ result }) => draw(page, result) });
  unfoldNamed();
});

/** The whole sheet, with what the simulation found or without; the plan may have moved on since. */
async function draw(page, result) {
  const { sheet } = page;
  const [forecast, money, statement, crew] = await Promise.all(["/forecast", "/money", "/statement", "/crew-load"].map((path) => get(sheet.path(path))));
  const isOpen = result !== null && forecast.why.length > 0 && !isCertain(result.finish);
  fill(byId("answer"), finishAnswer(forecast, result, sheet.project.aircraft || sheet.project.name, page.standing), reason(sheet, forecast, crew), el("p.answer-budget", {}, budgetSentence(money)));
  drawMovedSince(page, forecast, statement, result);
  drawWaiting(sheet, forecast, money);
  drawMoney(sheet, money, result);
  byId("photos-panel").hidden = !statement.photos.length;
  fill(byId("photos"), photoRow(sheet, statement.photos));
  drawNext(forecast, result);
  drawWhy(forecast, isOpen ? result : null);
  drawMilestones(byId("milestones"), forecast.milestones, result);
  tellFold("milestones-panel", t`${formatNumber(forecast.milestones.filter(({ done }) => done).length)} of ${formatNumber(forecast.milestones.length)} reached.`);
  byId("sure").hidden = !isOpen;
  byId("uncertain").hidden = !isOpen;
  await Promise.all([drawLog(sheet, forecast), isOpen && drawSure(sheet, result), isOpen && drawCauses(sheet)]);
}

/** What moved since the reader's choice; asked anew when the plan has changed, or its likely date is known. */
function drawMovedSince(page, forecast, { approved, currency }, result) {
  const now = `${forecast.plan_version} ${result?.finish.p50}`;
  if (page.shown === now) return;
  page.shown = now;
  const show = (since) => {
    page.since = since;
    page.stop();
    page.stop = showMoved(page.sheet, byId("moved"), since, ({ causes, likely, moved }) => {
      const hasMoved = causes.length > 0 || Boolean(likely?.surer_days);
      byId("moved").prepend(...comparedWith(since, moved));
      if (hasMoved) byId("moved").append(el("p.moved-sentence", {}, roundText(moved.sentence)));
      fill(byId("approved"), hasMoved || !approved ? null : approvedPart(approved, currency));
    });
  };
  if (page.version === forecast.plan_version) {
    show(page.since);
    return;
  }
  page.version = forecast.plan_version;
  byId("moved-panel").hidden = false;
  fill(byId("since"), sincePicker(page.sheet, forecast, show));
}

/** Which plan stood on a chosen date, where that is not one of the same date. @returns {HTMLElement[]} */
function comparedWith(since, { since: kept }) {
  if (!/^\d{4}-/.test(since) || !kept || kept === since) return [];
  return [
    el("p.soft", {}, kept > since ? t`No plan is kept from ${when(since)}: this is against the first one that is, of ${when(kept)}.` : t`The plan that stood on ${when(since)} was true as of ${when(kept)}: this is against it.`),
  ];
}

async function drawSure(sheet, result) {
  tellFold("sure", t`1\u00a0chance in\u00a010 that it is finished by ${when(result.finish.p10)}, and 1\u00a0in\u00a010 that only after ${when(result.finish.p90)}.`);
  fill(byId("sure-note"), footnote(result));
  await drawChart(byId("curve"), {
    path: sheet.path("/charts/finish-curve"),
    label: t`The chances that it is finished, by date, with the likely, the 80 % and the wanted date.`,
    table: chancesTable(result),
  });
}

async function drawCauses(sheet) {
  await showSimulation(sheet, {
    path: "/causes",
    what: t`what makes the date uncertain`,
    place: byId("causes-state"),
    onAnswer: ({ result }) => {
      fill(byId("causes"), result ? causesList(result) : null);
      tellFold("uncertain", result?.length ? t`Most of all: ${causeName(result[0])}.` : "");
    },
  });
}

function drawMoney(sheet, money, result) {
  const why = result?.cost_reason;
  fill(
    byId("money"),
    moneyAnswer(money, result),
    beyondWritten(money),
    el("p", {}, spendSentence(money)),
    el("p.money-next", {}, el("b", {}, t`Needed next:`), " ", roundText(money.cash.next.sentence), " ", lasting(money.cash)),
    bothSentence(result),
    why ? el("p.cost-reason", {}, roundText(why)) : null,
    el("p.no-print", {}, el("a", { href: sheet.link("money") }, t`All about the money`), ", ", el("a", { href: sheet.link("statement") }, t`the owner’s statement`)),
  );
}

function bothSentence(result) {
  if (!result?.both || !result.target) return null;
  return el("p", {}, t`Finished by the wanted date and within the budget, both: ${chances(result.both.probability)}.`);
}

function progressSentence({ as_of: asOf, finish, done_share: share }, result) {
  const weeks = Math.round(daysBetween(asOf, result?.finish.p50 ?? finish) / 7);
  const left = weeks > 0 ? many(weeks, "about {n} week to go", "about {n} weeks to go") : t`nothing left to do`;
  return t`All zones together: ${formatShare(share)} of the planned work is done; ${left}.`;
}

/** Only for who may say yes. Over-and-above items are answered on Money; a vendor's price is told to the shop. */
function drawWaiting(sheet, { waiting_for_owner: prices }, { decisions, currency }) {
  byId("decisions-panel").hidden = !sheet.mayDecide;
  if (!sheet.mayDecide) return;
  const asked = (one) => el("li", {}, el("a", { href: `${sheet.link("money")}#decisions-panel` }, one.name), `: ${formatExact(one.amount, one.currency ?? currency)}`);
  const price = ({ id, name }) => el("li", {}, t`The price of ${el("a", { href: `${sheet.link("away")}#${encodeURIComponent(id)}` }, name)}`);
  fill(
    byId("decisions"),
    prices.length || decisions.length ? el("ul.waiting", { role: "list" }, decisions.map(asked), prices.map(price)) : el("p", {}, t`Nothing: no price and no work waits for it.`),
    prices.length ? el("p.soft", {}, t`Tell the shop your answer to a price; it is recorded there.`) : null,
  );
}

/** What holds the date, and who; all of it stands in a section of its own. */
function reason(sheet, { why }, { bottleneck }) {
  if (!why.length) return null;
  const [first] = why;
  const held = [el("b", {}, first.name), first.zone_name ? ` (${first.zone_name})` : ""];
  const rest = why.length - 1;
  return el(
    "p.answer-holds",
    {},
    rest ? many(rest, "What holds the date: {0}, then {n} more piece of work.", "What holds the date: {0}, then {n} more pieces of work.", held) : t`What holds the date: ${held}.`,
    bottleneck ? [" ", datedText(bottleneck.sentence)] : null,
    " ",
    el("span.no-print", {}, el("a", { href: "#why-panel" }, t`Why this date`), bottleneck ? [", ", el("a", { href: sheet.link("crew") }, t`the crew`)] : null),
  );
}

function drawNext(forecast, result) {
  const { next, as_of: asOf } = forecast;
  fill(
    byId("next"),
    el("p", {}, progressSentence(forecast, result), " ", writtenSentence(forecast, result)),
    next.length
      ? [
          el("p.soft", {}, t`What is in work, and what can be started next, on the dates as written.`),
          el(
            "ul.next",
            { role: "list" },
            next.map((one) =>
              el("li", {}, one.in_work ? el("span", {}, t`in work`) : one.start <= asOf ? el("span", {}, t`now`) : when(one.start, "short"), el("span", {}, one.name, one.zone_name ? el("span.soft", {}, `, ${one.zone_name}`) : null)),
            ),
          ),
        ]
      : el("p", {}, t`No work is left to start.`),
  );
}

function drawWhy(forecast, result) {
  const { why } = forecast;
  tellFold("why-panel", why.length ? t`${why[0].name}, then ${formatNumber(why.length - 1)} more, one after another.` : t`Nothing is left to do.`);
  const stops = why.map((one) => ({ ...one, zone: one.zone_name }));
  fill(
    byId("why"),
    stops.length
      ? [
          result ? el("p", {}, whichDate(forecast, result)) : null,
          el(
            "p.lead",
            {},
            t`If everything goes as written, these ${formatNumber(stops.length)} pieces of work wait for one another, the last until ${when(forecast.finish)}.`,
            " ",
            t`A day lost in one of them is nearly always a day lost at the end.`,
          ),
          chain(stops, { name: (one) => one.name }),
        ]
      : el("p", {}, t`Nothing is left to do.`),
  );
}

/** The chain explains the date as written; why the likely one is another is told elsewhere on the sheet. */
function whichDate({ finish }, { finish: { p50: likely } }) {
  const days = daysBetween(finish, likely);
  const causes = el("a", { href: "#uncertain" }, t`What makes the date uncertain`);
  if (!days) return t`This explains the finish as written, ${when(finish)}; the likely one is the same date.`;
  const apart = formatDays(Math.abs(days));
  return days > 0
    ? [t`This explains the finish as written, ${when(finish)}. The likely one, ${when(likely)}, is ${apart} later: work may run on, vendors may be late, more may be found.`, " ", causes]
    : [t`This explains the finish as written, ${when(finish)}. The likely one, ${when(likely)}, is ${apart} sooner: work may be done in less.`, " ", causes];
}

/** One date has not moved yet: a drawing of it would show nothing. */
function began(entry) {
  if (!entry) return t`No forecast has been logged yet.`;
  const { on, finish, p50, p80 } = entry;
  const sentence = p50
    ? t`The log began on ${when(on)}: likely ${when(p50)}, 80\u00a0% by ${when(p80)}.`
    : t`The log began on ${when(on)}: ${when(finish)} as written.`;
  return [sentence, " ", t`From the next date on, how it has moved is drawn here.`];
}

async function drawLog(sheet, { log }) {
  tellFold("log-panel", many(log.length, "{n} entry, the last of {0}.", "{n} entries, the last of {0}.", when(log.at(-1).on)));
  const known = log.some(({ p50 }) => p50);
  const by = (entry) => {
    const days = movedDays(log[log.indexOf(entry) - 1], entry);
    return days ? formatMoved(days) : "";
  };
  const dated = (iso) => (iso ? when(iso) : el("span.soft", {}, t`not known`));
  const entries = table({
    caption: t`Each forecast and why it changed`,
    rows: [...log].reverse(),
    empty: t`No forecast has been logged yet.`,
    columns: [
      { label: t`On`, cell: (one) => when(one.on), heading: true },
      ...(known ? [{ label: t`Likely finish`, cell: (one) => dated(one.p50) }, { label: t`80\u00a0% by`, cell: (one) => dated(one.p80) }] : []),
      { label: t`As written`, cell: (one) => when(one.finish) },
      { label: t`Moved`, cell: by },
      { label: t`Because of`, cell: (one) => datedText(one.reason) },
    ],
  });
  if (new Set(log.map(({ on }) => on)).size < 2) {
    fill(byId("log-key"));
    fill(byId("log"), el("p", {}, began(log.at(-1))), el("details.behind", {}, el("summary", {}, t`The log as a table`), entries));
    return;
  }
  fill(byId("log-key"), known ? chartKey(["likely", "by80", "written", "spread"]) : null);
  await drawChart(byId("log"), {
    path: sheet.path("/charts/forecast-log"),
    label: t`The forecast finish as it was on each date, with the target.`,
    table: entries,
  });
}
