/** The sheet of one task: why it exists, what drives it, what it drives, its status, its history. */

import { get, post } from "../lib/api.js";
import { openDialog } from "../lib/dialog.js";
import { el, fill, when } from "../lib/dom.js";
import { field, form, readForm, refusalIn, sendButton } from "../lib/forms.js";
import { finishSentence, formatDays } from "../lib/format.js";
import { say, sayProblem } from "../lib/notice.js";
import { term } from "../lib/term.js";
import { t, told } from "../lib/text.js";
import { hazardName, stateName } from "../lib/words.js";
import { asksOf, asksFields, typedAsks } from "./task-asks.js";
import { costs, origin } from "./task-background.js";
import { history } from "./task-history.js";
import { TaskLinks } from "./task-links.js";
import { checkSection } from "./check-section.js";
import { holds } from "./check-words.js";
import { onPath } from "./courses.js";
import { likelyDate } from "./date-band.js";
import { hoursSection } from "./hours-list.js";
import { MovePreview } from "./move-preview.js";
import { photos } from "./photos.js";
import { openSignOff } from "./sign-off-form.js";
import { urgency } from "./task-card.js";
import { takeBack, tellDone } from "./undo.js";

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
 * @param {TaskSheet | null} [options.from] The sheet from which one comes.
 */
export async function openTaskSheet(sheet, id, { onChange = async () => {}, from = null } = {}) {
  try {
    new TaskSheet(sheet, id, { onChange, from }).open(await read(sheet, id));
  } catch (error) {
    sayProblem(error);
  }
}

/** All that a sheet shows. */
async function read(sheet, id) {
  const [answer, log, { places }, { crew }] = await Promise.all([
    get(pathOf(sheet, id)),
    get(sheet.path("/changes"), { query: { task: id, limit: 20 } }),
    get(sheet.path("/places")),
    get(sheet.path("/crew")),
  ]);
  return { answer, changes: log.changes, shop: { places, crew } };
}

function pathOf(sheet, id) {
  return sheet.path(`/tasks/${encodeURIComponent(id)}`);
}

