/** What-if: how late vendors move the finish, and cases beside the plan. */

import { caseTable, finishTable } from "../components/case-compare.js";
import { swingsList } from "../components/case-swings.js";
import { changeSentence, KINDS } from "../components/change-slots.js";
import { printCharts } from "../components/chart-print.js";
import { latePanel, MOST_DAYS, whoQuery } from "../components/late-panel.js";
import { PullInPanel } from "../components/pull-in.js";
import { isClosed } from "../components/send-out-words.js";
import { askAgain, spreadSlot } from "../components/spread-slot.js";
import { takeBack, tellDone } from "../components/undo.js";
import { ApiError, get, post } from "../lib/api.js";
import { drawChart } from "../lib/chart.js";
import { copyText } from "../lib/copying.js";
import { ask } from "../lib/dialog.js";
import { byId, datedText, el, fill } from "../lib/dom.js";
import { finishSentence, formatDays } from "../lib/format.js";
import { say, sayProblem } from "../lib/notice.js";
import { runPage } from "../lib/sheet.js";
import { t, told } from "../lib/text.js";
import { tradeName } from "../lib/words.js";

const FIRST_DAYS = 30;
const MOST_CASES = 5;
const PAUSE_MS = 250;

runPage(async (sheet) => {
  printCharts("portrait");
  const asked = readAddress();
  const page = {
    sheet,
    lists: null,
    names: new Map(),
    late: { who: asked.who, days: asked.days },
    pull: { by: asked.by, budget: asked.budget },
    cases: asked.cases.filter((one) => one.changes.every((change) => KINDS[change.kind])),
    waiting: null,
    running: null,
    answer: null,
    showLate: () => {},
  };
  page.changed = () => {
    writeAddress(page);
    compareSoon(page);
  };
  page.pullIn = new PullInPanel(byId("pull-in"), sheet, {
    asked: page.pull,
    onChange: () => writeAddress(page),
    onKeep: (name, changes) => keepNamed(page, name, changes),
    afterwards: () => afterwards(page),
  });
  sheet.keepUp(() => followed(page));
  await drawAll(page);
  await spreadSlot(sheet, byId("spread"), (answer) => fillIn(page, answer));
});

/** Read the plan as it is now, and draw everything on the sheet from it. */
async function drawAll(page) {
  const { sheet } = page;
  const [project, away, schedule, { calendars }, { crew }, { expedites }, { risks }] = await Promise.all([
    get(sheet.path()),
    get(sheet.path("/away")),
    get(sheet.path("/schedule")),
    get(sheet.path("/calendars")),
    get(sheet.path("/crew")),
    get(sheet.path("/expedites")),
    get(sheet.path("/risks")),
  ]);
  page.lists = { ...offered(away, bySteps(calendars, crew, schedule), expedites), ...workOffered(schedule, risks) };
  page.names = new Map(schedule.activities.map((one) => [one.id, one.name || one.id]));
  page.late.who = known(page.late.who, page.lists) ?? `vendor:${page.lists.vendors[0]?.[0]}`;
  drawCases(page);
  const targets = { tasks: page.lists.tasks, items: page.lists.items };
  await showLate(page);
  await Promise.all([
    page.pullIn.show(expedites, targets, project.target_finish ?? away.finish),
    compare(page),
  ]);
}

/** After the plan was changed here. */
async function afterwards(page) {
  await Promise.all([drawAll(page), page.sheet.refreshTitleBlock()]);
  askAgain(page.sheet);
}

/** After somebody else changed the plan. */
async function followed(page) {
  await afterwards(page);
  if (page.cases.length) say(t`The plan was changed in the meantime. The cases are compared with it as it is now.`);
}

async function showLate(page) {
  page.showLate = await latePanel(byId("late"), page.sheet, {
    lists: page.lists,
    state: page.late,
    onChange: page.changed,
    actions: [
      el("button.button", { type: "button", onclick: () => keepAsCase(page) }, t`Keep as a case`),
      el("button.button", { type: "button", onclick: share }, t`Copy a link to this`),
    ],
  });
}

/* What the slots can offer. */

function offered(away, calendars, expedites) {
  const named = (list) => list.map(({ id, name }) => [id, name || id]);
  const open = away.send_outs.filter((item) => !isClosed(item));
  return {
    vendors: named(away.vendors.filter(({ grace_days: grace }) => grace !== null && grace !== undefined)),
    allVendors: named(away.vendors),
    items: named(open),
    openItems: open,
    itemsHere: named(open.filter((item) => !item.shipped && !item.arrived)),
    itemsAtVendor: named(open.filter((item) => !item.left_vendor)),
    calendars: named(calendars.filter((one) => !one.elapsed)),
    dayHours: Object.fromEntries(calendars.map((one) => [one.id, one.day_hours])),
    expedites: named(expedites.filter((one) => one.gains_days > one.taken_days)),
    expediteLines: new Map(expedites.map((one) => [one.id, one])),
    asOf: away.as_of,
    finish: away.finish,
  };
}

