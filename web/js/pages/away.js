/** Away: every item that leaves the shop, whom to call, and how late each can be. */

import { chartKey } from "../components/chart-key.js";
import { printCharts } from "../components/chart-print.js";
import { LEG_WORDS, legStrip } from "../components/leg-strip.js";
import { recordEvent } from "../components/record-event.js";
import { graceSentence, isClosed, nextEvent, warnings, whereabouts } from "../components/send-out-words.js";
import { get } from "../lib/api.js";
import { drawChart } from "../lib/chart.js";
import { byId, datedText, el, fill, svg, when } from "../lib/dom.js";
import { formatDate, formatDays, formatNumber } from "../lib/format.js";
import { hatchDefs } from "../lib/hatch.js";
import { runPage } from "../lib/sheet.js";
import { table } from "../lib/table.js";

runPage(async (sheet) => {
  printCharts("landscape");
  document.body.append(
    svg("svg", { class: "unseen", width: 1, height: 1, "aria-hidden": "true" }, hatchDefs()),
  );
  fill(byId("key"), chartKey(["done", "in_work", "not_started", "road", "promised", "need_by", "now"]));
  await show(sheet);
  document.getElementById(cardId(decodeURIComponent(location.hash.slice(1))))?.scrollIntoView();
});

async function show(sheet) {
  const [away, schedule] = await Promise.all([
    get(sheet.path("/away")),
    get(sheet.path("/schedule")),
  ]);
  const legs = Map.groupBy(
    schedule.activities.filter((one) => one.kind === "leg"),
    (one) => one.send_out,
  );
  const open = away.send_outs.filter((item) => !isClosed(item));
  open.sort((a, b) => (a.grace_days ?? Infinity) - (b.grace_days ?? Infinity));
  const closed = away.send_outs.filter(isClosed);
  const again = async () => {
    await Promise.all([show(sheet), sheet.refreshTitleBlock()]);
  };
  drawSummary(away, open);
  drawChase(sheet, away, again);
  drawBoard(sheet, away, open, closed, legs, again);
  drawVendors(away);
  await drawLanes(sheet, open);
}

function drawSummary(away, open) {
  const out = open.filter((item) => item.stage !== "in shop").length;
  const toGo = open.length - out;
  fill(
    byId("summary"),
    open.length
      ? [
          `${count(out, "item")} away, ${count(toGo, "item")} still to go. `,
          "The finish stands at ",
          when(away.finish, "long"),
          ".",
        ]
      : "Nothing is away and nothing has to go.",
  );
}

function count(number, noun) {
  return `${formatNumber(number)} ${noun}${number === 1 ? "" : "s"}`;
}

function drawChase(sheet, away, again) {
  if (!away.chase.length) {
    fill(byId("chase"), el("p.empty-state", {}, "Nobody needs a call: every vendor has time or has been in touch."));
    return;
  }
  const items = new Map(away.send_outs.map((item) => [item.id, item]));
  fill(
    byId("chase"),
    el(
      "ol.chase",
      {},
      away.chase.map((call) => {
        const item = items.get(call.send_out);
        return el(
          "li",
          {},
          el("h3", {}, call.vendor_name),
          el("p", {}, el("a", { href: `#${item.id}`, onclick: jump }, item.name), ": ", datedText(reason(call, item))),
          el("p.soft", {}, call.last_contact ? ["Last word ", when(call.last_contact), "."] : "No word logged yet."),
          sheet.readOnly ? null : actionButton(sheet, item, { kind: "contact", verb: "Log a call" }, again),
        );
      }),
    ),
  );
}

/** Why to call, without the name that stands before it already. */
function reason({ why }, { name }) {
  return why.startsWith(`${name}: `) ? why.slice(name.length + 2) : why;
}

function jump(event) {
  event.preventDefault();
  const card = document.getElementById(cardId(event.currentTarget.getAttribute("href").slice(1)));
  card?.scrollIntoView({ block: "start" });
  card?.querySelector("h3")?.focus();
}

function cardId(id) {
  return `item-${id}`;
}

