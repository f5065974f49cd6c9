/**
 * What every sheet of the drawing set shares: frame, index, role, title block.
 *
 * A page is an HTML file with `<body data-sheet="today">` and one script that calls `runPage`.
 */

import { personMenu } from "../components/person-menu.js";
import { ApiError, get, put } from "./api.js";
import { dateBand, isCertain } from "../components/date-band.js";
import { bringInForm } from "./bring-in.js";
import { chances } from "./chances.js";
import { byId, el, fill, when } from "./dom.js";
import { goToSignIn, mayBegin, roleIn } from "./entry.js";
import { againstTarget } from "./format.js";
import { startLight } from "./light.js";
import { isEditing, keepUp } from "./live.js";
import { offer, say, sayProblem } from "./notice.js";
import { offerTour } from "./shown-round.js";
import { follow } from "./simulation.js";
import { explainTerms, term } from "./term.js";
import { t, translatePage } from "./text.js";
import { roleName } from "./words.js";

/** The drawing set, in order. */
const SHEETS = [
  { id: "today", title: t`Today` },
  { id: "evaluation", title: t`Evaluation` },
  { id: "schedule", title: t`Schedule` },
  { id: "away", title: t`Away` },
  { id: "crew", title: t`Crew` },
  { id: "what-if", title: t`What-if` },
  { id: "forecast", title: t`Forecast` },
  { id: "money", title: t`Money` },
  { id: "records", title: t`Records` },
  { id: "settings", title: t`Settings` },
];

const NEW_PROJECT = "/new-project";

const ROLES = [
  { id: "lead", title: t`Shop lead` },
  { id: "owner", title: t`Owner` },
  { id: "planner", title: t`Planner` },
];

/**
 * @typedef {object} Sheet What a page gets.
 * @property {{id: number, name: string, aircraft: string, serial: string, as_of: string,
 *   currency: string}} project
 * @property {{entry: "open"|"sign-in", role: "lead"|"owner"|"planner"|"viewer", name: string,
 *   is_keeper: boolean}} person The role is that in this project.
 * @property {boolean} readOnly The person may look, not change.
 * @property {boolean} mayDecide The person may say yes and no to money.
 * @property {(path?: string) => string} path Endpoint of this project: path("/today").
 * @property {(sheet: string, query?: Record<string, any>) => string} link Address of a page.
 * @property {() => Promise<void>} refreshTitleBlock Call after each change.
 * @property {(refresh: () => unknown) => void} keepUp Follow what others do; call it before reading.
 */

/**
 * Fill the shared parts, then run the page; whatever fails is told on the page.
 * @param {(sheet: Sheet) => Promise<void>} page
 */
export async function runPage(page) {
  drawEmptySheet();
  try {
    const sheet = await openSheet();
    if (!sheet) return;
    await page(sheet);
    byId("main").setAttribute("aria-busy", "false");
    offerTour(sheet.person, document.body.dataset.sheet);
  } catch (error) {
    showFailure(error);
  }
}

/**
 * The same for a page that needs no project.
 * @param {(sheet: {person: Sheet["person"],
 *   showTitleBlock: (path: string) => Promise<void>}) => Promise<void>} page
 */
export async function runWithoutProject(page) {
  drawEmptySheet();
  try {
    const person = await get("/session");
    if (!person.name) {
      goToSignIn();
      return;
    }
    drawPerson(person);
    const showTitleBlock = (path) => keepTitleBlock((rest) => path + rest);
    await page({ person, showTitleBlock });
    byId("main").setAttribute("aria-busy", "false");
  } catch (error) {
    showFailure(error);
  }
}

/**
 * The way in, for whom no sheet is open yet: the frame and the mark alone.
 * @param {(session: any) => Promise<void>} page
 */
