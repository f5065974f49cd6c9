/** Away: every item that leaves the shop, who to chase first, how long each may take, how late it can be. */

import { mountAirframe } from "../components/airframe.js";
import { chartKey } from "../components/chart-key.js";
import { printCharts } from "../components/chart-print.js";
import { ChaseList } from "../components/chase-list.js";
import { ofHundred } from "../components/courses.js";
import { finishWords } from "../components/finish-words.js";
import { unfoldOnPaper } from "../components/fold.js";
import { leadTime } from "../components/lead-plot.js";
import { LEG_WORDS, legStrip } from "../components/leg-strip.js";
import { onlyHere, rememberZone, zoneAsked } from "../components/only-here.js";
import { openChecks } from "../components/open-checks.js";
import { recordEvent } from "../components/record-event.js";
import { graceSentence, isClosed, nextEvent, warnings, whereabouts } from "../components/send-out-words.js";
import { answerFor, askAgain, keepRoom, spreadSlot, UNKNOWN } from "../components/spread-slot.js";
import { tableLinks } from "../components/table-links.js";
import { vendorLink } from "../components/vendor-form.js";
import { get } from "../lib/api.js";
import { drawChart } from "../lib/chart.js";
import { byId, el, fill, svg, unfold, when } from "../lib/dom.js";
import { formatDate, formatDays, formatNumber } from "../lib/format.js";
import { hatchDefs } from "../lib/hatch.js";
import { runPage } from "../lib/sheet.js";
import { showSimulation } from "../lib/simulation.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";

/** So many cards are in sight at once; those with more grace are unfolded. */
const SHOWN = 24;
const CAUSES = { path: "/causes", what: t`what each call could gain` };

runPage(async (sheet) => {
  printCharts("landscape");
  unfoldOnPaper("#rest");
  document.body.append(
    svg("svg", { class: "unseen", width: 1, height: 1, "aria-hidden": "true" }, hatchDefs()),
  );
  fill(byId("key"), chartKey(["done", "in_work", "not_started", "road", "taper", "promised", "need_by", "now"]));
  fill(byId("tables"), tableLinks(sheet, ["send-outs", "vendors"]));
  const page = new AwayPage(sheet);
  await page.open();
  cardOf(decodeURIComponent(location.hash.slice(1)))?.scrollIntoView();
});

class AwayPage {
  /** @param {import("../lib/sheet.js").Sheet} sheet */
  constructor(sheet) {
    this.sheet = sheet;
    this.away = null;
    /** What the simulation last answered. */
    this.answer = null;
    this.chase = new ChaseList(byId("chase"), {
      link: (item) => el("a", { href: `#${item.id}`, onclick: jump }, item.name),
      action: (item) => this.#callButton(item),
    });
    /** Cards whose plot is open. */
    this.opened = new Set();
    /** The last lead time known of each item. */
    this.leads = new Map();
    /** Whose items alone are listed; null: all. */
    this.zone = zoneAsked();
    this.map = null;
    this.again = () => this.#refresh();
  }

