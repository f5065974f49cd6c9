/** Who waits for whom: the longest waits first, each of which can be broken and put back. */

import { ApiError, remove } from "../lib/api.js";
import { el, fill, when } from "../lib/dom.js";
import { finishSentence, formatDate, formatDays, formatNumber } from "../lib/format.js";
import { say, sayProblem } from "../lib/notice.js";
import { many, t, told } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { daysLine } from "./days-line.js";
import { longTable } from "./long-table.js";
import { openTaskSheet } from "./task-sheet.js";
import { takeBack } from "./undo.js";

/** So many waits for the same people are in sight at once; the shorter ones are unfolded. */
const SHOWN = 2;
/** What is shorter still stands in the table of the whole order alone. */
const MOST = 40;

/**
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {object} known
 * @param {any} known.load As the service tells it.
 * @param {any[]} known.links All crew links, with their versions.
 * @param {() => Promise<any>} known.afterwards Draws the sheet again after a change, and answers the new load.
 */
export function showWaits(place, sheet, { load, links, afterwards }) {
  const waits = load.waits.toSorted((a, b) => Number(b.on_path) - Number(a.on_path) || b.days - a.days);
  const longest = Math.max(1, ...waits.map(({ days }) => days));
  const item = (wait) => waitItem(sheet, wait, longest, breaker(sheet, { links, load, afterwards }, wait));
  const isOpen = [...place.querySelectorAll("details[open]")].map(({ dataset }) => dataset.key);
  const folded = (key, title, content) => el("details.behind", { "data-key": key, open: isOpen.includes(key) }, el("summary", {}, title), content);
  const groups = [...Map.groupBy(waits, ({ kind, names }) => [kind, ...names].join(" "))];
  fill(
    place,
    waits.length ? intro(sheet) : el("p.empty-state", {}, nothing(load)),
    groups.map(([key, some], place) => (place ? foldedGroup : firstGroup)(key, some, { load, item, folded })),
    links.length ? folded("all", t`The whole order of the crew (${formatNumber(links.length)})`, allLinks(sheet, links, load, afterwards)) : null,
  );
}

function nothing({ crew_links: links }) {
  return links
    ? t`Nobody waits: each piece of work begins as soon as the work before it lets it.`
    : t`The plan has no crew links yet, so nobody waits for anybody.`;
}

function intro({ readOnly }) {
  return el(
    "p.waits-intro",
    {},
    t`Work that could begin, but whose people or place are taken. What sets the finish has a heavy outline.`,
    readOnly ? null : [" ", t`Letting two go at the same time brings no second pair of hands: the plan then asks for more than there is.`],
  );
}

/** Those who wait longest for what sets the finish: the first of them in sight. */
function firstGroup(key, waits, { load, item, folded }) {
  const name = forWhom({ ...waits[0], units: 1 }, load);
  const rest = waits.length - SHOWN;
  return el(
    "section.wait-group",
    { "aria-label": name },
    el("h3", {}, name, " ", el("span.count", {}, counted(waits))),
    listOf(waits.slice(0, SHOWN), item),
    rest > 0 ? folded(key, t`${formatNumber(rest)} more`, upTo(waits.slice(SHOWN), item)) : null,
  );
}

/** All others who wait for the same people or place: one line that unfolds. */
function foldedGroup(key, waits, { load, item, folded }) {
  const name = forWhom({ ...waits[0], units: 1 }, load);
  const longest = lengthOf(Math.max(...waits.map(({ days }) => days)));
  const length = waits.length > 1 ? t`${counted(waits)}; the longest ${longest}` : `${counted(waits)}; ${longest}`;
  const group = folded(key, [el("b", {}, name), " ", el("span.count", {}, length)], upTo(waits, item));
  group.classList.add("wait-group");
  return group;
}

function upTo(waits, item) {
  const rest = waits.length - MOST;
  const others = many(rest, "{n} shorter one stands in the whole order of the crew below.", "{n} shorter ones stand in the whole order of the crew below.");
  return [listOf(waits.slice(0, MOST), item), rest > 0 ? el("p.soft", {}, others) : null];
}

function listOf(waits, item) {
  return el("ul.waits", { role: "list" }, waits.map(item));
}

function counted(waits) {
  const all = waits.length;
  const setting = waits.filter((one) => one.on_path).length;
  if (!setting) return many(all, "{n} wait", "{n} waits");
  if (setting === all) return many(all, "{n} wait, on the chain that sets the finish", "{n} waits, all on the chain that sets the finish");
  return many(all, "{n} wait, {0} on the chain that sets the finish", "{n} waits, {0} of them on the chain that sets the finish", formatNumber(setting));
}

function waitItem(sheet, wait, longest, breaking) {
  const open = el("button.button.plain", { type: "button", "aria-label": t`Open ${wait.to_name}`, onclick: () => openTaskSheet(sheet, wait.to) }, t`Open the work`);
  return el(
    wait.on_path ? "li.wait.on-path" : "li.wait",
    {},
    daysLine(wait.days, longest, { text: lengthOf(wait.days) }),
    el(
      "div",
      {},
      el("p.wait-sentence", {}, namesInBold(wait)),
      el("p.soft", {}, wait.on_path ? [el("b", {}, t`Sets the finish.`), " "] : null, t`Could begin ${when(wait.since)}, begins ${when(wait.until)}.`),
    ),
    el("div.button-row", {}, breaking, open),
  );
}

