/** The sheet of one task: why it exists, what drives it, what it drives, its status, its history. */

import { get, patch } from "../lib/api.js";
import { describeChange, whoAndWhen } from "../lib/changes.js";
import { openDialog } from "../lib/dialog.js";
import { el, when } from "../lib/dom.js";
import { field, form, readForm, sendButton } from "../lib/forms.js";
import { finishSentence, formatDays } from "../lib/format.js";
import { say, sayProblem } from "../lib/notice.js";
import { hazardName, relationName, stateName } from "../lib/words.js";
import { asksOf, asksFields, typedAsks } from "./task-asks.js";
import { checkSection } from "./check-section.js";
import { holds } from "./check-words.js";
import { onPath } from "./courses.js";
import { likelyDate } from "./date-band.js";
import { hoursSection } from "./hours-list.js";
import { photos } from "./photos.js";
import { openSignOff } from "./sign-off-form.js";
import { undoTask } from "./status.js";
import { urgency } from "./task-card.js";
import { tellDone } from "./undo.js";

/** Each state, and the fields that belong to it. */
const BELONGS = {
  not_started: [],
  in_work: ["started", "remaining_days"],
  held: ["started", "remaining_days", "held_reason", "held_until"],
  done: ["started", "finished"],
  dropped: [],
};

/**
 * Open the sheet of a task.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {string} id
 * @param {object} [options]
 * @param {() => Promise<void>} [options.onChange] After a record or an undo.
 * @param {{spread: any, criticality: number | null}} [options.sureness] When it may end, where the page knows.
 */
export async function openTaskSheet(sheet, id, { onChange = async () => {}, sureness = null } = {}) {
  const path = sheet.path(`/tasks/${encodeURIComponent(id)}`);
  try {
    const [answer, log, { places }, { crew }] = await Promise.all([
      get(path),
      get(sheet.path("/changes"), { query: { kind: "task", key: id, limit: 20 } }),
      get(sheet.path("/places")),
      get(sheet.path("/crew")),
    ]);
    const close = () => dialog.close();
    const shop = { places, crew };
    const record = sheet.readOnly ? null : statusForm(sheet, path, answer, shop, close, onChange);
    const parts = [facts(answer, id, shop, sureness), checkSection(sheet, answer, { close, onChange }), neighbours(answer), cautions(answer), hoursSection(sheet, path, answer, onChange), photos({ sheet, of: { task: id } }), record, history(log.changes)];
    const dialog = openDialog({
      title: answer.task.name || id,
      content: el("div.task-sheet", {}, parts.filter(Boolean)),
      actions: record ? [sendButton(record, "Save the record")] : [],
      wide: true,
    });
  } catch (error) {
    sayProblem(error);
  }
}

function facts({ task, dates }, id, shop, sureness) {
  const line = (label, ...value) => [el("dt", {}, label), el("dd", {}, value)];
  const state = task.status?.state ?? "not_started";
  return el(
    "dl.facts",
    {},
    line("Task", id),
    line("State", el(`span.stamp.${state}`, {}, stateName(state))),
    line("To spare", urgency({ ...dates, state }) ?? "finished", roomOnPath(dates)),
    asksOf(task, shop).map(([label, text]) => line(label, text)),
    line("Work", task.milestone ? "a milestone" : formatDays(task.days)),
    line("As written", when(dates.start), " to ", when(dates.finish)),
    sureness?.spread ? line("Done", likelyDate(sureness.spread), " ", el("div.soft", {}, onPath(sureness.criticality))) : null,
    line("At the latest", when(dates.late_start), " to ", when(dates.late_finish)),
    line("Free float", formatDays(dates.free_float_days)),
    task.not_before ? line("Not before", when(task.not_before)) : null,
    task.deadline ? line("Deadline", when(task.deadline)) : null,
    task.why ? line("Why", task.why) : null,
    task.notes ? line("Notes", task.notes) : null,
  );
}

/** On the chain that sets the finish work can still have some room; say where it comes from. */
function roomOnPath({ critical, total_float_days: spare }) {
  if (!critical || spare <= 0) return null;
  return el("div.soft", {}, "What follows keeps other working days, so a little can be lost before the finish moves.");
}

function neighbours({ predecessors, successors, driven_by: drivers }) {
  const driving = new Set(drivers.map(({ id }) => id));
  const item = (one) =>
    el(
      "li",
      {},
      one.crew ? one.crew.sentence : one.name || one.id,
      el("span.soft", {}, one.crew ? " Until " : `, ${relationName(one.type)}${lag(one)}, `, when(one.finish, "day")),
      (one.driving || driving.has(one.id)) && el("strong", {}, " sets the date"),
    );
  const list = (title, lines, nothing) =>
    el(
      "section",
      {},
      el("h3", {}, title),
      lines.length ? el("ul", {}, lines.map(item)) : el("p.soft", {}, nothing),
    );
  const byWork = (lines) => lines.filter(({ crew }) => !crew);
  const byCrew = (title, lines) => {
    const found = lines.filter(({ crew }) => crew);
    return found.length ? list(title, found) : null;
  };
  return el(
    "div.neighbours",
    {},
    list("Waits for", byWork(predecessors), "The work itself waits for no other task."),
    list("Others wait for it", byWork(successors), "No other work waits for it."),
    byCrew("Waits for hands or room", predecessors),
    byCrew("Others wait for its hands or room", successors),
  );
}