  async open() {
    this.sheet.keepUp(() => this.away && this.again());
    this.map = await mountAirframe(byId("airframe"), this.sheet, { selected: this.zone, onSelect: (zone) => this.#choose(zone) });
    await Promise.all([
      spreadSlot(this.sheet, byId("spread"), (answer) => this.#told(answer)),
      showSimulation(this.sheet, { ...CAUSES, place: byId("causes"), onAnswer: (answer) => this.#gains(answer) }),
    ]);
    if (this.chase.answer === undefined) this.chase.told(null);
    if (this.away) return;
    this.answer = UNKNOWN;
    await this.#show();
  }

  /** After a change: the dates as written at once, how sure they are when that is known. */
  async #refresh() {
    await Promise.all([this.#show(), this.map.refresh(), this.sheet.refreshTitleBlock()]);
    askAgain(this.sheet);
    askAgain(this.sheet, CAUSES.path);
  }

  async #told(answer) {
    this.answer = answer;
    await this.#show();
  }

  #gains(answer) {
    if (answer.state !== "ready") keepRoom(byId("causes").parentElement);
    this.chase.told(answer);
  }

  /** @param {string | null} zone */
  #choose(zone) {
    this.zone = zone;
    this.map.select(zone);
    rememberZone(zone);
    this.#drawBoard();
    if (zone) byId("board-title").scrollIntoView({ block: "start" });
  }

  async #show() {
    const away = await get(this.sheet.path("/away"));
    this.away = away;
    this.sure = answerFor(this.answer, away.plan_version);
    const open = away.send_outs.filter((item) => !isClosed(item));
    open.sort((a, b) => (a.grace_days ?? Infinity) - (b.grace_days ?? Infinity));
    drawSummary(away, open, this.sure);
    this.chase.show({ items: away.send_outs, calls: away.chase, version: away.plan_version });
    this.open = open;
    this.#drawBoard();
    drawVendors(this.sheet, away);
    byId("key").hidden = byId("lanes").closest(".panel").hidden = !open.length;
    if (open.length) await drawLanes(this.sheet, open, this.sure);
  }

  /** Only for what is still open; a pattern that is out is asked for on its closed item. */
  #callButton(item) {
    if (this.sheet.readOnly) return null;
    const line = this.away.send_outs.find(({ id }) => id === item.id);
    return actionButton(this.sheet, line, { kind: "contact", verb: t`Log a call` }, this.again);
  }

  /** Whether an item belongs to the zone that is chosen. */
  #isHere({ zone }) {
    return !this.zone || zone === this.zone;
  }

