/** Schedule: lanes by zone with the away lanes, how sure the ends are, what sets the finish, a table behind. */

import { mountAirframe } from "../components/airframe.js";
import { chain } from "../components/chain.js";
import { chartKey } from "../components/chart-key.js";
import { reachButtons } from "../components/chart-reach.js";
import { finishWords } from "../components/finish-words.js";
import { isCertain } from "../components/date-band.js";
import { drawLanes } from "../components/lanes-drawing.js";
import { answerFor, askAgain, spreadSlot, UNKNOWN } from "../components/spread-slot.js";
import { tableLinks } from "../components/table-links.js";
import { openTaskSheet } from "../components/task-sheet.js";
import { workTable } from "../components/work-table.js";
import { get } from "../lib/api.js";
import { byId, el, fill, when } from "../lib/dom.js";
import { formatDate, formatDays, formatNumber, formatSpare } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { runPage } from "../lib/sheet.js";
import { many, t, told } from "../lib/text.js";
import { stateName, tradeName } from "../lib/words.js";

const NEAR_SHOWN = 8;

runPage(async (sheet) => {
  byId("to-health").setAttribute("href", `${sheet.link("settings")}#plan-health`);
  fill(byId("tables"), tableLinks(sheet, ["tasks", "links"]));
  const asked = new URLSearchParams(location.search);
  const page = {
    sheet,
    schedule: null,
    zone: asked.get("zone") ?? "",
    trade: asked.get("trade") ?? "",
    drawing: null,
    airframe: null,
    table: null,
  };
  sheet.keepUp(() => page.schedule && refresh(page));
  const [airframe] = await Promise.all([
    mountAirframe(byId("airframe"), sheet, {
      selected: page.zone || null,
      onSelect: (zone) => choose(page, { zone: zone ?? "" }),
    }),
    spreadSlot(sheet, byId("spread"), (answer) => fillIn(page, answer)),
  ]);
  page.airframe = airframe;
  if (!page.schedule) await fillIn(page, UNKNOWN);
});

/** The first drawing, and the one that follows once it is known how sure the dates are. */
async function fillIn(page, answer) {
  page.answer = answer;
  const isFirst = !page.schedule;
  if (isShown(page, answer)) {
    page.sure = answer;
    drawSummary(page);
    drawRanges(answer);
    page.table.show();
    return;
  }
  await load(page);
  if (isFirst) {
    drawTools(page);
    fill(byId("key"), chartKey(["done", "in_work", "held", "not_started", "taper", "path", "away", "road", "milestone", "now"]));
  }
  drawChains(page);
  await keepingReach(page, () => draw(page));
}

/** Whether the drawing holds all that an answer can add to it. */
function isShown({ schedule }, { state, plan_version: version }) {
  if (schedule?.plan_version !== version) return false;
  return state !== "ready" || schedule.is_sure;
}

async function load(page) {
  page.schedule = await get(page.sheet.path("/schedule/outline"));
  page.sure = answerFor(page.answer, page.schedule.plan_version);
  page.steps = new Map(page.schedule.steps.map((one) => [one.id, one]));
  page.zoneNames = new Map(page.schedule.zones.map((zone) => [zone.id, zone.name || zone.id]));
}

/** Once what was chosen stands on the screen: thousands of bars come after it. */
function painted() {
  return new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)));
}

async function choose(page, chosen) {
  Object.assign(page, chosen);
  const address = new URL(location.href);
  for (const name of ["zone", "trade"]) {
    if (page[name]) address.searchParams.set(name, page[name]);
    else address.searchParams.delete(name);
  }
  history.replaceState(null, "", address);
  byId("zone").value = page.zone;
  byId("trade").value = page.trade;
  page.airframe?.select(page.zone || null);
  page.table = null;
  await painted();
  try {
    await draw(page);
  } catch (error) {
    sayProblem(error);
  }
}

/** After a change: the dates as written at once, how sure they are when that is known. */
async function refresh(page) {
  await Promise.all([load(page), page.airframe?.refresh()]);
  drawChains(page);
  await keepingReach(page, () => draw(page));
  await page.sheet.refreshTitleBlock();
  askAgain(page.sheet);
}

/** Draw anew with the same dates in sight. */
async function keepingReach(page, work) {
  const pressed = pressedReach()?.value;
  const range = page.drawing?.range;
  await work();
  if (!range || pressed === "all") return;
  page.drawing.show(range);
  press(pressed);
}

function pressedReach() {
  return byId("tools").querySelector('button[aria-pressed="true"]');
}

function press(chosen) {
  for (const button of byId("tools").querySelectorAll("[aria-pressed]")) {
    button.setAttribute("aria-pressed", String(button.value === chosen));
  }
}

/** The whole job in sight. */
async function draw(page) {
  const { sheet, zone, trade } = page;
  page.table ??= workTable({
    path: sheet.path("/activities"),
    only: () => ({ zone: page.zone, trade: page.trade }),
    name: named(page),
    zone: (one) => page.zoneNames.get(one.zone) ?? "",
    isComputing: () => page.sure.state === "running",
  });
  page.table.show();
  page.drawing = await drawLanes(byId("lanes"), {
    path: sheet.path("/charts/schedule"),
    query: { zone, trade },
    label: t`The schedule by zone, with the items that are away and how sure each end is. The table below says the same.`,
    table: page.table.node,
    tableTitle: t`All work as a table`,
    onOpen: (id, sendOut) => open(page, { id, send_out: sendOut }),
    tell: (id) => tellWork(sheet, id),
    onShow: (isRoomy) => {
      byId("plain-note").hidden = isRoomy;
    },
  });
  press("all");
}