/** Tasks, trades, zones and risks as the sentences about work take them; what sets the finish first. */
function workOffered({ activities, critical_path: path, zones }, risks) {
  const named = (list) => list.map(({ id, name }) => [id, name || id]);
  const steps = new Set(path);
  const open = activities.filter((one) => one.kind === "task" && one.state !== "done" && one.state !== "dropped" && !one.milestone);
  const tasks = [...open].sort((a, b) => Number(steps.has(b.id)) - Number(steps.has(a.id)));
  const names = new Map(activities.filter((one) => one.kind === "task").map((one) => [one.id, one.name || one.id]));
  const waits = new Map(tasks.map((one) => [one.id, one.driven_by.filter((id) => names.has(id)).map((id) => [id, names.get(id)])]));
  const onPath = (trade) => path.filter((id) => tasks.some((one) => one.id === id && one.trade === trade)).length;
  const trades = [...new Set(tasks.map((one) => one.trade).filter(Boolean))].sort((a, b) => onPath(b) - onPath(a));
  return {
    tasks: named(tasks),
    taskDays: new Map(tasks.map((one) => [one.id, one.days])),
    taskStarts: new Map(tasks.map((one) => [one.id, one.start])),
    startable: named(tasks.filter((one) => one.state === "not_started")),
    waiting: named(tasks.filter((one) => waits.get(one.id).length)),
    waits,
    taskNames: names,
    trades: trades.map((trade) => [trade, tradeName(trade)]),
    zones: named(zones.filter((zone) => tasks.some((one) => one.zone === zone.id))),
    risks: named(risks.filter((one) => !one.closed)),
  };
}

/** Calendars, the one first whose crew does most of the steps that set the finish. */
function bySteps(calendars, crew, { activities, critical_path: path }) {
  const trades = new Map(activities.map((one) => [one.id, one.trade]));
  const steps = ({ id }) => {
    const keepers = new Set(crew.filter((one) => one.calendar === id).map((one) => one.trade));
    return path.filter((step) => keepers.has(trades.get(step))).length;
  };
  const counted = calendars.map((calendar) => ({ calendar, count: steps(calendar) }));
  return counted.sort((a, b) => b.count - a.count).map(({ calendar }) => calendar);
}

function known(who, lists) {
  if (!who) return undefined;
  const { vendor, send_out: item } = whoQuery(who);
  const list = vendor === undefined ? lists.items : lists.vendors;
  return list.some(([id]) => id === (vendor ?? item)) ? who : undefined;
}

/* The address holds everything, so that a case can be shared by its link. */

function readAddress() {
  const query = new URLSearchParams(location.search);
  const days = Math.round(Number(query.get("days") ?? FIRST_DAYS));
  const who = query.get("vendor") ? `vendor:${query.get("vendor")}` : query.get("send_out") && `send_out:${query.get("send_out")}`;
  return {
    who,
    days: days >= 0 && days <= MOST_DAYS ? days : FIRST_DAYS,
    by: /^\d{4}-\d\d-\d\d$/.test(query.get("by") ?? "") ? query.get("by") : null,
    budget: /^\d{1,9}(\.\d\d?)?$/.test(query.get("budget") ?? "") ? query.get("budget") : null,
    cases: parsed(query.get("cases")),
  };
}

function parsed(text) {
  try {
    const cases = JSON.parse(text ?? "[]");
    return Array.isArray(cases) ? cases.filter((one) => Array.isArray(one?.changes)).slice(0, MOST_CASES) : [];
  } catch {
    say(t`The cases in this link cannot be read; the plan itself is not affected.`, { tone: "problem" });
    return [];
  }
}

function writeAddress({ late, pull, cases }) {
  const address = new URL(location.href);
  for (const name of ["vendor", "send_out", "days", "by", "budget", "cases"]) address.searchParams.delete(name);
  for (const [name, value] of Object.entries(whoQuery(late.who))) address.searchParams.set(name, value);
  address.searchParams.set("days", String(late.days));
  for (const [name, value] of Object.entries(pull)) if (value) address.searchParams.set(name, value);
  if (cases.length) address.searchParams.set("cases", JSON.stringify(cases));
  history.replaceState(null, "", address);
}

function share() {
  return copyText(location.href, {
    done: t`The link is copied. Whoever opens it sees these cases against their plan as it then is.`,
    otherwise: t`The browser does not let this page copy. The address above is the link.`,
  });
}

/* Cases as sentences. */

