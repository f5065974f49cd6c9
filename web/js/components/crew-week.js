/** The week, person by person: who does what on which day; printed as one sheet for the wall. */

import { ApiError, get } from "../lib/api.js";
import { backward, onward } from "../lib/arrows.js";
import { el, fill, when } from "../lib/dom.js";
import { addDays, formatDate, formatNumber } from "../lib/format.js";
import { t, told } from "../lib/text.js";
import { hazardName, tradeName } from "../lib/words.js";
import { urgency } from "./task-card.js";
import { openTaskSheet } from "./task-sheet.js";

/** So much of the work that finds nobody is in sight at once; the rest unfolds. */
const SHOWN = 24;

/** The panel; the Monday it shows stands in the address. */
export class WeekPanel {
  /**
   * @param {HTMLElement} place
   * @param {import("../lib/sheet.js").Sheet} sheet
   */
  constructor(place, sheet) {
    this.sheet = sheet;
    this.monday = null;
    this.asOf = null;
    this.running = null;
    this.name = el("h3.week-name", { "aria-live": "polite" });
    this.body = el("div.week-body");
    fill(place, this.#tools(), this.name, this.body);
  }

  /** Show the week of the address, or the one of the as-of date. @param {string} asOf */
  async open(asOf) {
    this.asOf = asOf;
    const asked = new URLSearchParams(location.search).get("week");
    await this.#show(mondayOf(this.monday ?? (isDate(asked) ? asked : asOf)));
  }

  #tools() {
    const step = (days) => () => this.#go(addDays(this.monday, days));
    this.date = el("input", { type: "date", id: "week-date", required: true });
    this.date.addEventListener("change", () => {
      if (isDate(this.date.value)) this.#go(mondayOf(this.date.value));
    });
    return el(
      "div.week-tools.no-print",
      {},
      el(
        "div.button-row",
        {},
        el("button.button", { type: "button", onclick: step(-7) }, backward(t`Week before`)),
        el("button.button", { type: "button", onclick: () => this.#go(mondayOf(this.asOf)) }, t`This week`),
        el("button.button", { type: "button", onclick: step(7) }, onward(t`Week after`)),
      ),
      el("div.field", {}, el("label", { for: "week-date" }, t`Week with the date`), this.date),
      el("button.button", { type: "button", onclick: printWeek }, t`Print this week`),
    );
  }

  async #go(monday) {
    const address = new URL(location.href);
    address.searchParams.set("week", monday);
    history.replaceState(null, "", address);
    await this.#show(monday);
  }

  async #show(monday) {
    this.running?.abort();
    const running = new AbortController();
    this.running = running;
    this.monday = monday;
    this.date.value = monday;
    this.body.setAttribute("aria-busy", "true");
    try {
      const week = await get(this.sheet.path("/crew-week"), { query: { monday }, signal: running.signal });
      fill(this.name, t`Monday ${when(week.monday)} to Sunday ${when(addDays(week.monday, 6))}`);
      fill(this.body, this.#drawn(week));
    } catch (error) {
      if (running.signal.aborted) return;
      if (!(error instanceof ApiError)) throw error;
      fill(this.body, el("p.problem", { role: "alert" }, error.message));
    }
    this.body.setAttribute("aria-busy", "false");
  }

  #drawn(week) {
    const days = weekDays(week);
    if (!days.length) return el("p.empty-state", {}, t`That week lies before the as-of date, ${when(week.as_of)}. What was done in it stands in the records of its tasks.`);
    const busy = week.people.filter((one) => one.days.some(({ works }) => works.length));
    const idle = week.people.filter((one) => !busy.includes(one));
    const nobody = week.people.length ? t`Nobody has work in this week.` : t`No crew is entered. People come with the plan file, or are added on Settings.`;
    return [
      busy.length ? this.#table(week, busy, days) : el("p.empty-state", {}, nobody),
      week.unassigned.length ? this.#unassigned(week.unassigned) : null,
      week.held.length ? this.#held(week.held) : null,
      busy.length && idle.length ? el("p.week-idle", {}, t`Nothing this week for ${idle.map(({ slot }) => slot).join(", ")}.`) : null,
      cautions(week),
    ];
  }

