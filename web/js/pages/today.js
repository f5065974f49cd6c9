/** Today: what the shop can work on now, in the order that protects the finish. */

import { mountAirframe } from "../components/airframe.js";
import { holds } from "../components/check-words.js";
import { ChaseList } from "../components/chase-list.js";
import { movementList, waitingList } from "../components/floor-lists.js";
import { askFound } from "../components/found-something.js";
import { hoursForm } from "../components/hours-form.js";
import { openSignOff } from "../components/sign-off-form.js";
import { askAgain } from "../components/spread-slot.js";
import { askDaysLeft, askHeld, doneOn, record, startedOn, undoTask } from "../components/status.js";
import { taskCard, tellOnCard } from "../components/task-card.js";
import { drawUnsent, markUnsent } from "../components/unsent-list.js";
import { takeBack, tellDone, tellKept } from "../components/undo.js";
import { openTaskSheet } from "../components/task-sheet.js";
import { ApiError, get } from "../lib/api.js";
import { whatChanged } from "../lib/changes.js";
import { byId, datedText, el, fill, when } from "../lib/dom.js";
import { formatNumber, todayHere } from "../lib/format.js";
import { offer, sayProblem } from "../lib/notice.js";
import { keepSheet, tellOffline } from "../lib/offline.js";
import { sendOrKeep, startSending, unsent, watchUnsent } from "../lib/queue.js";
import { runPage } from "../lib/sheet.js";
import { follow } from "../lib/simulation.js";
import { many, t, told } from "../lib/text.js";
import { hazardName, tradeName } from "../lib/words.js";

tellOffline(byId("no-network"));

runPage(async (sheet) => {
  const page = new TodayPage(sheet);
  await page.open();
});

class TodayPage {
  /** @param {import("../lib/sheet.js").Sheet} sheet */
  constructor(sheet) {
    this.sheet = sheet;
    const search = new URLSearchParams(location.search);
    this.filter = { trade: search.get("trade"), zone: search.get("zone") };
    this.today = null;
    /** Version of the plan whose spread this sheet was last drawn for. */
    this.spreadOf = null;
    /** Forms for hours that are open, by task: they outlive every new drawing of the cards. */
    this.hoursOf = new Map();
    /** What was recorded without a network and waits. @type {import("../lib/queue.js").Unsent[]} */
    this.unsent = [];
    this.actions = sheet.readOnly ? null : this.#cardActions();
    this.openTask = (card) => openTaskSheet(sheet, card.id, { onChange: () => this.refresh() });
  }

