/** A send-out in plain words: where it is, what it can spare, what is wrong, what comes next. */

import { formatDate, formatDays } from "../lib/format.js";
import { many, t } from "../lib/text.js";

/** Events in the order in which they happen, as the shop says them. */
const EVENTS = [
  { key: "shipped", verb: t`Shipped` },
  { key: "arrived", verb: t`Arrived at the vendor` },
  { key: "quoted", verb: t`Quoted` },
  { key: "approved", verb: t`Price approved` },
  { key: "left_vendor", verb: t`Left the vendor` },
  { key: "received", verb: t`Received here` },
  { key: "accepted", verb: t`Accepted` },
];
const SILENT_AFTER_DAYS = 21;

/** Nothing more happens to the item itself: it is accepted, or went back on another trip. */
export function isClosed({ stage }) {
  return stage === "accepted" || stage === "rejected";
}

/** Where an item is. */
export function whereabouts(item) {
  const at = item.vendor_name;
  const since = item.stage_since && formatDate(item.stage_since);
  const either = (dated, undated) => (since ? dated : undated);
  const sentences = {
    "in shop": stillHere(item),
    ship_out: either(t`On the way to ${at} since ${since}.`, t`On the way to ${at}.`),
    customs_out: either(t`In customs on the way to ${at} since ${since}.`, t`In customs on the way to ${at}.`),
    intake: either(t`At ${at} since ${since}: waiting, teardown and quote.`, t`At ${at}: waiting, teardown and quote.`),
    approval: either(t`At ${at}: the price waits for a yes since ${since}.`, t`At ${at}: the price waits for a yes.`),
    vendor_work: either(t`In work at ${at} since ${since}.`, t`In work at ${at}.`),
    ship_back: either(t`On the way back from ${at} since ${since}.`, t`On the way back from ${at}.`),
    customs_back: either(t`In customs on the way back since ${since}.`, t`In customs on the way back.`),
    accept: either(t`Here since ${since}; to be checked and accepted.`, t`Here; to be checked and accepted.`),
    accepted: either(t`Accepted on ${since}.`, t`Accepted.`),
    rejected: either(t`Turned down on ${since}; it goes out again.`, t`Turned down; it goes out again.`),
  };
  return sentences[item.stage] ?? "";
}

function stillHere({ source, vendor_name: at }) {
  if (source === "exchange") return t`To be ordered from ${at}.`;
  return source === "pattern" ? t`Still in the shop; the pattern goes to ${at}.` : t`Still in the shop.`;
}

/** How late it can be, in a sentence. */
export function graceSentence(item) {
  if (item.grace_days === null || item.grace_days === undefined) return "";
  const whole = Math.floor(item.grace_days);
  if (whole <= 0) return t`Cannot be a whole day later without moving the finish.`;
  return item.left_vendor
    ? many(whole, "Can be {n} more day late before the finish moves.", "Can be {n} more days late before the finish moves.")
    : many(whole, "Can be {n} more vendor day late before the finish moves.", "Can be {n} more vendor days late before the finish moves.");
}

/** What is wrong, each as a few words. */
export function warnings(item) {
  const found = [];
  if (item.critical) found.push({ kind: "critical", text: t`Sets the finish` });
  if (item.overdue_days > 0) found.push({ kind: "held", text: t`${formatDays(item.overdue_days)} overdue` });
  if (!isClosed(item) && item.silent_days >= SILENT_AFTER_DAYS) {
    found.push({ kind: "away", text: t`Silent for ${formatDays(item.silent_days)}` });
  }
  return found;
}

/** The event that is to be recorded next, or undefined when all are known. */
export function nextEvent(item) {
  const events = item.source === "in_hand" ? EVENTS.slice(-1) : EVENTS;
  const last = events.findLastIndex(({ key }) => item[key]);
  return events[last + 1];
}
