/**
 * What a task waits for and what waits for it, on its sheet: each a way to the other's sheet, and
 * where the plan may be changed a line to be tied otherwise, taken away, or added.
 */

import { ApiError } from "../lib/api.js";
import { el, fill, freshId, when } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";
import { t, told } from "../lib/text.js";
import { relationName } from "../lib/words.js";
import { taskPicker } from "./task-picker.js";

const RELATIONS = ["FS", "SS", "FF", "SF"];
const LAGS = { work: t`working days`, elapsed: t`days, nights and weekends as well` };
const NOTHING = { before: t`The work itself waits for no other task.`, after: t`No other work waits for it.` };
const TITLES = { before: t`Waits for`, after: t`Others wait for it` };
const ADDS = { before: t`Add what it waits for`, after: t`Add what waits for it` };

/** @typedef {{key: string | null, version: number | null, link: object | null}} LinkChange */

export class TaskLinks {
  /**
   * @param {import("../lib/sheet.js").Sheet} sheet
   * @param {any} answer The task as the service tells it.
   * @param {object} page
   * @param {(id: string) => void} page.open Opens another task's sheet.
   * @param {() => void} page.changed After each change of a line, before anything is sent.
   */
  constructor(sheet, answer, { open, changed }) {
    this.sheet = sheet;
    this.open = open;
    this.changed = changed;
    this.id = answer.task.id;
    const byWork = (neighbours) => neighbours.filter(({ crew }) => !crew).map(lineOf);
    this.lines = { before: byWork(answer.predecessors), after: byWork(answer.successors) };
    this.lists = { before: el("ul.link-lines"), after: el("ul.link-lines") };
    for (const way of ["before", "after"]) this.#draw(way);
    this.node = el("div.neighbours", {}, this.#section("before"), this.#section("after"), this.#byCrew(t`Waits for hands or room`, answer.predecessors), this.#byCrew(t`Others wait for its hands or room`, answer.successors));
  }

  /** What differs from the plan, in the order of the lines. @returns {LinkChange[]} */
  changes() {
    return this.#touched().map(({ line }) => {
      const { key, version } = line;
      return line.isGone ? { key, version, link: null } : { key, version, link: this.#document(line) };
    });
  }

  /** A refusal that names a link by its place, as one that names its line here. @param {unknown} error */
  named(error) {
    if (!(error instanceof ApiError)) return error;
    const [path, place] = /^links\[(\d+)\][^:]*/.exec(error.problem.field ?? "") ?? [];
    const line = this.#touched()[place]?.line;
    if (!line) return error;
    const why = error.message.startsWith(`${path}: `) ? error.message.slice(path.length + 2) : error.message;
    if (!line.isOpen) {
      line.isOpen = true;
      this.#draw(line.way);
    }
    return new ApiError(error.status, { ...error.problem, field: line.field, detail: `${line.name}: ${why}` });
  }

  /** Take the newer versions of what was read again; what was typed stays. */
  renew(answer) {
    const newer = new Map([...answer.predecessors, ...answer.successors].map((one) => [one.link, one.link_version]));
    for (const way of ["before", "after"]) {
      this.lines[way] = this.lines[way].filter(({ key }) => !key || newer.has(key));
      for (const line of this.lines[way]) line.version = line.key ? newer.get(line.key) : null;
      this.#draw(way);
    }
  }