  async open() {
    this.chase = new ChaseList(byId("chase").querySelector(".panel-body"), {
      link: ({ id, name }) => el("a", { href: this.#onAway(id) }, name),
      onDrawn: (count) => countOf("chase", count),
    });
    byId("found").hidden = this.sheet.readOnly;
    byId("print").addEventListener("click", () => window.print());
    byId("show-all").addEventListener("click", () => this.#choose({ trade: null, zone: null }));
    this.map = mountAirframe(byId("airframe"), this.sheet, {
      selected: this.filter.zone,
      onSelect: (zone) => this.#choose({ zone }),
    });
    this.sheet.keepUp(() => this.refresh());
    watchUnsent(() => this.#lookAtUnsent());
    this.gains = this.chase.follow(this.sheet.path("/causes"));
    this.unsent = await unsent(this.sheet.project.id);
    startSending(this.sheet.person);
    await this.#load();
    const { zones } = await get(this.sheet.path("/airframe"));
    this.#fillFilters(zones);
    const named = zones.map(({ id, name }) => [id, name || id]);
    this.found = (zone, card = null) => askFound(this.sheet, named, zone, () => this.refresh(), card);
    byId("found").addEventListener("click", () => this.found(this.filter.zone));
    await this.map;
    this.#waitForSpread();
    keepSheet().catch((error) => console.warn(`Today is not kept for times without a network: ${error}`));
  }

  /** Where something was sent, the sheet is read again. */
  async #lookAtUnsent() {
    const before = this.unsent.length;
    this.unsent = await unsent(this.sheet.project.id);
    this.#drawUnsent();
    if (this.unsent.length < before) await this.refresh();
  }

  #drawUnsent() {
    drawUnsent(byId("unsent"), this.unsent);
    for (const node of document.querySelectorAll("[data-task]")) markUnsent(this.unsent, node, node.dataset.task);
  }

  /** The dates by which items are likely here come later than the sheet, where they take long. */
  #waitForSpread() {
    const { chase, arriving, in_work: inWork } = this.today;
    if ([...chase, ...arriving, ...inWork].every((one) => one.back ?? one.spread)) return;
    this.stopWaiting?.();
    this.stopWaiting = follow(this.sheet.path("/simulation"), (answer) => {
      if (answer?.state === "running") return;
      this.stopWaiting();
      if (answer?.state !== "ready" || answer.plan_version === this.spreadOf) return;
      this.spreadOf = answer.plan_version;
      this.refresh().catch(sayProblem);
    });
  }

  /** Read everything again after a change; the reader's place on the page is kept. */
  async refresh() {
    const map = await this.map;
    const place = rememberPlace();
    try {
      await Promise.all([this.#load(), map.refresh(), this.sheet.refreshTitleBlock()]);
    } catch (error) {
      if (!(error instanceof ApiError && error.isOffline)) throw error;
    }
    returnTo(place);
    this.#waitForSpread();
    askAgain(this.sheet, "/causes");
  }

  async #load() {
    [this.today] = await Promise.all([get(this.sheet.path("/today"), { query: this.filter }), this.gains]);
    this.#draw();
  }

  async #choose(change) {
    Object.assign(this.filter, change);
    const { trade, zone } = this.filter;
    history.replaceState(null, "", this.sheet.link("today", { trade, zone }));
    byId("trade").value = trade ?? "";
    byId("zone").value = zone ?? "";
    (await this.map).select(zone);
    try {
      await this.#load();
    } catch (error) {
      sayProblem(error);
    }
  }

  #fillFilters(zones) {
    const trades = this.today.trades.map((code) => [code, tradeName(code)]);
    const names = zones.map(({ id, name }) => [id, name || id]);
    this.#fillPicker("trade", t`All trades`, trades);
    this.#fillPicker("zone", t`Whole airframe`, names);
  }

  #fillPicker(name, all, choices) {
    const picker = byId(name);
    const option = ([value, text]) =>
      el("option", { value, selected: value === (this.filter[name] ?? "") }, text);
    fill(picker, [["", all], ...choices].map(option));
    picker.addEventListener("change", () => this.#choose({ [name]: picker.value || null }));
  }

  #draw() {
    const { today } = this;
    const typedIn = document.activeElement?.closest(".hours-form") ? document.activeElement : null;
    fill(byId("as-of"), asOf(this.sheet, today.as_of));
    byId("looking").hidden = !this.sheet.readOnly;
    byId("narrowed").hidden = !this.filter.trade && !this.filter.zone;
    const cards = (list, heading) =>
      list.map((card) => this.#withHours(card, taskCard(card, today, this.actions, this.openTask, heading)));
    show("in-work", today.in_work, cards(today.in_work), this.#nothing(t`Nobody has begun anything`, today.ready.length ? t`Start a task from the list below.` : ""));
    show("ready", today.ready, byTrade(today.ready, cards), this.#nothingToStart());
    show("held", today.held, cards(today.held), this.#nothing(t`Nothing is held`, ""));
    show("done", today.done_recently, cards(today.done_recently), this.#nothing(t`Nothing was finished in the last seven days`, ""));
    show("waiting", today.waiting_soon, waitingList(today.waiting_soon, this.openTask));
    const moves = [...today.arriving, ...today.leaving];
    const addressOf = (id) => this.#onAway(id);
    show("moving", moves, [
      movementList(today.arriving, "in", addressOf),
      movementList(today.leaving, "out", addressOf),
    ]);
    this.chase.show({ items: today.chased_items, calls: today.chase, version: today.plan_version });
    drawCautions(today);
    this.#drawUnsent();
    typedIn?.focus({ preventScroll: true });
  }

  /** Where an item is worked with. */
  #onAway(id) {
    return `${this.sheet.link("away")}#${encodeURIComponent(id)}`;
  }

  #withHours(card, node) {
    const form = this.hoursOf.get(card.id);
    if (form) node.append(form);
    markHours(node);
    return node;
  }

  /** Unfold the form for hours on the card of a task, or put it away. */
  #toggleHours(card) {
    if (this.hoursOf.has(card.id)) {
      this.#putAway(card);
      return;
    }
    const people = this.today.people.filter(({ trade }) => !card.trade || trade === card.trade);
    const form = hoursForm(this.sheet, card, people, this.today.as_of, {
      saved: () => {
        this.hoursOf.delete(card.id);
        return this.refresh();
      },
      undone: () => this.refresh(),
      closed: () => this.#putAway(card),
    });
    this.hoursOf.set(card.id, form);
    const node = cardNode(card.id);
    node?.append(form);
    markHours(node);
    form.scrollIntoView({ block: "nearest" });
    const isAsked = form.querySelector("[name=who]") && !form.querySelector("[name=who]:checked");
    form.querySelector(isAsked ? "[name=who]" : ".hours-quick button").focus({ preventScroll: true });
  }

  #putAway({ id }) {
    this.hoursOf.get(id).remove();
    this.hoursOf.delete(id);
    markHours(cardNode(id));
    cardNode(id)?.querySelector('[data-does="hours"]').focus({ preventScroll: true });
  }