export async function runEntrance(page) {
  drawFrame();
  fill(byId("sheet-head"), mark(), el("div.head-tools", { id: "head-tools" }));
  startLight();
  try {
    await page(await get("/session"));
    byId("main").setAttribute("aria-busy", "false");
    document.querySelector("main :is([autofocus], input:not([readonly]))")?.focus();
  } catch (error) {
    showFailure(error);
  }
}

/** The parts that need no plan: frame, index, light. */
export function drawEmptySheet() {
  drawFrame();
  drawHead();
  startLight();
  explainTerms();
  document.addEventListener("signed-out", leaveOrTell);
}

/** Whoever is signed out signs in again; what somebody is typing is not thrown away for that. */
function leaveOrTell() {
  if (!isEditing()) goToSignIn();
  else {
    say(t`You are signed out. What you typed stays here until you leave.`);
    offer(t`Sign in`, goToSignIn);
  }
}

async function openSheet() {
  const [session, { projects }] = await Promise.all([get("/session"), get("/projects")]);
  const wanted = new URLSearchParams(location.search).get("project");
  const project = wanted ? projects.find((one) => String(one.id) === wanted) : projects[0];
  drawPerson(session, project?.id);
  if (!project) return showNoProject(projects, session);
  const person = { ...session, role: roleIn(session, project.id) };
  const readOnly = !["lead", "planner"].includes(person.role);
  const mayDecide = ["owner", "planner"].includes(person.role);
  const link = (sheet, query = {}) => pageAddress(sheet, { ...query, project: wanted && project.id });
  const path = (rest = "") => `/projects/${project.id}${rest}`;
  drawProjectPicker(projects, project, session);
  for (const node of document.querySelectorAll(".role-name")) fill(node, roleName(person.role));
  drawIndex(link);
  const refreshTitleBlock = () => keepTitleBlock(path);
  await refreshTitleBlock();
  const follow = (refresh) => keepUp(project.id, project.plan_version, refresh);
  return { project, person, readOnly, mayDecide, path, link, refreshTitleBlock, keepUp: follow };
}

function pageAddress(sheet, query) {
  const filled = Object.entries(query).filter(([, value]) => value != null && value !== "");
  const search = new URLSearchParams(filled.map(([key, value]) => [key, String(value)]));
  return `/${sheet}${search.size ? `?${search}` : ""}`;
}

/* The frame: zone letters and numbers in the margin, as on a drawing sheet. */

function drawFrame() {
  translatePage();
  const strip = (side, marks) =>
    el(`div.margin-strip.${side}`, {}, [...marks].map((mark) => el("span", {}, mark)));
  document.body.append(
    el(
      "div.frame",
      { "aria-hidden": "true" },
      strip("top", "12345678"),
      strip("left", "ABCDEF"),
      strip("right", "ABCDEF"),
      strip("bottom", "12345678"),
    ),
  );
}

/* The head: mark, index of the set, who is looking. */

function drawHead() {
  fill(
    byId("sheet-head"),
    mark(),
    helpWay(),
    el("nav.set-index", { "aria-label": t`Sheets` }, el("ol", { role: "list", id: "set-index" })),
    el("div.head-tools", { id: "head-tools" }),
  );
  const project = new URLSearchParams(location.search).get("project");
  drawIndex((sheet) => pageAddress(sheet, { project }));
}

/** How this sheet is used, at the same place on each. */
function helpWay() {
  const { sheet } = document.body.dataset;
  const project = new URLSearchParams(location.search).get("project");
  const address = `${pageAddress("help", { project })}#${sheet}`;
  return el("a.help-way", { href: address, "aria-current": sheet === "help" && "page" }, t`Help`);
}

function mark() {
  return el("a.mark", { href: "/", "aria-label": t`Ribstitch, first sheet` }, el("span", {}, t`Ribstitch`));
}

