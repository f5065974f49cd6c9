/** A send-out in plain words: where it is, what it can spare, what is wrong, what comes next. */

import { formatDate, formatDays, formatNumber } from "../lib/format.js";

/** Events in the order in which they happen, as the shop says them. */
const EVENTS = [
  { key: "shipped", verb: "Shipped" },
  { key: "arrived", verb: "Arrived at the vendor" },
  { key: "quoted", verb: "Quoted" },
  { key: "approved", verb: "Price approved" },
  { key: "left_vendor", verb: "Left the vendor" },
  { key: "received", verb: "Received here" },
  { key: "accepted", verb: "Accepted" },
];
const SILENT_AFTER_DAYS = 21;

/** Nothing more happens to the item itself: it is accepted, or went back on another trip. */
export function isClosed({ stage }) {
  return stage === "accepted" || stage === "rejected";
}

/** Where an item is. */
export function whereabouts(item) {
  const at = item.vendor_name;
  const since = item.stage_since ? ` since ${formatDate(item.stage_since)}` : "";
  const sentences = {
    "in shop": stillHere(item),
    prepare: `Being prepared and tagged${since}.`,
    ship_out: `On the way to ${at}${since}.`,
    customs_out: `In customs on the way to ${at}${since}.`,
    intake: `At ${at}${since}: waiting, teardown and quote.`,
    approval: `At ${at}: the price waits for a yes${since}.`,
    vendor_work: `In work at ${at}${since}.`,
    ship_back: `On the way back from ${at}${since}.`,
    customs_back: `In customs on the way back${since}.`,
    accept: `Here${since}; to be checked and accepted.`,
    accepted: item.accepted ? `Accepted on ${formatDate(item.accepted)}.` : "Accepted.",
    rejected: `Turned down${item.stage_since ? ` on ${formatDate(item.stage_since)}` : ""}; it goes out again.`,
  };
  return sentences[item.stage] ?? "";
}

function stillHere({ source, vendor_name: at }) {
  if (source === "exchange") return `To be ordered from ${at}.`;
  return source === "pattern" ? `Still in the shop; the pattern goes to ${at}.` : "Still in the shop.";
}

/** How late it can be, in a sentence. */
export function graceSentence(item) {
  if (item.grace_days === null || item.grace_days === undefined) return "";
  const whole = Math.floor(item.grace_days);
  const unit = item.left_vendor ? "day" : "vendor day";
  if (whole <= 0) return "Cannot be a whole day later without moving the finish.";
  return `Can be ${formatNumber(whole)} more ${unit}${whole === 1 ? "" : "s"} late before the finish moves.`;
}

/** What is wrong, each as a few words. */
export function warnings(item) {
  const found = [];
  if (item.critical) found.push({ kind: "critical", text: "Sets the finish" });
  if (item.overdue_days > 0) found.push({ kind: "held", text: `${formatDays(item.overdue_days)} overdue` });
  if (!isClosed(item) && item.silent_days >= SILENT_AFTER_DAYS) {
    found.push({ kind: "away", text: `Silent for ${formatDays(item.silent_days)}` });
  }
  return found;
}

/** The event that is to be recorded next, or undefined when all are known. */
export function nextEvent(item) {
  const events = item.source === "in_hand" ? EVENTS.slice(-1) : EVENTS;
  const last = events.findLastIndex(({ key }) => item[key]);
  return events[last + 1];
}