  #nothing(what, advice) {
    const { trade, zone } = this.filter;
    return el("p.empty-state", {}, trade || zone ? t`${what} here.` : [t`${what}.`, advice].join(" "));
  }

  /** What comes next waits for something: how much of it there is, and for what first. */
  #nothingToStart() {
    const { waiting_soon: waiting } = this.today;
    if (!waiting.length) return el("p.empty-state", {}, t`Nothing can be started now, and nothing waits to begin in the coming days.`);
    const reason = waiting.flatMap(({ waits_for: waits }) => waits)[0];
    const words = many(waiting.length, "Nothing can be started now: {n} task waits, for {0}.", "Nothing can be started now: {n} tasks wait, the first for {0}.", reason ? datedText(reason.name) : t`its date`);
    return el("p.empty-state", {}, words, " ", el("a.no-print", { href: "#waiting" }, t`See Waiting`));
  }

  #cardActions() {
    const { sheet } = this;
    const refresh = () => this.refresh();
    const send = (statusOf) => async (card, node) => {
      sleep(node, true);
      try {
        const status = statusOf(card, this.today.as_of);
        await record(sheet, card, status, refresh);
        if (status.state === "done" && !this.hoursOf.has(card.id)) offer(t`Hours`, () => this.#toggleHours(card));
      } catch (error) {
        sleep(node, false);
        await this.#tell(error, card, node);
      }
    };
    const asking = (ask) => (card) => {
      const current = () => this.#cardNow(card);
      ask(card, (status) => record(sheet, current(), status, refresh), refresh);
    };
    const done = send(doneOn);
    return {
      start: send(startedOn),
      done: (card, node) => (card.check && holds(card.check) ? this.#signOff(card, node) : done(card, node)),
      held: asking(askHeld),
      daysLeft: asking(askDaysLeft),
      hours: (card) => this.#toggleHours(card),
      photo: (card, file) => this.#photograph(card, file),
      found: (card) => this.found(card.zone, card),
      undo: async (card, node) => {
        sleep(node, true);
        try {
          await undoTask(sheet, card, refresh);
        } catch (error) {
          sleep(node, false);
          await this.#tell(error, card, node);
        }
      },
      open: this.openTask,
    };
  }

  async #photograph(card, file) {
    const what = t`Photo: ${card.name || card.id}`;
    const request = { method: "POST", path: this.sheet.path("/evidence"), query: { task: card.id, name: file.name }, body: file };
    try {
      const done = await sendOrKeep(this.sheet, { ...request, what, task: card.id, state: null });
      if (!done) return tellKept(what);
      const { key, version } = done;
      const taken = { kind: "evidence", key, name: what, version };
      tellDone(t`${what}. It is with the task's photos.`, done, () => takeBack(this.sheet, taken, () => this.refresh()));
    } catch (error) {
      await this.#tell(error, card, cardNode(card.id));
    }
  }

  /** What has a check is signed off and done in one step. */
  async #signOff(card, node) {
    try {
      await openSignOff(this.sheet, card, { status: doneOn(card, this.today.as_of), afterwards: () => this.refresh() });
    } catch (error) {
      await this.#tell(error, card, node);
    }
  }

  /** The card as it was last read: its version may be newer than the one a dialog began with. */
  #cardNow(card) {
    const { ready, in_work: inWork, held, done_recently: done } = this.today;
    return [...ready, ...inWork, ...held, ...done].find(({ id }) => id === card.id) ?? card;
  }

  /** Say on the card itself what went wrong; after a stale edit the card is drawn anew first. */
  async #tell(error, card, node) {
    if (!(error instanceof ApiError)) {
      sayProblem(error);
      return;
    }
    let place = node;
    if (error.isStale) {
      await this.refresh();
      place = cardNode(card.id);
    }
    const text = error.isStale ? t`Not saved. ${whatChanged(error)} The card is up to date now.` : error.message;
    if (place) tellOnCard(place, text);
    else sayProblem(new ApiError(error.status, { detail: text }));
  }
}

