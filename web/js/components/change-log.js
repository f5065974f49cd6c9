/** The change log: who did what and when, older lines on request, undo where it is possible. */

import { get } from "../lib/api.js";
import { describeChange, kindName } from "../lib/changes.js";
import { el, fill } from "../lib/dom.js";
import { formatInstant } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { takeBack } from "./undo.js";

const PAGE = 25;

/**
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {() => Promise<void>} afterwards Called after an undo.
 */
export async function showChangeLog(place, sheet, afterwards) {
  const changes = [];
  let before = null;
  const older = el("button.button", { type: "button" }, "Older changes");
  const load = async () => {
    const page = await get(sheet.path("/changes"), { query: { before, limit: PAGE } });
    changes.push(...page.changes);
    before = page.next_before;
    older.hidden = before === null || before === undefined;
    fill(place, logTable(sheet, changes, afterwards), older);
  };
  older.addEventListener("click", () => load().catch(sayProblem));
  await load();
}

function logTable(sheet, changes, afterwards) {
  const newest = newestStanding(changes);
  const action = (change) => {
    if (change.undone_by) return el("span.soft", {}, "taken back");
    if (sheet.readOnly || !newest.has(change.number)) return "";
    return undoButton(sheet, change, newest.get(change.number), afterwards);
  };
  return table({
    caption: "Changes, the newest first",
    hideCaption: true,
    rows: changes,
    empty: "Nothing was changed since the plan was brought in. Each change will stand here, with who made it and when.",
    columns: [
      { label: "When", cell: ({ at }) => formatInstant(at) },
      { label: "Who", cell: ({ who }) => who },
      { label: "What", cell: (change) => nameOf(change), heading: true },
      { label: "Change", cell: (change) => [change.undoes ? "Took back; " : "", describeChange(change), change.reason && el("div.soft", {}, change.reason)] },
      { label: "Undo", cell: action },
    ],
  });
}

function nameOf({ kind, key }) {
  return `${kindName(kind)} ${key}`.trim();
}

/**
 * Of each thing, the newest change that still stands can be taken back: its number, with the
 * version the thing has now.
 */
function newestStanding(changes) {
  const seen = new Set();
  const versions = new Map();
  const found = new Map();
  for (const { number, kind, key, version, undoes, undone_by: undoneBy, before } of changes) {
    const thing = `${kind} ${key}`;
    if (!versions.has(thing)) versions.set(thing, version);
    if (seen.has(thing) || undoes || undoneBy || !before) continue;
    seen.add(thing);
    found.set(number, versions.get(thing));
  }
  return found;
}

function undoButton(sheet, change, version, afterwards) {
  const thing = { kind: change.kind, key: change.key, name: nameOf(change), version };
  const button = el("button.button", { type: "button", "aria-label": `Undo the change of ${thing.name}` }, "Undo");
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
