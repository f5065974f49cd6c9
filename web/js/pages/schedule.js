/** Schedule: lanes by zone with the away lanes, how sure the ends are, what sets the finish, a table behind. */

import { mountAirframe } from "../components/airframe.js";
import { chain } from "../components/chain.js";
import { chartKey } from "../components/chart-key.js";
import { reachButtons } from "../components/chart-reach.js";
import { finishWords } from "../components/finish-words.js";
import { drawLanes } from "../components/lanes-drawing.js";
import { answerFor, askAgain, spreadSlot, UNKNOWN } from "../components/spread-slot.js";
import { tableLinks } from "../components/table-links.js";
import { openTaskSheet } from "../components/task-sheet.js";
import { workTable } from "../components/work-table.js";
import { get } from "../lib/api.js";
import { byId, el, fill, when } from "../lib/dom.js";
import { formatNumber, formatSpare } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { runPage } from "../lib/sheet.js";
import { t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";

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
    tableBehind(page);
    return;
  }
  await load(page);
  if (isFirst) {
    drawTools(page);
    fill(byId("key"), chartKey(["done", "in_work", "held", "not_started", "taper", "path", "away", "road", "milestone", "now"]));
    await draw(page);
  } else {
    await keepingReach(page, () => draw(page));
  }
}

/** Whether the drawing holds all that an answer can add to it. */
function isShown({ schedule }, { state, plan_version: version }) {
  if (schedule?.plan_version !== version) return false;
  return state !== "ready" || schedule.activities.some((one) => one.spread);
}

async function load(page) {
  page.schedule = await get(page.sheet.path("/schedule"));
  page.sure = answerFor(page.answer, page.schedule.plan_version);
  page.byId = new Map(page.schedule.activities.map((one) => [one.id, one]));
  page.zoneNames = new Map(page.schedule.zones.map((zone) => [zone.id, zone.name || zone.id]));
}

/** Once what was chosen stands on the screen: thousands of rows come after it. */
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
  drawSummary(page);
  drawRanges(page.sure);
  drawPath(page);
  drawNear(page);
  const { sheet, zone, trade } = page;
  page.drawing = await drawLanes(byId("lanes"), {
    path: sheet.path("/charts/schedule"),
    query: { zone, trade },
    label: t`The schedule by zone, with the items that are away and how sure each end is. The table below says the same.`,
    table: tableBehind(page),
    tableTitle: t`All work as a table`,
    onOpen: (id) => open(page, id),
    onShow: (isRoomy) => {
      byId("plain-note").hidden = isRoomy;
    },
  });
  press("all");
}

/** Open the sheet of a task; a leg leads to its item on the Away sheet. */
function open(page, id) {
  const one = page.byId.get(id);
  if (!one) return;
  if (one.kind === "leg") location.href = `${page.sheet.link("away")}#${one.send_out}`;
  else openTaskSheet(page.sheet, id, { onChange: () => refresh(page), sureness: page.byId.get(id) });
}

function named(page) {
  return (one) => {
    if (one.kind === "leg") {
      return el("a", { href: `${page.sheet.link("away")}#${one.send_out}` }, one.name);
    }
    return el("button.link", { type: "button", onclick: () => open(page, one.id) }, one.name || one.id);
  };
}

function drawTools(page) {
  const trades = [...new Set(page.schedule.activities.map((one) => one.trade).filter(Boolean))].sort();
  const zones = page.schedule.zones.map(({ id, name }) => [id, name || id]);
  const picker = (id, label, entries, all) => {
    const options = [["", all], ...entries].map(([value, title]) =>
      el("option", { value, selected: value === page[id] }, title),
    );
    const onchange = (event) => choose(page, { [id]: event.target.value });
    return el("div.field", {}, el("label", { for: id }, label), el("select", { id, onchange }, options));
  };
  fill(
    byId("tools"),
    picker("zone", t`Zone`, zones, t`All zones`),
    picker("trade", t`Trade`, trades.map((trade) => [trade, tradeName(trade)]), t`All trades`),
    reachButtons(() => page.drawing),
  );
}

function drawSummary({ schedule, sure }) {
  const open = schedule.activities.filter((one) => one.state !== "done").length;
  const steps = schedule.critical_path.length;
  if (!schedule.activities.length) {
    fill(byId("summary"), t`There is no work in this plan yet. Bring in a plan file on the Settings sheet.`);
    return;
  }
  fill(
    byId("summary"),
    t`${formatNumber(open)} of ${formatNumber(schedule.activities.length)} pieces of work are still to be finished. `,
    open ? finishWords(schedule.finish, sure) : [t`The last was finished on `, when(schedule.finish, "long"), "."],
    steps ? t` The inked line runs through the ${formatNumber(steps)} that set the finish.` : "",
  );
}

/** What the spread leaves out. */
function drawRanges({ result }) {
  const { certain_tasks: certain, open_tasks: open } = result ?? {};
  fill(
    byId("ranges"),
    certain ? t`${formatNumber(certain)} of ${formatNumber(open)} open tasks have no range of days: their work is taken as written.` : null,
  );
}

function stops(page, ids) {
  return ids.map((id) => {
    const one = page.byId.get(id);
    return { ...one, zone: page.zoneNames.get(one.zone) };
  });
}

function drawPath(page) {
  const path = stops(page, page.schedule.critical_path);
  fill(
    byId("path"),
    path.length
      ? [
          el("p.soft", {}, t`Each starts when the one before lets it. A day lost here is nearly always a day lost at the end; a step that can still spare some says so on its own sheet.`),
          chain(path, { name: named(page), more: "steps" }),
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

function nearLine(page, { float_days: days, activities }) {
  const line = stops(page, activities);
  const names = line.length > 1 ? `${line[0].name} … ${line.at(-1).name}` : line[0].name;
  return el(
    "details.near",
    {},
    el("summary", {}, el("strong", {}, t`${formatSpare(days)} to spare`), `: ${names}`),
    chain(line, { name: named(page), more: "steps" }),
  );
}

function tableBehind(page) {
  const rows = page.schedule.activities.filter(
    (one) => (!page.zone || one.zone === page.zone) && (!page.trade || one.trade === page.trade),
  );
  page.table ??= workTable({
    name: named(page),
    zone: (one) => page.zoneNames.get(one.zone) ?? "",
    isComputing: () => page.sure.state === "running",
  });
  page.table.showRows(rows);
  return page.table.node;
}