/** Which date the plan is true for, and the way to move it on when that is not today. */
function asOf(sheet, date) {
  const line = [t`The plan is true as of ${when(date, "long")}.`];
  if (date === todayHere() || sheet.readOnly) return line;
  const address = `${sheet.link("settings")}#project-panel`;
  return [...line, " ", el("a.no-print", { href: address }, t`Move the as-of date`)];
}

function show(id, list, content, nothing) {
  const panel = byId(id);
  countOf(id, list.length);
  fill(panel.querySelector(".panel-body"), list.length || !nothing ? content : nothing);
}

/** How many stand in a panel, beside its name and in the index of the sheet. */
function countOf(id, count) {
  fill(byId(id).querySelector(".count"), formatNumber(count));
  fill(byId(`${id}-count`), formatNumber(count));
}

/** Cards under the name of their trade; the trade with the most urgent card comes first. */
function byTrade(list, cards) {
  const groups = Map.groupBy(list, ({ trade }) => trade);
  return [...groups].map(([trade, members]) =>
    el(
      "section.trade",
      { "aria-label": tradeName(trade) },
      el("h3", {}, tradeName(trade), " ", el("span.count", {}, formatNumber(members.length))),
      el("div.cards", {}, cards(members, "h4")),
    ),
  );
}

/** For the printed sheet: each caution once. */
function drawCautions({ ready, in_work: inWork, hazards, standing_line: line }) {
  const tags = [...new Set([...inWork, ...ready].flatMap((card) => card.hazards))];
  const entries = tags.map((tag) => [el("dt", {}, hazardName(tag)), el("dd", {}, told(hazards[tag].caution))]);
  fill(byId("cautions-list"), entries);
  fill(byId("standing-line"), told(line));
}

function cardNode(id) {
  return document.querySelector(`[data-task="${CSS.escape(id)}"]`);
}

/** Tell on the button of a card whether its form for hours is unfolded. */
function markHours(node) {
  const isOpen = String(Boolean(node?.querySelector(".hours-form")));
  node?.querySelector('[data-does="hours"]')?.setAttribute("aria-expanded", isOpen);
}

function sleep(node, isAsleep) {
  for (const button of node.querySelectorAll(".card-actions button")) button.disabled = isAsleep;
}

/** The panel and the place in it that had the focus, so that the next card can take it. */
function rememberPlace() {
  const card = document.activeElement?.closest("[data-task]");
  const panel = card?.closest(".panel");
  if (!card || !panel) return null;
  const all = [...panel.querySelectorAll("[data-task]")];
  return { panel: panel.id, index: all.indexOf(card), task: card.dataset.task };
}

function returnTo(place) {
  if (!place || document.activeElement?.closest(".hours-form")) return;
  const panel = byId(place.panel);
  const all = [...panel.querySelectorAll("[data-task]")];
  const same = all.find((card) => card.dataset.task === place.task);
  const card = same ?? all[Math.min(place.index, all.length - 1)];
  const target = card?.querySelector(".card-name button") ?? panel.querySelector("h2");
  target?.focus({ preventScroll: true });
}