/** What a bar says to the pointer on it: name, dates, state and room. */
async function tellWork(sheet, id) {
  const { activities } = await get(sheet.path("/activities"), { query: { id } });
  const [{ start, finish, spread, state, total_float_days: spare, ...one }] = activities;
  const [from, to] = [formatDate(start, "long"), formatDate(finish, "long")];
  const dates = start === finish ? from : t`${from} to ${to}`;
  const likely = spread && !isCertain(spread) && t`done: likely ${formatDate(spread.p50, "long")}; 8 chances in 10 by ${formatDate(spread.p80, "long")}`;
  return [nameOf(one), ...(likely ? [t`as written: ${dates}`, likely] : [dates]), state === "done" ? stateName(state) : t`${stateName(state)}; ${room(spare)}`];
}

function room(spare) {
  if (spare < 0) return t`${formatDays(-spare)} too late for its deadline`;
  return spare ? t`${formatDays(spare)} of float` : t`sets the finish`;
}

/** The legs of an item are named by the service. */
function nameOf({ id, kind, name }) {
  return kind === "leg" ? told(name) : name || id;
}

/** Open the sheet of a task; a leg leads to its item on the Away sheet. */
function open(page, { id, send_out: sendOut }) {
  if (sendOut) location.href = addressOf(page, sendOut);
  else openTaskSheet(page.sheet, id, { onChange: () => refresh(page) });
}

function addressOf({ sheet }, sendOut) {
  return `${sheet.link("away")}#${encodeURIComponent(sendOut)}`;
}

function named(page) {
  return (one) =>
    one.send_out
      ? el("a", { href: addressOf(page, one.send_out) }, nameOf(one))
      : el("button.link", { type: "button", onclick: () => open(page, one) }, nameOf(one));
}

function drawTools(page) {
  const { zones, trades } = page.schedule;
  const picker = (id, label, entries, all) => {
    const options = [["", all], ...entries].map(([value, title]) =>
      el("option", { value, selected: value === page[id] }, title),
    );
    const onchange = (event) => choose(page, { [id]: event.target.value });
    return el("div.field", {}, el("label", { for: id }, label), el("select", { id, onchange }, options));
  };
  fill(
    byId("tools"),
    picker("zone", t`Zone`, zones.map(({ id, name }) => [id, name]), t`All zones`),
    picker("trade", t`Trade`, trades.map((trade) => [trade, tradeName(trade)]), t`All trades`),
    reachButtons(() => page.drawing),
  );
}

function drawSummary({ schedule, sure }) {
  const { activities, open, finish } = schedule;
  const steps = schedule.critical_path.length;
  if (!activities) {
    fill(byId("summary"), t`There is no work in this plan yet. Bring in a plan file on the Settings sheet.`);
    return;
  }
  fill(
    byId("summary"),
    many(activities, "{0} of {n} piece of work is still to be finished.", "{0} of {n} pieces of work are still to be finished.", formatNumber(open)),
    " ",
    open ? finishWords(finish, sure) : t`The last was finished on ${when(finish, "long")}.`,
    steps ? [" ", many(steps, "The inked line runs through the {n} that sets the finish.", "The inked line runs through the {n} that set the finish.")] : null,
  );
}

/** What the spread leaves out. */
function drawRanges({ result }) {
  const { certain_tasks: certain, open_tasks: open } = result ?? {};
  fill(
    byId("ranges"),
    certain ? many(open, "{0} of {n} open task has no range of days: its work is taken as written.", "{0} of {n} open tasks have no range of days: their work is taken as written.", formatNumber(certain)) : null,
  );
}

/** All that is told of the whole, whichever zone is drawn. */
function drawChains(page) {
  drawSummary(page);
  drawRanges(page.sure);
  drawPath(page);
  drawNear(page);
}

function chained(page, ids) {
  return chain(ids.map((id) => page.steps.get(id)), { name: named(page) });
}

function drawPath(page) {
  const { critical_path: path } = page.schedule;
  fill(
    byId("path"),
    path.length
      ? [
          el("p.soft", {}, t`Each starts when the one before lets it. A day lost here is nearly always a day lost at the end; a step that can still spare some says so on its own sheet.`),
          chained(page, path),
        ]
      : el("p.empty-state", {}, t`Nothing is left to do, so nothing sets the finish.`),
  );
}

function drawNear(page) {
  const chains = page.schedule.near_critical;
  if (!chains.length) {
    fill(byId("near"), el("p.empty-state", {}, t`Nothing else is close to setting the finish.`));
    return;
  }
  const lines = chains.map((one) => nearLine(page, one));
  fill(
    byId("near"),
    el("p.soft", {}, t`These set the finish once they slip by more than the days they can spare.`),
    lines.slice(0, NEAR_SHOWN),
    lines.length > NEAR_SHOWN
      ? el(
          "details",
          {},
          el("summary", {}, t`${formatNumber(lines.length - NEAR_SHOWN)} more with a little more to spare`),
          lines.slice(NEAR_SHOWN),
        )
      : null,
  );
}

/** A chain is drawn when it is unfolded: there can be hundreds. */
function nearLine(page, { float_days: days, activities }) {
  const ends = activities.length > 1 ? [activities[0], activities.at(-1)] : activities;
  const names = ends.map((id, place) => [place ? " … " : ": ", el("span", {}, nameOf(page.steps.get(id)))]);
  const fold = el(
    "details.near",
    { ontoggle: () => fold.open && !fold.querySelector(".chain") && fold.append(chained(page, activities)) },
    el("summary", {}, el("strong", {}, t`${formatSpare(days)} to spare`), names),
  );
  return fold;
}
