/**
 * Who to chase first: open items by what the finish would gain on average if each came back
 * as planned, then whoever is due a call for another reason.
 */

import { datedText, el, when } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";
import { t } from "../lib/text.js";
import { whereabouts } from "./send-out-words.js";

/** A smaller gain is not worth a call by itself. [calendar days] */
const LEAST_GAIN = 0.5;
const MOST_RANKED = 6;

/**
 * @param {object} parts
 * @param {any[]} parts.sendOuts Lines of the board.
 * @param {any[]} parts.calls Calls that are due: overdue, or silent for long.
 * @param {any[] | null} parts.causes What the finish would gain; null while that is not known.
 * @param {(item: any) => HTMLElement} parts.link How an item is named.
 * @param {(item: any) => HTMLElement | null} parts.action What can be done about it.
 * @returns {HTMLElement[]}
 */
export function chaseList({ sendOuts, calls, causes, link, action }) {
  const items = new Map(sendOuts.map((item) => [item.id, item]));
  const due = new Map(calls.map((call) => [call.send_out, call]));
  const ranked = rankedItems(causes ?? [], items);
  const named = new Set(ranked.map(({ cause }) => cause.id));
  const others = calls.filter((call) => items.has(call.send_out) && !named.has(call.send_out));
  const entry = (item, call, ...why) => line({ item, call, link, action }, why);
  const first = ranked.map(({ cause, item, together }) =>
    entry(item, due.get(item.id), gain(cause), together && gainTogether(together)),
  );
  const rest = others.map((call) => entry(items.get(call.send_out), call));
  return [
    first.length ? el("ol.chase", {}, first) : null,
    first.length && rest.length ? el("p.chase-more", {}, t`Due a call as well`) : null,
    rest.length ? el(first.length ? "ul.chase" : "ol.chase", { role: "list" }, rest) : null,
    first.length || rest.length ? null : el("p.empty-state", {}, nobody(causes)),
  ].filter(Boolean);
}

/** Items worth a call, with what all open items of their vendor would gain where that is more. */
function rankedItems(causes, items) {
  const worth = causes.filter(({ kind, id, gain_days: gain }) => kind === "send_out" && items.has(id) && gain >= LEAST_GAIN);
  const told = new Set();
  return worth.slice(0, MOST_RANKED).map((cause) => {
    const item = items.get(cause.id);
    const vendor = causes.find(({ kind, id }) => kind === "vendor" && id === item.vendor);
    const isMore = vendor && vendor.gain_days >= cause.gain_days + LEAST_GAIN && !told.has(item.vendor);
    told.add(item.vendor);
    return { cause, item, together: isMore ? vendor : null };
  });
}

function gain({ gain_days: days }) {
  return el(
    "p",
    {},
    t`The finish would come ${el("strong", {}, t`${formatDays(whole(days))} sooner`)} on average, if this came back exactly as planned.`,
  );
}

function gainTogether({ name, gain_days: days }) {
  return el("p", {}, t`All that ${name} has to do, done as planned: ${formatDays(whole(days))} sooner.`);
}

function whole(days) {
  return Math.max(1, Math.round(days));
}

function line({ item, call, link, action }, why) {
  const button = action(item);
  return el(
    "li",
    {},
    el("h3", {}, link(item)),
    why,
    call ? el("p", {}, datedText(reason(call, item))) : null,
    el("p.soft", {}, whereabouts(item), " ", lastWord(item, call)),
    button ? el("p", {}, button) : null,
  );
}

function lastWord(item, call) {
  const last = call?.last_contact ?? item.contacts.map(({ on }) => on).sort().at(-1);
  if (last) return t`Last word ${when(last)}.`;
  if (call) return "";
  return item.silent_days ? t`No word for ${formatDays(item.silent_days)}.` : t`No word logged yet.`;
}

/** Why to call, without the name that stands before it already. */
function reason({ why }, { name }) {
  const text = why.startsWith(`${name}: `) ? why.slice(name.length + 2) : why;
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function nobody(causes) {
  return causes
    ? t`Nobody needs a call: no item would bring the finish forward, and every vendor has been in touch.`
    : t`Nobody needs a call: every vendor has time or has been in touch.`;
}