/** The sentence, with the names of the two pieces of work set off from the rest. */
function namesInBold({ sentence, from_name: first, to_name: second }) {
  const text = told(sentence);
  const places = [[text.indexOf(second), second], [text.lastIndexOf(first), first]].sort(([a], [b]) => a - b);
  const [[at, name], [then, other]] = places;
  if (at < 0 || at + name.length > then) return text;
  return [text.slice(0, at), el("b", {}, name), text.slice(at + name.length, then), el("b", {}, other), text.slice(then + other.length)];
}

function lengthOf(days) {
  return days < 14 ? formatDays(Math.round(days)) : many(Math.round(days / 7), "{n} week", "{n} weeks");
}

/** The button that takes a crew link away; nothing for the owner, or where the link is gone. */
function breaker(sheet, { links, load, afterwards }, { key, from_name: from, to_name: to }) {
  const link = links.find((one) => one.key === key);
  if (!link || sheet.readOnly) return null;
  const button = el("button.button", { type: "button", "aria-label": t`Let them go at the same time: ${from} and ${to}` }, t`Let them go at the same time`);
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await breakLink(sheet, { ...link, from_name: from, to_name: to }, load, afterwards);
    } catch (error) {
      button.disabled = false;
      if (error instanceof ApiError && error.isStale) await afterwards();
      sayProblem(error);
    }
  });
  return button;
}

async function breakLink(sheet, link, before, afterwards) {
  const done = await remove(sheet.path(`/crew-links/${encodeURIComponent(link.key)}`), { version: link.version });
  const load = await afterwards();
  const { from_name: from, to_name: to } = link;
  const again = () => takeBack(sheet, { kind: "crew_link", key: link.key, name: t`the order of ${from} and ${to}`, version: undefined }, afterwards);
  const sentences = [t`${from} and ${to} may go at the same time now.`, finishSentence(done.finish), overAsked(before, load, link)];
  say(sentences.join(" ").trim(), { undo: again });
  document.getElementById("waits-title")?.focus({ preventScroll: true });
}

/** In which weeks more is asked now, of what the two share, than there is: the worst by name. */
function overAsked(before, load, { kind, names }) {
  const earlier = new Map(weeksOf(before, kind, names).map((one) => [`${one.id} ${one.week}`, one.over_days]));
  const more = weeksOf(load, kind, names)
    .map((one) => ({ ...one, more: one.over_days - (earlier.get(`${one.id} ${one.week}`) ?? 0) }))
    .filter((one) => one.more > 0)
    .sort((a, b) => b.more - a.more || a.week.localeCompare(b.week));
  const [worst] = more;
  if (!worst) return "";
  const days = worst.over_days;
  const what =
    kind === "place"
      ? many(days, "{n} day of its work finds no room", "{n} days of its work find no room")
      : many(days, "{n} day of its work finds nobody free", "{n} days of its work find nobody free");
  const [title, week] = [worst.title, formatDate(worst.week)];
  if (more.length === 1) return t`Mind that ${title} is asked for too much now: in the week from ${week} ${what}.`;
  return many(
    more.length - 1,
    "Mind that {0} is asked for too much now: in the week from {1} {2}, and so in {n} more week.",
    "Mind that {0} is asked for too much now: in the week from {1} {2}, and so in {n} more weeks.",
    title,
    week,
    what,
  );
}

function weeksOf({ trades, places }, kind, names) {
  const all = kind === "place" ? places.map((one) => ({ ...one, id: one.place, title: one.name })) : trades.map((one) => ({ ...one, id: one.trade, title: tradeName(one.trade) }));
  return all.filter(({ id }) => names.includes(id)).flatMap(({ id, title, weeks }) => weeks.map((week) => ({ ...week, id, title })));
}

function allLinks(sheet, links, load, afterwards) {
  const waiting = new Map(load.waits.map((one) => [one.key, one]));
  const name = (id, text) => el("button.name", { type: "button", onclick: () => openTaskSheet(sheet, id) }, text || id);
  const list = longTable({
    caption: t`The order of the crew`,
    text: (one) => `${one.from_name} ${one.to_name} ${forWhom(one, load)}`,
    columns: [
      { label: t`Goes first`, cell: (one) => name(one.from, one.from_name), sort: (one) => one.from_name, heading: true },
      { label: t`Then`, cell: (one) => name(one.to, one.to_name), sort: (one) => one.to_name },
      { label: t`For`, cell: (one) => forWhom(one, load), sort: (one) => forWhom(one, load) },
      { label: t`Waits, days`, cell: (one) => (waiting.has(one.key) ? formatNumber(Math.round(waiting.get(one.key).days)) : ""), sort: (one) => waiting.get(one.key)?.days ?? 0, numeric: true },
      ...(sheet.readOnly ? [] : [{ label: t`Change`, cell: (one) => breaker(sheet, { links, load, afterwards }, one) }]),
    ],
  });
  list.showRows(links);
  return list.node;
}

/** "Metal", "2 × Helpers", "Spray booth". */
function forWhom({ kind, names, units }, { places }) {
  const title = (one) => (kind === "trade" ? tradeName(one) : places.find(({ place }) => place === one)?.name || one);
  const told = names.map(title).join(", ");
  return units > 1 ? `${formatNumber(units)} × ${told}` : told;
}