function drawBoard(sheet, away, open, closed, legs, again) {
  fill(
    byId("board"),
    open.length
      ? open.map((item) => card(sheet, away, item, legs.get(item.id) ?? [], again))
      : el("p.empty-state", {}, "No item is open. A new send-out comes with the plan file."),
    closed.length
      ? el(
          "details.closed",
          {},
          el("summary", {}, `Back and closed (${formatNumber(closed.length)})`),
          closed.map((item) => card(sheet, away, item, legs.get(item.id) ?? [], again)),
        )
      : null,
  );
}

function card(sheet, away, item, legs, again) {
  const titleId = `title-${item.id}`;
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
    legStrip(item, legs, away.as_of),
    el("p.item-grace", {}, graceSentence(item)),
    facts(item),
    item.contacts.length ? talks(item) : null,
    sheet.readOnly ? null : actions(sheet, item, again),
  );
}

function facts(item) {
  const entry = (label, iso, empty) =>
    iso || empty ? el("div", {}, el("dt", {}, label), el("dd", {}, iso ? when(iso) : empty)) : null;
  if (isClosed(item)) return null;
  return el(
    "dl.item-facts",
    {},
    item.left_vendor ? null : entry("Promised", item.promised, "no promise yet"),
    entry("Expected back", item.expected_back),
    entry("Needed by", item.need_by),
    item.shipped ? null : entry("Ship no later than", item.last_safe_ship),
  );
}

function talks(item) {
  const newest = [...item.contacts].sort((a, b) => b.on.localeCompare(a.on));
  return el(
    "details",
    {},
    el("summary", {}, `Last word ${formatDate(newest[0].on)}`),
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
    next?.key === "accepted" ? actionButton(sheet, item, { kind: "rejection", verb: "Rejected" }, again) : null,
    isAtVendor ? actionButton(sheet, item, { key: "promised", verb: "New promise" }, again) : null,
    actionButton(sheet, item, { kind: "contact", verb: "Log a call" }, again),
  );
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

function drawVendors({ vendors }) {
  const ratio = ({ median_ratio: times, history_count: jobs }) =>
    jobs ? `${formatNumber(times)} times the quoted days (${count(jobs, "job")})` : "no history";
  const grace = ({ grace_days: days }) =>
    days === null || days === undefined ? "" : formatDays(Math.floor(days));
  fill(
    byId("vendors"),
    table({
      caption: "How late all open items of a vendor can be together, and how the vendor has done before",
      rows: vendors,
      empty: "No vendors yet.",
      columns: [
        { label: "Vendor", cell: (one) => one.name, sort: (one) => one.name, heading: true },
        { label: "Country", cell: (one) => one.country, sort: (one) => one.country },
        { label: "Open items", cell: (one) => one.open.length, sort: (one) => one.open.length, numeric: true },
        { label: "Grace together", cell: grace, sort: (one) => one.grace_days ?? null, numeric: true },
        { label: "Usually takes", cell: ratio, sort: (one) => one.median_ratio ?? null },
      ],
    }),
  );
}

async function drawLanes(sheet, open) {
  await drawChart(byId("lanes"), {
    path: sheet.path("/charts/away"),
    label: "Open send-outs, each with its legs, the legs as quoted, the promise and the need-by date.",
    table: table({
      caption: "Open items",
      hideCaption: true,
      rows: open,
      columns: [
        { label: "Item", cell: (one) => one.name, sort: (one) => one.name, heading: true },
        { label: "Vendor", cell: (one) => one.vendor_name, sort: (one) => one.vendor_name },
        { label: "Now", cell: (one) => LEG_WORDS[one.stage] ?? "In the shop" },
        { label: "Promised", cell: (one) => (one.promised ? when(one.promised) : ""), sort: (one) => one.promised },
        { label: "Expected back", cell: (one) => when(one.expected_back), sort: (one) => one.expected_back },
        { label: "Needed by", cell: (one) => when(one.need_by), sort: (one) => one.need_by },
        {
          label: "Grace",
          cell: (one) => formatDays(Math.floor(one.grace_days ?? 0)),
          sort: (one) => one.grace_days,
          numeric: true,
        },
      ],
    }),
  });
}