function keepAsCase(page) {
  const days = page.late.days;
  const { vendor, send_out: item } = whoQuery(page.late.who);
  const change = vendor === undefined ? { kind: "send_out_late", send_out: item, days } : { kind: "vendor_late", vendor, days };
  addCase(page, [change]);
}

function keepNamed(page, name, changes) {
  if (!addCase(page, changes, name)) return;
  say(t`Kept as a case: ${name}. It stands among the cases, beside the plan.`);
}

function addCase(page, changes, wanted) {
  if (page.cases.length >= MOST_CASES) {
    say(t`${MOST_CASES} cases fit beside the plan. Take one away first.`);
    return false;
  }
  const isFree = (name) => !page.cases.some((one) => one.name === name);
  const lettered = "ABCDEFGHIJ".split("").map((letter) => t`Case ${letter}`);
  page.cases.push({ name: [wanted, ...lettered].find((name) => name && isFree(name)), changes });
  drawCases(page);
  page.changed();
  return true;
}

function drawCases(page) {
  fill(
    byId("cases"),
    page.cases.length
      ? el("ul.cases", { role: "list" }, page.cases.map((one) => el("li", {}, caseEditor(page, one))))
      : el("p.empty-state", {}, t`No case yet. Keep what is set above, or start an empty one, and add what else would change.`),
    el(
      "div.button-row.no-print",
      {},
      el("button.button", { type: "button", onclick: () => addCase(page, []) }, t`Start an empty case`),
      page.cases.length ? el("button.button", { type: "button", onclick: share }, t`Copy a link to these cases`) : null,
    ),
  );
}

function caseEditor(page, one) {
  const name = el("input.case-name", { type: "text", "aria-label": t`Name of the case`, maxlength: 60, value: one.name });
  name.addEventListener("change", () => {
    one.name = name.value.trim() || one.name;
    name.value = one.name;
    page.changed();
  });
  const remove = (list, entry, what) => () => takeAway(page, list, entry, what);
  const sentences = one.changes.map((change) =>
    el(
      "li",
      {},
      changeSentence(change, page.lists, page.changed),
      el("button.button.plain.no-print", { type: "button", "aria-label": t`Take this change away`, onclick: remove(one.changes, change, KINDS[change.kind].title) }, t`Take away`),
    ),
  );
  return el(
    "form",
    { "data-asks": "", onsubmit: (event) => event.preventDefault() },
    el(
      "fieldset.case",
      {},
      el("legend.unseen", {}, one.name),
      el("div.case-head", {}, name, el("button.button.plain.no-print", { type: "button", onclick: remove(page.cases, one, one.name) }, t`Take the case away`)),
      sentences.length ? el("ul.changes", { role: "list" }, sentences) : el("p.soft", {}, t`Nothing changes yet.`),
      adder(page, one),
      adopter(page, one),
    ),
  );
}

/** Discard a case or a change; the notice gives it back. */
function takeAway(page, list, entry, what) {
  const at = list.indexOf(entry);
  const redraw = () => {
    drawCases(page);
    page.changed();
    byId("cases").querySelector("button").focus({ preventScroll: true });
  };
  list.splice(at, 1);
  redraw();
  const undo = async () => {
    if (list === page.cases && list.length >= MOST_CASES) {
      say(t`${MOST_CASES} cases fit beside the plan. Take one away first.`);
      return;
    }
    list.splice(at, 0, entry);
    redraw();
    say(t`Put back: ${what}.`);
  };
  say(t`Taken away: ${what}.`, { undo });
}

/* A case that becomes the plan. */

/** What comes late is a guess, so a case of that is only looked at. */
function adopter(page, one) {
  if (!one.changes.length) return null;
  if (one.changes.some(({ kind }) => kind.endsWith("_late"))) {
    return el("p.soft.no-print", {}, t`What comes late is a guess, and no plan. Where a vendor has said so, note the new promise on Away.`);
  }
  if (page.sheet.person.role !== "planner") return el("p.soft.no-print", {}, t`The planner takes cases into the plan. The link in the address shows them this one.`);
  const button = el("button.button", { type: "button" }, t`Take it into the plan`);
  button.addEventListener("click", async () => {
    const isSure = await ask({
      title: t`Take “${one.name}” into the plan?`,
      text: t`The plan is changed as the case says, in one step. Undo takes all of it back.`,
      action: t`Take it`,
    });
    if (isSure) await adopt(page, one).catch(sayProblem);
  });
  return el("p.no-print", {}, button);
}