  #table({ monday }, people, days) {
    const heads = days.map((iso) => el("th", { scope: "col" }, when(iso, "weekday")));
    return el(
      "table.week",
      { role: "table" },
      el("caption.unseen", {}, t`Who does what in the week from ${formatDate(monday)}`),
      el("thead", { role: "rowgroup" }, el("tr", { role: "row" }, el("th", { scope: "col", role: "columnheader" }, t`Who`), heads.map(columnHead))),
      el("tbody", { role: "rowgroup" }, people.map((one) => this.#row(one, days))),
    );
  }

  /** The cautions of a piece of work stand where it first comes in the row. */
  #row({ slot, trades, days: own }, days) {
    const told = new Set();
    const work = (one) => {
      const isNew = !told.has(one.task);
      told.add(one.task);
      return el("li", {}, this.#work(one), isNew ? cautionTags(one) : null);
    };
    const cells = days.map((iso) => {
      const { works = [], hours = 0 } = own.find(({ date }) => date === iso) ?? {};
      return el(
        works.length ? "td.has-work" : "td",
        { role: "cell" },
        el("span.week-day", { "aria-hidden": "true" }, when(iso, "weekday")),
        works.length ? el("ul", { role: "list" }, works.map(work)) : el("span.soft", {}, hours ? t`free` : ""),
      );
    });
    const names = trades.map(tradeName).filter((name) => !slot.startsWith(name));
    return el("tr", { role: "row" }, el("th", { scope: "row", role: "rowheader" }, slot, names.length ? el("span.crew-labels", {}, names.join(", ")) : null), cells);
  }

  #work({ task, name, zone, hours }) {
    return [
      el("button.name.week-task", { type: "button", onclick: () => openTaskSheet(this.sheet, task) }, name || task),
      " ",
      el("span.week-facts", {}, [zone, hours ? inHours(hours) : ""].filter(Boolean).join(", ")),
    ];
  }

  /** Once for each piece of work and trade, with the dates on which somebody is missing. */
  #unassigned(works) {
    const missing = Map.groupBy(works, ({ task, trade }) => JSON.stringify([task, trade]));
    const line = (same) => {
      const [{ trade, ...first }] = same;
      const dates = same.flatMap(({ date, hours }) => ["; ", when(date, "weekday"), `: ${inHours(hours)}`]);
      return el("li", {}, this.#work({ ...first, hours: 0 }), " ", urgency(first), " ", el("span.week-facts", {}, el("b", {}, tradeName(trade)), dates), cautionTags(first));
    };
    const list = (some) => el("ul", { role: "list" }, some.map(line));
    const all = [...missing.values()];
    const rest = all.slice(SHOWN);
    return el(
      "div.week-unassigned",
      {},
      el("h4", {}, t`Nobody free for it`, " ", el("span.count", {}, formatNumber(all.length))),
      list(all.slice(0, SHOWN)),
      rest.length ? el("details.behind", {}, el("summary", {}, t`${formatNumber(rest.length)} more`), list(rest)) : null,
    );
  }

  /** What the plan has in the week while nobody knows when it goes on. */
  #held(works) {
    const line = (one) => el("li", {}, this.#work(one), " ", urgency(one), " ", el("span.week-facts", {}, one.reason || t`No reason was given.`));
    return el(
      "div.week-held",
      {},
      el("h4", {}, t`Held, nobody is asked for it`, " ", el("span.count", {}, formatNumber(works.length))),
      el("ul", { role: "list" }, works.map(line)),
    );
  }
}

function inHours(hours) {
  return `${formatNumber(hours)}\u00a0h`;
}

function cautionTags({ hazards }) {
  return hazards.length ? el("span.week-hazards", {}, hazards.map(hazardName).join(", ")) : null;
}

function columnHead(node) {
  node.setAttribute("role", "columnheader");
  return node;
}

/** Monday to Sunday, without what lies before the as-of date, and without a weekend on which nobody works. */
function weekDays({ monday, as_of: asOf, people, unassigned }) {
  const all = [0, 1, 2, 3, 4, 5, 6].map((number) => addDays(monday, number));
  const isWorked = (iso) => people.some(({ days }) => days.some(({ date, works, hours }) => date === iso && (works.length || hours))) || unassigned.some(({ date }) => date === iso);
  return all.filter((iso, number) => (iso >= asOf && number < 5) || isWorked(iso));
}

/** Each caution once, and the standing line. */
function cautions({ hazards, caution }) {
  const known = Object.entries(hazards);
  return el(
    "div.week-cautions",
    {},
    known.length ? el("dl", {}, known.map(([tag, one]) => el("div", {}, el("dt", {}, hazardName(tag)), el("dd", {}, told(one.caution))))) : null,
    el("p.standing-line", {}, told(caution)),
  );
}

function isDate(text) {
  return /^\d{4}-\d\d-\d\d$/.test(text ?? "") && !Number.isNaN(Date.parse(text));
}

function mondayOf(iso) {
  const weekday = new Date(`${iso}T00:00:00Z`).getUTCDay();
  return addDays(iso, -((weekday + 6) % 7));
}

/** The week alone, on one landscape sheet. */
function printWeek() {
  document.body.dataset.printing = "week";
  addEventListener("afterprint", () => delete document.body.dataset.printing, { once: true });
  print();
}