  #drawBoard() {
    const open = this.open.filter((item) => this.#isHere(item));
    const closed = this.away.send_outs.filter((item) => isClosed(item) && this.#isHere(item));
    const [first, rest] = [open.slice(0, SHOWN), open.slice(SHOWN)];
    this.#rememberPlots();
    const unfolded = [...byId("board").querySelectorAll("details.more-items[open]")].map(({ id }) => id);
    fill(
      byId("board"),
      this.zone ? onlyHere(aboutZone(this.map.nameOf(this.zone), open.length), () => this.#choose(null)) : null,
      open.length || this.zone
        ? first.map((item) => this.#card(item))
        : el("p.empty-state", {}, t`No item is open. What leaves the shop comes out of the evaluation, or with a plan file.`),
      rest.length ? this.#folded("rest", t`${formatNumber(rest.length)} more, with more grace`, rest) : null,
      closed.length ? this.#folded("closed", t`Back and closed (${formatNumber(closed.length)})`, closed) : null,
    );
    for (const id of unfolded) if (document.getElementById(id)) unfold(byId(id));
    for (const id of this.opened) document.getElementById(id)?.querySelector(".lead-plot")?.setAttribute("open", "");
  }

  /** Cards that are drawn once they are unfolded. */
  #folded(id, title, items) {
    const fold = el("details.more-items", { id }, el("summary", {}, title));
    fold.addEventListener("toggle", () => {
      if (!fold.querySelector(".item")) fold.append(...items.map((item) => this.#card(item)));
    });
    return fold;
  }

  /** A plot that was opened is opened again, also after the time in which there was none. */
  #rememberPlots() {
    for (const plot of document.querySelectorAll(".lead-plot")) {
      const { id } = plot.closest(".item");
      if (plot.open) this.opened.add(id);
      else this.opened.delete(id);
    }
  }

  #card(item) {
    const { sheet, away, again } = this;
    const titleId = `title-${item.id}`;
    const { result, state } = this.sure;
    if (result) this.leads.set(item.id, result.send_outs.find(({ id }) => id === item.id)?.lead);
    const isStale = state === "running";
    const lead = result || isStale ? this.leads.get(item.id) : null;
    return el(
      "article.item",
      { id: cardId(item.id), "aria-labelledby": titleId },
      el(
        "header",
        {},
        el("h3", { id: titleId, tabindex: "-1" }, item.name),
        warnings(item).map(({ kind, text }) => el(`span.stamp.${kind}`, {}, text)),
      ),
      el("p.item-where", {}, whereabouts(item)),
      legStrip(item, away.as_of),
      el("p.item-grace", {}, graceSentence(item)),
      facts(item, this.sure.state),
      leadTime(sheet, item, lead, { isStale }),
      item.contacts.length ? talks(item) : null,
      openChecks(sheet, item.open_checks, { again }),
      sheet.readOnly ? null : actions(sheet, item, again),
    );
  }
}

function aboutZone(name, number) {
  return number ? many(number, "Only {0}: {n} item.", "Only {0}: {n} items.", name) : t`Nothing of ${name} is away or has to go.`;
}

function drawSummary(away, open, sure) {
  const out = open.filter((item) => item.stage !== "in shop").length;
  const isAway = many(out, "{n} item away", "{n} items away");
  const isToGo = many(open.length - out, "{n} item still to go", "{n} items still to go");
  fill(
    byId("summary"),
    open.length ? [t`${isAway}, ${isToGo}.`, " ", finishWords(away.finish, sure)] : t`Nothing is away and nothing has to go.`,
  );
}

function jump(event) {
  event.preventDefault();
  const card = cardOf(event.currentTarget.getAttribute("href").slice(1));
  card?.scrollIntoView({ block: "start" });
  card?.querySelector("h3")?.focus({ preventScroll: true });
}

function cardId(id) {
  return `item-${id}`;
}

/** The card of an item, unfolded where it is not in sight. */
function cardOf(id) {
  const sought = () => document.getElementById(cardId(id));
  if (id && !sought()) for (const fold of document.querySelectorAll("details.more-items")) unfold(fold);
  return sought();
}

function facts(item, state) {
  const entry = (label, iso, empty) =>
    iso || empty ? el("div", {}, el("dt", {}, label), el("dd", {}, iso ? when(iso) : empty)) : null;
  if (isClosed(item)) return null;
  const unknown = state === "running" ? t`being computed` : null;
  return el(
    "dl.item-facts",
    {},
    item.left_vendor ? null : entry(t`Promised`, item.promised, t`no promise yet`),
    entry(t`Likely back`, item.back?.p50, unknown),
    entry(t`80 % back by`, item.back?.p80, unknown),
    entry(t`Back as written`, item.expected_back),
    entry(t`Needed by`, item.need_by),
    item.shipped ? null : entry(t`Ship no later than`, item.last_safe_ship),
  );
}

function talks(item) {
  const newest = [...item.contacts].sort((a, b) => b.on.localeCompare(a.on));
  return el(
    "details",
    {},
    el("summary", {}, t`Last call noted ${formatDate(newest[0].on)}`),
    el("ul.talks", {}, newest.map(({ on, note }) => el("li", {}, when(on), " ", note))),
  );
}

function actions(sheet, item, again) {
  if (isClosed(item)) return null;
  const next = nextEvent(item);
  const isAtVendor = !item.left_vendor && item.source !== "in_hand";
  return el(
    "div.button-row",
    {},
    next ? actionButton(sheet, item, next, again, true) : null,
    next?.key === "accepted" ? actionButton(sheet, item, { kind: "rejection", verb: t`Rejected` }, again) : null,
    isAtVendor ? actionButton(sheet, item, { key: "promised", verb: t`New promise` }, again) : null,
    actionButton(sheet, item, { kind: "contact", verb: t`Log a call` }, again),
    item.shipped ? null : packingLink(sheet, item),
  );
}

function packingLink(sheet, { id, name }) {
  const address = sheet.link("packing-list", { item: id });
  return el("a.button.plain", { href: address, "aria-label": t`Packing list: ${name}` }, t`Packing list`);
}

function actionButton(sheet, item, event, again, strong = false) {
  return el(
    strong ? "button.button.strong" : "button.button",
    {
      type: "button",
      "aria-label": `${event.verb}: ${item.name}`,
      onclick: () => recordEvent(sheet, item, event, again),
    },
    event.verb,
  );
}

function drawVendors(sheet, { vendors, untaken }) {
  fill(
    byId("vendors"),
    untaken.map((one) => untakenLine(sheet, one)),
    vendors.length ? vendorTable(vendors) : el("p.empty-state", {}, t`No vendor is entered yet.`, " ", sheet.readOnly ? null : el("a", { href: `${sheet.link("settings")}#vendors` }, t`Vendors in Settings`)),
  );
}

function vendorTable(vendors) {
  const ratio = ({ median_ratio: times, history_count: jobs }) =>
    jobs ? many(jobs, "{0} ({n} job)", "{0} ({n} jobs)", formatNumber(times)) : t`no history`;
  const grace = ({ grace_days: days }) =>
    days === null || days === undefined ? "" : formatDays(Math.floor(days));
  return table({
    caption: t`How late all open items of a vendor can be together, and how the vendor has done before`,
    stacks: true,
    rows: vendors,
    columns: [
      { label: t`Vendor`, cell: (one) => [one.name, " ", el("span.country", {}, one.country)], sort: (one) => one.name, heading: true },
      { label: t`Open items`, cell: (one) => one.open.length, sort: (one) => one.open.length, numeric: true },
      { label: t`Grace together`, cell: grace, sort: (one) => one.grace_days ?? null, numeric: true },
      { label: t`Taken for each quoted day`, cell: ratio, sort: (one) => one.median_ratio ?? null, numeric: true },
      { label: t`Sets the finish, of 100 courses`, cell: (one) => ofHundred(one.criticality), sort: (one) => one.criticality, numeric: true },
    ],
  });
}

/** Work that is to be sent out and that nobody takes. */
function untakenLine(sheet, { kind, name, findings }) {
  const text = t`No vendor takes ${name}, wanted for ${findings.join(", ")}.`;
  return el("p", {}, text, " ", sheet.readOnly ? null : el("a", { href: vendorLink(sheet, kind) }, t`Add a vendor`));
}

async function drawLanes(sheet, open, { state }) {
  const unknown = state === "running" ? t`being computed` : "";
  const likely = (level) => (one) => (one.back ? when(one.back[level]) : unknown);
  await drawChart(byId("lanes"), {
    path: sheet.path("/charts/away"),
    label: t`Open send-outs, each with its legs, the legs as quoted, the promise, when it may be back, and the need-by date.`,
    table: table({
      caption: t`Open items`,
      hideCaption: true,
      rows: open,
      columns: [
        { label: t`Item`, cell: (one) => one.name, sort: (one) => one.name, heading: true },
        { label: t`Vendor`, cell: (one) => one.vendor_name, sort: (one) => one.vendor_name },
        { label: t`Now`, cell: (one) => LEG_WORDS[one.stage] ?? t`In the shop` },
        { label: t`Promised`, cell: (one) => (one.promised ? when(one.promised) : ""), sort: (one) => one.promised },
        { label: t`Likely back`, cell: likely("p50"), sort: (one) => one.back?.p50 },
        { label: t`80 % back by`, cell: likely("p80"), sort: (one) => one.back?.p80 },
        { label: t`Back as written`, cell: (one) => when(one.expected_back), sort: (one) => one.expected_back },
        { label: t`Needed by`, cell: (one) => when(one.need_by), sort: (one) => one.need_by },
        {
          label: t`Grace`,
          cell: (one) => formatDays(Math.floor(one.grace_days ?? 0)),
          sort: (one) => one.grace_days,
          numeric: true,
        },
      ],
    }),
  });
}