function lag({ lag_days: days, lag_on: on }) {
  if (!days) return "";
  const kind = on === "elapsed" ? "elapsed " : "";
  return days > 0 ? `, ${kind}wait of ${formatDays(days)}` : `, ${kind}lead of ${formatDays(-days)}`;
}

function cautions({ hazards = {} }) {
  const entries = Object.entries(hazards);
  if (!entries.length) return null;
  return el(
    "section",
    {},
    el("h3", {}, "Usual cautions"),
    el("dl", {}, entries.map(([tag, { caution }]) => [el("dt", {}, hazardName(tag)), el("dd", {}, caution)])),
    el(
      "p.standing-line",
      {},
      "Usual cautions only. The maker's documents, local codes and licensed people decide.",
    ),
  );
}

function statusForm(sheet, path, answer, shop, close, onChange) {
  let { version } = answer;
  const { task } = answer;
  const status = task.status ?? {};
  const date = (label, name, value) =>
    field({
      label,
      name,
      type: "date",
      value,
      attributes: { max: name === "held_until" ? undefined : sheet.project.as_of },
    });
  const planned = (label, name, value, hint) => field({ label, name, type: "date", value, hint });
  const days = (label, name, value) =>
    field({ label, name, type: "number", value, attributes: { min: 0, max: 7300, step: 0.125, inputmode: "decimal" } });
  const node = form(
    [
      el("h3", {}, "Record"),
      el(
        "div.fields",
        {},
        field({
          label: "State",
          name: "state",
          type: "select",
          value: status.state ?? "not_started",
          options: Object.keys(BELONGS).map((state) => [state, stateName(state)]),
        }),
        date("Started", "started", status.started),
        date("Finished", "finished", status.finished),
        days("Days left", "remaining_days", status.remaining_days),
        field({ label: "Held because", name: "held_reason", value: status.held_reason }),
        date("Held until, if known", "held_until", status.held_until),
      ),
      el("h3", {}, "Plan"),
      el(
        "div.fields",
        {},
        task.milestone ? null : days("Working days in all", "days", task.days),
        planned("Not before", "not_before", task.not_before, "It begins on this day at the earliest."),
        planned("Deadline", "deadline", task.deadline, "Moves nothing; tells when it is missed."),
      ),
      asksFields(sheet, task, shop),
    ],
    async () => {
      const body = { ...typed({ days: task.days, ...readForm(node) }, task), ...typedAsks(node, task) };
      if (!Object.keys(body).length) {
        close();
        say("Nothing to save: no field was changed.");
        return;
      }
      if (task.status?.state !== "dropped" && isDroppedAlone(body) && answer.check && holds(answer.check)) {
        close();
        await openSignOff(sheet, { id: task.id, name: task.name, version, check: answer.check }, { status: body.status, afterwards: onChange });
        return;
      }
      const done = await patch(path, body, { version });
      close();
      await onChange();
      tellDone(`Saved: ${task.name || task.id}. ${finishSentence(done.finish)}`, done, () =>
        undoTask(sheet, { ...task, version: done.version }, onChange),
      );
    },
    async () => {
      ({ version } = await get(path));
    },
  );
  const showWhatBelongs = () => {
    const { state } = readForm(node);
    for (const name of Object.values(BELONGS).flat()) {
      node.querySelector(`[data-field="${name}"]`).hidden = !BELONGS[state].includes(name);
    }
  };
  node.elements.state.addEventListener("change", showWhatBelongs);
  showWhatBelongs();
  return node;
}

/**
 * What was typed anew, without what does not belong to the state. A field that was left alone is
 * not sent, so that saving never takes back what somebody else did to it in the meantime.
 */
function typed({ days, not_before: notBefore, deadline, ...status }, task) {
  const kept = BELONGS[status.state].map((key) => [key, key.endsWith("_days") ? number(status[key]) : status[key]]);
  const isNew = (known) => ([key, value]) => value !== (known[key] ?? null);
  const before = { ...task.status, state: task.status?.state ?? "not_started" };
  const record = Object.fromEntries([["state", status.state], ...kept].filter(isNew(before)));
  const plan = Object.entries({ days: number(days), not_before: notBefore, deadline }).filter(isNew(task));
  return { ...(Object.keys(record).length ? { status: record } : {}), ...Object.fromEntries(plan) };
}

/** Dropping is all that is asked for: then the check is settled, or passed over, in the same step. */
function isDroppedAlone({ status, ...rest }) {
  return status?.state === "dropped" && !Object.keys(rest).length;
}

function number(text) {
  return text === null || text === undefined ? null : Number(text);
}

function history(changes) {
  const line = (change) => el("li", {}, describeChange(change), el("span.soft", {}, `, ${whoAndWhen(change)}`));
  return el(
    "details",
    {},
    el("summary", {}, "History"),
    changes.length ? el("ol", {}, changes.map(line)) : el("p.soft", {}, "Nothing was changed since it was brought in."),
  );
}
