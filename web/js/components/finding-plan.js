/** What the findings make of the plan: looked at line by line, then put into it in one step. */

import { get, post } from "../lib/api.js";
import { kindName } from "../lib/changes.js";
import { el, fill, when } from "../lib/dom.js";
import { finishSentence, formatNumber } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { count } from "./finding-words.js";
import { takeBack, tellDone } from "./undo.js";

const SHOWN = 40;
const REASONS = {
  started: "its work has begun",
  edited: "somebody edited it by hand",
  dropped: "somebody dropped it",
};

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {HTMLElement} place
 * @param {object} page
 * @param {() => any} page.evaluation
 * @param {() => Promise<void>} page.changed The plan was changed: read again.
 * @param {(key: string) => void} page.goTo A finding.
 */
export function planOfFindings(sheet, place, page) {
  let shown = null;
  const invite = () => {
    const { not_planned: open } = page.evaluation();
    const text = open ? `${count(open, "finding")} ${open === 1 ? "is" : "are"} decided and not in the plan yet.` : "Nothing that is decided is missing from the plan.";
    const look = el("button.button.strong", { type: "button", onclick: () => ask(look) }, "Look what it makes");
    fill(place, el("p", {}, text), el("div.button-row", {}, look));
  };
  const ask = async (button) => {
    if (button) button.disabled = true;
    try {
      shown = await get(sheet.path("/draft"));
      draw();
    } catch (error) {
      sayProblem(error);
    } finally {
      if (button) button.disabled = false;
    }
  };
  const draw = () => {
    const put = el("button.button.strong", { type: "button", onclick: () => apply(put) }, "Put into the plan");
    fill(
      place,
      answer(shown),
      problems(shown.problems, page.goTo),
      GROUPS.map(({ name, title, columns }) => group(title, shown[name], columns, page.goTo)),
      sheet.readOnly || shown.up_to_date || !shown.finish_after ? null : el("div.button-row", {}, put),
    );
  };
  const apply = async (button) => {
    button.disabled = true;
    try {
      const done = await post(sheet.path("/draft"), { plan_version: shown.plan_version });
      await again();
      const thing = { kind: done.kind, key: done.key, name: "the plan as it was", version: done.version };
      tellDone(`The plan is made from the findings. ${finishSentence(done.finish)}`, done, () => takeBack(sheet, thing, again));
    } catch (error) {
      button.disabled = false;
      sayProblem(error);
      if (error.status === 409 || error.isStale) await again();
    }
  };
  const again = async () => {
    await page.changed();
    await ask();
  };
  invite();
  return {
    /** The findings changed: what is shown is looked at again. */
    refresh() {
      return shown ? ask() : invite();
    },
  };
}

/** How much changes, and what becomes of the finish, in a sentence each. */
function answer(draft) {
  const { counts, up_to_date: upToDate } = draft;
  if (upToDate) return el("p.lead", {}, "The plan holds all that the findings make. Nothing would change.");
  const parts = [
    counts.added ? `${formatNumber(counts.added)} new` : "",
    counts.changed ? `${formatNumber(counts.changed)} changed` : "",
    counts.dropped ? `${formatNumber(counts.dropped)} no longer needed` : "",
    counts.kept ? `${formatNumber(counts.kept)} left alone` : "",
  ].filter(Boolean);
  const { finish_before: before, finish_after: after } = draft;
  return el(
    "div.plan-answer",
    {},
    el("p.lead", {}, `${parts.join(", ")}.`),
    el("p", {}, !after ? "It cannot be put into the plan yet: see below." : before === after ? ["The finish as written stays ", when(after), "."] : ["The finish as written moves from ", when(before), " to ", when(after), "."]),
  );
}

function problems(list, goTo) {
  if (!list?.length) return null;
  const line = ({ finding, sentence }) => el("li", {}, finding ? [link(finding, goTo), ": "] : null, sentence);
  return el("section.plan-problems", {}, el("h3", {}, "To settle first"), el("ul", {}, list.map(line)));
}

const WHAT = { label: "What", heading: true, cell: ({ name, key }) => name || key };
const KIND = { label: "Kind", cell: ({ kind }) => kindName(kind) };

const GROUPS = [
  { name: "added", title: "New", columns: [] },
  { name: "changed", title: "Changed", columns: [{ label: "Change", cell: ({ fields }) => changes(fields) }] },
  { name: "dropped", title: "No longer needed", columns: [] },
  {
    name: "kept",
    title: "Left alone",
    columns: [
      { label: "Because", cell: ({ reason }) => REASONS[reason] ?? reason },
      { label: "It would be", cell: ({ fields }) => changes(fields) },
    ],
  },
];

function group(title, items, columns, goTo) {
  if (!items.length) return null;
  const because = { label: "Because of", cell: (item) => reason(item, goTo) };
  const rest = items.length - SHOWN;
  const body = el("div");
  const draw = (rows) => fill(body, table({ caption: title, hideCaption: true, rows, columns: [WHAT, KIND, ...columns, because] }), more(rows));
  const more = (rows) =>
    rows.length < items.length ? el("button.button", { type: "button", onclick: () => draw(items) }, `And ${formatNumber(rest)} more`) : null;
  const node = el("details.plan-group", {}, el("summary", {}, el("b", {}, title), el("span.soft", {}, ` ${formatNumber(items.length)}`)), body);
  node.addEventListener("toggle", () => node.open && !body.childElementCount && draw(items.slice(0, SHOWN)));
  return node;
}

function reason({ finding, card, why }, goTo) {
  if (finding) return [link(finding, goTo), card ? `, card ${card}` : ""];
  return card ? `card ${card}` : why;
}

function link(finding, goTo) {
  return el("button.name.finding-link", { type: "button", onclick: () => goTo(finding) }, finding);
}

function changes(fields) {
  const line = ({ field, before, after }) => el("div", {}, `${field.replaceAll("_", " ")}: ${shown(before)} → ${shown(after)}`);
  return (fields ?? []).map(line);
}

function shown(value) {
  if (value === null || value === undefined || value === "") return "none";
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}