  #touched() {
    const all = ["before", "after"].flatMap((way) => this.lines[way].map((line) => ({ way, line })));
    return all.filter(({ line }) => line.isNew || line.isGone || ["type", "lag", "on"].some((part) => line[part] !== line.was[part]));
  }

  #document({ way, id, type, lag, on }) {
    const ends = way === "before" ? { from: id, to: this.id } : { from: this.id, to: id };
    return { ...ends, type, lag_days: lag, lag_on: on };
  }

  #section(way) {
    const adding = this.sheet.readOnly ? null : this.#adding(way);
    return el("section", {}, el("h3", {}, TITLES[way]), this.lists[way], adding);
  }

  #draw(way) {
    for (const line of this.lines[way]) line.way = way;
    const lines = this.lines[way].map((line) => this.#line(line));
    fill(this.lists[way], lines.length ? lines : el("li.soft", {}, NOTHING[way]));
  }

  #line(line) {
    const name = this.#name(line);
    if (line.isGone) return el("li.link-line.gone", {}, el("s", {}, line.name), " ", el("span.soft", {}, t`is taken away once you save`), this.#back(line));
    const fields = line.isOpen ? this.#fields(line) : null;
    return el(
      "li.link-line",
      { "data-field": line.field },
      el("div.link-told", {}, name, " ", el("span.soft", {}, t`${tied(line)}, ${line.finish ? when(line.finish) : t`new`}`), setsTheDate(line.isDriving)),
      this.sheet.readOnly || line.sendOut ? null : this.#buttons(line),
      fields,
    );
  }

  #name({ id, name, sendOut }) {
    if (sendOut) return el("a", { href: `${this.sheet.link("away")}#${encodeURIComponent(sendOut)}` }, name);
    return el("button.name", { type: "button", onclick: () => this.open(id) }, name);
  }

  #buttons(line) {
    const tie = () => {
      line.isOpen = !line.isOpen;
      this.#again(line, line.isOpen ? "select" : ".link-tie");
    };
    const away = () => {
      if (line.isNew) this.lines[line.way] = this.lines[line.way].filter((one) => one !== line);
      line.isGone = !line.isNew;
      this.#again(line, ".link-back", line.isNew);
      this.changed();
    };
    return el(
      "div.link-buttons",
      {},
      el("button.button.link-tie", { type: "button", "aria-expanded": String(line.isOpen), "aria-label": t`Tie otherwise: ${line.name}`, onclick: tie }, t`Tie otherwise`),
      el("button.button", { type: "button", "aria-label": t`Take away: ${line.name}`, onclick: away }, t`Take away`),
    );
  }

  #back(line) {
    const back = () => {
      line.isGone = false;
      this.#again(line, ".link-tie");
      this.changed();
    };
    return el("button.button.link-back", { type: "button", "aria-label": t`Leave it: ${line.name}`, onclick: back }, t`Leave it`);
  }

  /** Draw the lines anew, the focus on a part of one. */
  #again(line, part, isOut = false) {
    this.#draw(line.way);
    const place = this.lists[line.way].children[this.lines[line.way].indexOf(line)];
    const target = isOut ? this.lists[line.way].closest("section").querySelector(".link-add") : place.querySelector(part);
    target?.focus();
  }

  #fields(line) {
    const take = (part, value) => {
      line[part] = value;
      this.changed();
    };
    const select = (label, part, options) => {
      const id = freshId("link");
      const choices = options.map(([value, text]) => el("option", { value, selected: value === line[part] }, text));
      return el("div.field", {}, el("label", { for: id }, label), el("select", { id, onchange: (event) => take(part, event.target.value) }, choices));
    };
    const lagId = freshId("link");
    const lag = el("input", { id: lagId, type: "number", step: 0.125, min: -7300, max: 7300, inputmode: "decimal", value: line.lag, oninput: (event) => take("lag", Number(event.target.value)) });
    return el(
      "div.fields",
      {},
      select(t`It is done`, "type", RELATIONS.map((one) => [one, relationName(one)])),
      el("div.field", {}, el("label", { for: lagId }, t`Days between`), lag),
      select(t`Counted in`, "on", Object.entries(LAGS)),
    );
  }

  #adding(way) {
    const button = el("button.button.plain.link-add", { type: "button", "aria-expanded": "false", onclick: () => toggle() }, ADDS[way]);
    const place = el("div.link-adding");
    const toggle = () => {
      const isOpen = !place.firstChild;
      button.setAttribute("aria-expanded", String(isOpen));
      fill(place, isOpen ? taskPicker(this.sheet, ADDS[way], (id) => this.#canBeTied(way, id), choose) : null);
      if (isOpen) place.querySelector("input").focus();
    };
    const choose = (task) => {
      toggle();
      const line = { ...newLine(task), way };
      this.lines[way].push(line);
      this.#again(line, ".link-tie");
      this.changed();
    };
    return [button, place];
  }

  /** One cannot wait for oneself, and one line for each other task is enough to begin with. */
  #canBeTied(way, id) {
    return id !== this.id && !this.lines[way].some((line) => line.id === id && !line.isGone);
  }

  #byCrew(title, neighbours) {
    const found = neighbours.filter(({ crew }) => crew);
    if (!found.length) return null;
    const item = (one) =>
      el("li.link-line", {}, el("div.link-told", {}, told(one.crew.sentence), " ", el("span.soft", {}, t`Until ${when(one.finish)}`), setsTheDate(one.driving), " ", el("button.button.plain", { type: "button", "aria-label": t`Open ${one.name}`, onclick: () => this.open(one.id) }, t`Open the work`)));
    return el("section", {}, el("h3", {}, title), el("ul.link-lines", {}, found.map(item)));
  }
}

function lineOf(one) {
  const was = { type: one.type, lag: one.lag_days, on: one.lag_on };
  return { ...was, was, id: one.id, name: one.send_out ? told(one.name) : one.name || one.id, key: one.link, version: one.link_version, finish: one.finish, isDriving: one.driving, sendOut: one.send_out, isNew: false, isGone: false, isOpen: false, field: freshId("link-line") };
}

function newLine({ id, name, finish }) {
  const was = { type: "FS", lag: 0, on: "work" };
  return { ...was, was, id, name: name || id, key: null, version: null, finish, isDriving: false, sendOut: null, isNew: true, isGone: false, isOpen: true, field: freshId("link-line") };
}

/** How two are tied: "after its finish, wait of 2 days". */
function tied({ type, lag, on }) {
  const [how, days] = [relationName(type), formatDays(Math.abs(lag))];
  if (!lag) return how;
  if (on === "elapsed") return lag > 0 ? t`${how}, elapsed wait of ${days}` : t`${how}, elapsed lead of ${days}`;
  return lag > 0 ? t`${how}, wait of ${days}` : t`${how}, lead of ${days}`;
}

function setsTheDate(isDriving) {
  return isDriving && [" ", el("strong", {}, t`sets the date`)];
}
