/**
 * The change log: who did what and when, older lines on request, undo where it is possible.
 * What changed many things at once is one line, which opens thing by thing.
 */

import { address, get } from "../lib/api.js";
import { describeChange, kindName } from "../lib/changes.js";
import { datedText, el, fill } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { formatInstant, formatNumber } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { many, t, told } from "../lib/text.js";
import { fileLinks } from "./table-links.js";
import { takeBack } from "./undo.js";

const PAGE = 25;
const OPENED_PAGE = 100;
/** What has a name of its own is one line, however few things it changed. */
const ONE_LINE = new Set(["crew.level", "case.adopt"]);

/**
 * The log; a day that was chosen stays chosen when it is read again.
 *
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {() => Promise<void>} afterwards Called after an undo.
 */
export async function showChangeLog(place, sheet, afterwards) {
  const lines = [];
  let before = null;
  const listed = el("div");
  const older = el("button.button", { type: "button" }, t`Older changes`);
  const day = field({ label: t`Of one day`, name: "day", type: "date", value: place.dataset.day ?? "" });
  const load = async () => {
    const page = await get(sheet.path("/actions"), { query: { before, limit: PAGE, ...span(place.dataset.day) } });
    lines.push(...page.actions.flatMap(linesOf));
    before = page.next_before;
    older.hidden = before === null || before === undefined;
    fill(listed, logTable(sheet, lines, place.dataset.day, afterwards));
  };
  const choose = async ({ target }) => {
    place.dataset.day = target.value;
    lines.length = 0;
    before = null;
    await load();
  };
  day.addEventListener("change", (event) => choose(event).catch(sayProblem));
  older.addEventListener("click", () => load().catch(sayProblem));
  await load();
  const links = fileLinks(t`change log`, (kind) => address(sheet.path(`/changes.${kind}`)));
  fill(place, el("div.fields.no-print", {}, day), listed, older, el("p.soft.no-print", {}, t`All of it, to open elsewhere: ${links}`));
}

/** A day as it is here, in instants: midnight to midnight. @param {string} [day] */
function span(day) {
  if (!day) return {};
  const [since, until] = [new Date(`${day}T00:00`), new Date(`${day}T00:00`)];
  until.setDate(until.getDate() + 1);
  return { since: since.toISOString(), until: until.toISOString() };
}

/** The changes of an action one by one, or the first of many with the action that it stands for. */
function linesOf(action) {
  const [first] = action.changes;
  const isAll = action.changes.length === action.count;
  if (isAll && !(action.count > 1 && ONE_LINE.has(first.action))) return action.changes;
  return [{ ...first, folded: action }];
}

function logTable(sheet, lines, day, afterwards) {
  const newest = newestStanding(lines);
  const action = (change) => {
    if (change.undone_by) return el("span.soft", {}, t`taken back`);
    if (sheet.readOnly || !newest.has(change.number)) return "";
    return undoButton(sheet, change, newest.get(change.number), afterwards);
  };
  return table({
    caption: t`Changes, the newest first`,
    hideCaption: true,
    rows: lines,
    empty: day
      ? t`Nothing was changed on that day.`
      : t`Nothing was changed since the plan was brought in. Each change will stand here, with who made it and when.`,
    columns: [
      { label: t`When`, cell: ({ at }) => formatInstant(at) },
      { label: t`Who`, cell: ({ who }) => who },
      { label: t`What`, cell: (change) => whatOf(change), heading: true },
      { label: t`Change`, cell: (change) => changeOf(sheet, change) },
      { label: t`Undo`, cell: action },
    ],
  });
}

function whatOf({ folded, ...change }) {
  return folded ? many(folded.count, "{n} thing", "{n} things") : nameOf(change);
}

function changeOf(sheet, change) {
  if (change.folded) return [datedText(change.folded.summary), change.reason && el("div.soft", {}, change.reason), oneByOne(sheet, change.folded)];
  return [change.undoes ? t`Took back; ${describeChange(change)}` : describeChange(change), change.reason && el("div.soft", {}, change.reason)];
}

function nameOf({ kind, key }) {
  return `${kindName(kind)} ${key}`.trim();
}

/** All changes of an action, fetched when they are opened. */
function oneByOne(sheet, { plan_version: version, count }) {
  const list = el("ul");
  const more = el("button.button", { type: "button", hidden: true }, t`Further ones`);
  const opened = el("details.behind", {}, el("summary", {}, t`All ${formatNumber(count)}, one by one`), list, more);
  let before = null;
  const load = async () => {
    const page = await get(sheet.path("/changes"), { query: { plan_version: version, before, limit: OPENED_PAGE } });
    before = page.next_before;
    list.append(...page.changes.map((change) => el("li", {}, `${nameOf(change)}: ${describeChange(change)}`)));
    more.hidden = before === null || before === undefined;
  };
  opened.addEventListener("toggle", () => {
    if (opened.open && !list.childElementCount) load().catch(sayProblem);
  });
  more.addEventListener("click", () => load().catch(sayProblem));
  return opened;
}

/**
 * Of each thing, the newest change that still stands can be taken back: its number, with the
 * version the thing has now.
 */
function newestStanding(lines) {
  const seen = new Set();
  const versions = new Map();
  const found = new Map();
  for (const { number, kind, key, version, undoes, undone_by: undoneBy, before, folded } of lines) {
    const thing = `${kind} ${key}`;
    if (!versions.has(thing)) versions.set(thing, version);
    if (seen.has(thing) || undoes || undoneBy || !(before || folded)) continue;
    seen.add(thing);
    found.set(number, versions.get(thing));
  }
  return found;
}

function undoButton(sheet, change, version, afterwards) {
  const name = change.folded ? told(change.folded.summary) : nameOf(change);
  const thing = { kind: change.kind, key: change.key, name, version };
  const button = el("button.button", { type: "button", "aria-label": t`Undo the change of ${name}` }, t`Undo`);
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await takeBack(sheet, thing, afterwards);
    } catch (error) {
      button.disabled = false;
      sayProblem(error);
    }
  });
  return button;
}