function drawIndex(link) {
  const current = document.body.dataset.sheet;
  const entries = SHEETS.map(({ id, title }, index) =>
    el(
      "li",
      {},
      el(
        "a",
        { href: link(id), "aria-current": id === current && "page" },
        el("span.sheet-number", { "aria-hidden": "true" }, index + 1),
        title,
      ),
    ),
  );
  const list = byId("set-index");
  fill(list, entries);
  slideTo(list, list.querySelector("[aria-current]"));
}

/** Where the row is wider than the window, bring one of its names to the middle. */
function slideTo(list, name) {
  if (name) list.scrollLeft = name.offsetLeft - (list.clientWidth - name.offsetWidth) / 2;
}

/** Where it is open, the role that the person takes; else who is signed in. It comes before the light, which stays where it is. */
function drawPerson(session, project) {
  if (session.entry === "open") drawRolePicker(session);
  else byId("head-tools").prepend(personMenu(session, (page) => pageAddress(page, { project }), project && roleIn(session, project)));
}

function drawRolePicker(person) {
  const options = ROLES.map(({ id, title }) =>
    el("option", { value: id, selected: id === person.role }, title),
  );
  const picker = el("select", { id: "role" }, options);
  picker.addEventListener("change", async () => {
    try {
      await put("/session", { role: picker.value });
      location.reload();
    } catch (error) {
      picker.value = person.role;
      sayProblem(error);
    }
  });
  byId("head-tools").prepend(el("label.head-tool", { for: "role" }, el("span", {}, t`I am`), picker));
}

function drawProjectPicker(projects, project, session) {
  if (projects.length < 2) return;
  const options = projects.map(({ id, name }) =>
    el("option", { value: id, selected: id === project.id }, name),
  );
  const another = mayBegin(session) ? el("option", { value: "new" }, t`New project…`) : null;
  const picker = el("select", { id: "project" }, options, another);
  picker.addEventListener("change", () => {
    const chosen = picker.value;
    location.href = chosen === "new" ? NEW_PROJECT : pageAddress(document.body.dataset.sheet, { project: chosen });
  });
  byId("head-tools").prepend(
    el("label.head-tool", { for: "project" }, el("span", {}, t`Project`), picker),
  );
}

/* The title block, lower right. */

let stopFollowing = () => {};
/** How sure the finish was when that was last known here; null: not yet. */
let lastSure = null;

/**
 * Draw the title block, and again once it is known how sure the finish is. Until then the last
 * likely finish stands, marked as such: the one as written is another measure, months away.
 */
async function keepTitleBlock(path) {
  stopFollowing();
  const block = await get(path("/title-block"));
  const earlier = lastSure?.address === path("") ? lastSure.sure : null;
  const isEarlier = Boolean(!block.likely && earlier && block.work_count);
  drawTitleBlock(isEarlier ? { ...block, ...earlier, isEarlier } : block, t`spread being computed`);
  keepSure(path, block);
  if (block.likely) return;
  stopFollowing = follow(path("/simulation"), async (answer) => {
    if (answer?.state === "running") return;
    stopFollowing();
    const isReady = answer?.state === "ready";
    const now = isReady ? await get(path("/title-block")) : block;
    keepSure(path, now);
    drawTitleBlock(now, t`spread not computed`);
  });
}

function keepSure(path, { likely, by80, p10, p90, chance_of_target }) {
  if (likely) lastSure = { address: path(""), sure: { likely, by80, p10, p90, chance_of_target } };
}

function drawTitleBlock(block, unknown) {
  const current = document.body.dataset.sheet;
  const number = SHEETS.findIndex(({ id }) => id === current) + 1;
  const title = SHEETS[number - 1]?.title ?? document.title;
  fill(
    byId("title-block"),
    el(
      "dl",
      {},
      cell("project", t`Project`, block.project),
      cell("serial", t`Serial`, block.serial || t`not set`, block.aircraft),
      cell("as-of", t`As of`, when(block.as_of)),
      finishCell(block, unknown),
      cell("target", t`Target`, block.target_finish ? when(block.target_finish) : t`not set`, targetNote(block)),
      number ? cell("number", t`Sheet`, t`${number} of ${SHEETS.length}`, title) : null,
    ),
  );
}