class TaskSheet {
  constructor(sheet, id, { onChange, from }) {
    Object.assign(this, { sheet, id, from, tellPage: onChange });
    this.path = pathOf(sheet, id);
    this.onChange = async () => {
      await Promise.all([this.#readAgain(), this.#tellOthers()]);
    };
    this.body = el("div.task-sheet");
    this.preview = new MovePreview({ asked: () => this.#asked(), reason: (error) => refusalIn(this.form, this.links.named(error)) });
  }

  open(found) {
    const { name } = found.answer.task;
    this.name = name || this.id;
    this.draw(found);
    this.discard = el("button.button", { type: "button", hidden: true, onclick: () => this.#discard() }, t`Discard`);
    this.dialog = openDialog({
      title: this.name,
      content: this.body,
      actions: [this.#wayBack(), this.form && [this.preview.node, this.discard, this.save]].flat().filter(Boolean),
      wide: true,
      onClose: () => this.#closed(),
    });
    this.dialog.addEventListener("cancel", () => {
      this.isGoingBack = true;
    });
  }

  draw(found) {
    this.found = found;
    const { answer, shop } = found;
    ({ version: this.version } = answer);
    const { sheet, id, path } = this;
    const changed = () => this.onChange();
    this.links = new TaskLinks(sheet, answer, { open: (other) => this.#walk(other), changed: () => this.#typed() });
    this.form = sheet.readOnly ? null : this.#planForm(answer, shop);
    if (this.form) {
      this.save ??= sendButton(this.form, t`Save the record`);
      this.save.setAttribute("form", this.form.id);
    }
    fill(
      this.body,
      facts(answer, id, shop, sheet),
      checkSection(sheet, answer, { close: () => this.#leave(), onChange: changed }),
      cautions(answer),
      this.form ?? this.links.node,
      hoursSection(sheet, path, answer, () => this.#tellOthers()),
      photos({ sheet, of: { task: id } }),
      costs(sheet, answer),
      history(sheet, found.changes, { id, name: answer.task.name || id }, changed),
    );
  }

  /** The page beneath, and the sheets on the way, show what was changed. */
  async #tellOthers() {
    await Promise.all([this.from?.keepUp(), this.tellPage()]);
  }

  /** Read again what a sheet above this one may have changed. What is typed stays as it is. */
  async keepUp() {
    await Promise.all([this.#readAgain(), this.from?.keepUp()]);
  }

  async #readAgain() {
    if (this.dialog.isConnected && !this.#asked()) this.draw(await read(this.sheet, this.id));
  }

  #wayBack() {
    if (!this.from) return null;
    return el("button.button.way-back", { type: "button", onclick: () => this.#leave() }, t`Back to ${this.from.name}`);
  }

  /** One more sheet on top, or back to the one that is open already. */
  #walk(id) {
    let open = this.from;
    while (open && open.id !== id) open = open.from;
    if (!open) return openTaskSheet(this.sheet, id, { onChange: this.tellPage, from: this });
    for (let top = this; top !== open; top = top.from) top.#leave();
  }

  /** Put this sheet away; the one from which one came stays. */
  #leave() {
    this.isGoingBack = true;
    this.dialog.close();
  }

  /** Close puts away the whole way, as far as nothing is typed. */
  #closed() {
    this.preview.clear();
    if (this.isGoingBack || !this.from || this.from.#asked()) return;
    this.from.dialog.close();
  }

  #discard() {
    this.draw(this.found);
    this.#typed();
    this.dialog.querySelector("h2").focus();
  }

  #typed() {
    this.discard.hidden = !this.#asked();
    this.preview.look();
  }

  /** What differs from the plan; null: nothing. */
  #asked() {
    if (!this.form) return null;
    const { task } = this.found.answer;
    const edits = { ...typed({ days: task.days, ...readForm(this.form) }, task), ...typedAsks(this.form, task) };
    const links = this.links.changes();
    if (!Object.keys(edits).length && !links.length) return null;
    return { path: `${this.path}/preview`, body: { task: edits, links }, version: this.version };
  }

  #planForm(answer, shop) {
    const node = form(
      [this.links.node, ...planFields(this.sheet, answer.task, shop), ...recordFields(this.sheet, answer.task)],
      () => this.#send(),
      async () => {
        const fresh = await get(this.path);
        this.version = fresh.version;
        this.links.renew(fresh);
      },
    );
    showWhatBelongs(node);
    for (const kind of ["input", "change"]) node.addEventListener(kind, () => this.#typed());
    return node;
  }

  async #send() {
    const asked = this.#asked();
    const { answer } = this.found;
    const { task } = answer;
    if (!asked) {
      this.#leave();
      say(t`Nothing to save: no field was changed.`);
      return;
    }
    if (task.status?.state !== "dropped" && isDroppedAlone(asked.body) && answer.check && holds(answer.check)) {
      this.#leave();
      await openSignOff(this.sheet, { id: task.id, name: task.name, version: this.version, check: answer.check }, { status: asked.body.task.status, afterwards: this.onChange });
      return;
    }
    this.preview.clear();
    let done;
    try {
      done = await post(`${this.path}/plan`, asked.body, { version: this.version });
    } catch (error) {
      throw this.links.named(error);
    }
    this.#leave();
    await this.onChange();
    const thing = { kind: done.kind, key: done.key, name: this.name, version: done.version };
    tellDone(t`Saved: ${this.name}. ${finishSentence(done.finish)}`, done, () => takeBack(this.sheet, thing, this.onChange));
  }
}

function facts({ task, dates, spread, criticality, origin: from }, id, shop, sheet) {
  const line = (label, ...value) => [el("dt", {}, label), el("dd", {}, value)];
  const state = task.status?.state ?? "not_started";
  return el(
    "dl.facts",
    {},
    line(t`Task`, id),
    line(t`State`, el(`span.stamp.${state}`, {}, stateName(state))),
    line(term("total float", t`To spare`), urgency({ ...dates, state }) ?? t`finished`, roomOnPath(dates)),
    asksOf(task, shop).map(([label, text]) => line(label, text)),
    line(t`Work`, task.milestone ? t`a milestone` : formatDays(task.days)),
    line(t`As written`, t`${when(dates.start)} to ${when(dates.finish)}`),
    spread ? line(t`Done`, likelyDate(spread), " ", el("div.soft", {}, onPath(criticality))) : null,
    line(t`At the latest`, t`${when(dates.late_start)} to ${when(dates.late_finish)}`),
    line(term("free float", t`Free float`), formatDays(dates.free_float_days)),
    task.not_before ? line(t`Not before`, when(task.not_before)) : null,
    task.deadline ? line(t`Deadline`, when(task.deadline)) : null,
    task.why && !(from?.finding && task.why.includes(from.finding)) ? line(t`Why`, task.why) : null,
    from ? line(t`Comes from`, origin(sheet, from)) : null,
    task.notes ? line(t`Notes`, task.notes) : null,
  );
}

/** On the chain that sets the finish work can still have some room; say where it comes from. */
function roomOnPath({ critical, total_float_days: spare }) {
  if (!critical || spare <= 0) return null;
  return el("div.soft", {}, t`What follows keeps other working days, so a little can be lost before the finish moves.`);
}

function cautions({ hazards = {} }) {
  const entries = Object.entries(hazards);
  if (!entries.length) return null;
  return el(
    "section",
    {},
    el("h3", {}, t`Usual cautions`),
    el("dl", {}, entries.map(([tag, { caution }]) => [el("dt", {}, hazardName(tag)), el("dd", {}, told(caution))])),
    el(
      "p.standing-line",
      {},
      t`Usual cautions only. The maker's documents, local codes and licensed people decide.`,
    ),
  );
}

function dateField(label, name, value, hint, max) {
  return field({ label, name, type: "date", value, hint, attributes: { max } });
}

function daysField(label, name, value) {
  return field({ label, name, type: "number", value, attributes: { min: 0, max: 7300, step: 0.125, inputmode: "decimal" } });
}

function planFields(sheet, task, shop) {
  return [
    el("h3", {}, t`Plan`),
    el(
      "div.fields",
      {},
      task.milestone ? null : daysField(t`Working days in all`, "days", task.days),
      dateField(t`Not before`, "not_before", task.not_before, t`It begins on this day at the earliest.`),
      dateField(t`Deadline`, "deadline", task.deadline, t`Moves nothing; tells when it is missed.`),
    ),
    asksFields(sheet, task, shop),
  ];
}

function recordFields(sheet, task) {
  const status = task.status ?? {};
  const { as_of: asOf } = sheet.project;
  return [
    el("h3", {}, t`Record`),
    el(
      "div.fields",
      {},
      field({
        label: t`State`,
        name: "state",
        type: "select",
        value: status.state ?? "not_started",
        options: Object.keys(BELONGS).map((state) => [state, stateName(state)]),
      }),
      dateField(t`Started`, "started", status.started, undefined, asOf),
      dateField(t`Finished`, "finished", status.finished, undefined, asOf),
      daysField(t`Days left`, "remaining_days", status.remaining_days),
      field({ label: t`Held because`, name: "held_reason", value: status.held_reason }),
      dateField(t`Held until, if known`, "held_until", status.held_until),
    ),
  ];
}

/** Only the fields that belong to the chosen state are in sight. */
function showWhatBelongs(node) {
  const show = () => {
    const { state } = readForm(node);
    for (const name of Object.values(BELONGS).flat()) {
      node.querySelector(`[data-field="${name}"]`).hidden = !BELONGS[state].includes(name);
    }
  };
  node.elements.state.addEventListener("change", show);
  show();
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
function isDroppedAlone({ task: { status, ...rest }, links }) {
  return status?.state === "dropped" && !Object.keys(rest).length && !links.length;
}

function number(text) {
  return text === null || text === undefined ? null : Number(text);
}