async function adopt(page, one) {
  const { sheet } = page;
  const { plan_version: seen } = page.answer;
  const done = await post(sheet.path("/cases/adopt"), { plan_version: seen, case: one }).catch(async (error) => {
    if (!(error instanceof ApiError)) throw error;
    if (error.isStale) await afterwards(page);
    throw plainly(error);
  });
  const at = page.cases.indexOf(one);
  page.cases.splice(at, 1);
  writeAddress(page);
  await afterwards(page);
  byId("cases").querySelector("button").focus({ preventScroll: true });
  const undo = async () => {
    await takeBack(sheet, { kind: done.kind, key: done.key, name: one.name, version: done.version }, async () => {
      page.cases.splice(at, 0, one);
      writeAddress(page);
      await afterwards(page);
    });
  };
  tellDone(t`Taken into the plan: ${one.name}. ${finishSentence(done.finish)}`, done, undo);
}

/** A refusal without the path in the request. */
function plainly(error) {
  error.message = error.message.replace(/^case\S*: /, "");
  return error;
}

function adder(page, one) {
  const possible = Object.entries(KINDS).filter(([, { needs }]) => page.lists[needs].length);
  const groups = Map.groupBy(possible, ([, { group }]) => group);
  const options = [
    el("option", { value: "" }, t`Add a change …`),
    [...groups].map(([label, kinds]) => el("optgroup", { label }, kinds.map(([kind, { title }]) => el("option", { value: kind }, title)))),
  ];
  const picker = el("select.slot.no-print", { "aria-label": t`Add a change to ${one.name}` }, options);
  picker.addEventListener("change", () => {
    if (!picker.value) return;
    one.changes.push({ kind: picker.value, ...KINDS[picker.value].fresh(page.lists) });
    drawCases(page);
    const sentences = byId("cases").querySelectorAll(".case")[page.cases.indexOf(one)].querySelectorAll(".changes > li");
    sentences[sentences.length - 1].querySelector("select, input").focus();
    page.changed();
  });
  return picker;
}

/* Side by side with the plan. */

function compareSoon(page) {
  clearTimeout(page.waiting);
  page.waiting = setTimeout(() => compare(page), PAUSE_MS);
}

async function compare(page) {
  page.running?.abort();
  const running = new AbortController();
  page.running = running;
  const place = byId("compare");
  if (!page.lists.vendors.length && !page.cases.length) {
    fill(place, el("p.empty-state", {}, t`Start a case above, and it stands here beside the plan.`));
    fill(byId("curves"));
    return;
  }
  place.setAttribute("aria-busy", "true");
  const cases = [...lateCase(page), ...page.cases];
  try {
    const { signal } = running;
    const answer = await post(page.sheet.path("/cases"), { cases }, { signal });
    page.answer = answer;
    if (page.lists.vendors.length) page.showLate(answer.cases[0]?.uncertainty ?? null, answer.plan.uncertainty?.finish);
    const figure = answer.plan.uncertainty ? await post(page.sheet.path("/charts/what-if"), { cases }, { signal }) : null;
    await drawCurves(answer, figure);
    fill(place, caseTable(answer, page.names));
  } catch (error) {
    if (running.signal.aborted) return;
    if (!(error instanceof ApiError)) throw error;
    fill(place, el("p.problem", { role: "alert" }, datedText(caseProblem(error, cases))));
    fill(byId("curves"));
    page.showLate(null);
  }
  place.setAttribute("aria-busy", "false");
}

/** The chances of the plan and of each case, one curve each. */
async function drawCurves(answer, figure) {
  const place = byId("curves");
  if (!figure) {
    fill(place);
    return;
  }
  await drawChart(place, {
    figure,
    label: t`The chance to be finished by each date, for the plan and each case. The table below says the same.`,
    table: finishTable(answer),
  });
}

/** What matters most, and the comparison anew, once it is known how sure the plan is. */
async function fillIn(page, { state }) {
  if (state !== "ready") return;
  await Promise.all([
    drawSwings(page),
    page.answer && !page.answer.plan.uncertainty ? compare(page) : null,
  ]);
}

async function drawSwings(page) {
  const { result } = await get(page.sheet.path("/swings"));
  if (result) fill(byId("swings"), swingsList(result, (name, changes) => keepNamed(page, name, changes)));
}

/** The service's sentence, with the name of the case in place of its path in the request. */
function caseProblem({ message }, cases) {
  const [path, at] = /^cases\[(\d+)\]\S*: /.exec(message) ?? [];
  return path ? `${cases[at]?.name ?? t`A case`}: ${told(message.slice(path.length))}.` : message;
}

function lateCase({ late, lists }) {
  if (!lists.vendors.length) return [];
  const { vendor, send_out: item } = whoQuery(late.who);
  const names = new Map([...lists.vendors, ...lists.items]);
  const change = vendor === undefined ? { kind: "send_out_late", send_out: item } : { kind: "vendor_late", vendor };
  const name = t`${names.get(vendor ?? item)}, ${formatDays(late.days)} late`;
  return [{ name, changes: [{ ...change, days: late.days }] }];
}