function finishCell(block, unknown) {
  const { likely, by80, p10, p90, finish, isEarlier } = block;
  if (!block.work_count) return cell("finish", t`Finish`, t`no work yet`);
  if (!likely) return cell("finish", t`Finish as written`, when(finish), unknown);
  const spread = { p10, p50: likely, p80: by80, p90 };
  if (isCertain(spread)) return cell("finish", t`Finish`, when(likely), lateness(block));
  const band = dateBand(spread, { target: block.target_finish, size: "tiny" });
  const label = [term("likely date", t`Likely finish`), band];
  if (isEarlier) return cell("finish.earlier", label, when(likely), t`being computed anew`);
  return cell("finish", label, when(likely), t`80\u00a0% by ${when(by80)}`);
}

function targetNote(block) {
  if (!block.work_count) return null;
  const { chance_of_target: chance, p10, p90 } = block;
  if (chance === null || chance === undefined) return lateness(block);
  return p10 === p90 ? null : chances(chance);
}

function cell(name, label, value, note) {
  const told = [el("span.value", {}, value), note && el("span.note", {}, note)];
  return el(`div.cell.${name}`, {}, el("dt", {}, label), el("dd", {}, name.startsWith("finish") ? toForecast(told) : told));
}

/** The finish leads to the sheet that explains it; there, and where a project is only begun, it does not. */
function toForecast(told) {
  const { sheet } = document.body.dataset;
  if (sheet === "forecast" || !SHEETS.some(({ id }) => id === sheet)) return told;
  const project = new URLSearchParams(location.search).get("project");
  return el("a.to-forecast", { href: pageAddress("forecast", { project }) }, told);
}

function lateness({ target_finish: target, late_days: late }) {
  return target && Number.isFinite(late) ? againstTarget(late) : null;
}

/* When there is nothing to show. */

/** @returns {null} There is no sheet to run the page with. */
function showNoProject(projects, session) {
  const main = byId("main");
  const { sheet } = document.body.dataset;
  document.querySelector(".sheet-side")?.remove();
  const found = projects.map(({ id, name }) => el("li", {}, el("a", { href: pageAddress(sheet, { project: id }) }, name)));
  if (found.length) {
    fill(main, el("h1", {}, t`No such project`), el("p", {}, t`The project of this address is not here. These are:`), el("ul", {}, found));
  } else if (session.entry === "sign-in" && !session.is_keeper) {
    fill(main, el("div.stack", {}, el("h1", {}, t`No project yet`), el("p", {}, t`You take part in no project. Whoever plans one, or keeps the server, lets you in; then every sheet fills itself.`)));
  } else {
    const start = [
      el("h1", {}, t`No project yet`),
      el("p", {}, t`Nothing is stored here so far. Tell of the aircraft, the shop and its people: the first forecast is there in a few minutes. Or bring in a plan file, and every sheet of the set fills itself.`),
      mayBegin(session)
        ? [el("p", {}, el("a.button.strong", { href: NEW_PROJECT }, t`Begin a project`)), bringInForm()]
        : el("p", {}, t`The shop lead or the planner can do that.`),
    ];
    fill(main, el("div.stack", {}, start));
  }
  main.setAttribute("aria-busy", "false");
  return null;
}

function showFailure(error) {
  if (error instanceof ApiError && error.isSignedOut) return; // It goes to the sign-in.
  const main = byId("main");
  main.setAttribute("aria-busy", "false");
  const text = error instanceof ApiError ? error.message : t`This sheet could not be drawn.`;
  const again = el("button.button.strong", { type: "button" }, t`Try again`);
  again.addEventListener("click", () => location.reload());
  main.prepend(el("div.problem", { role: "alert" }, el("p", {}, text), again));
  if (!(error instanceof ApiError)) throw error;
}
