/** A chain of work in order, drawn as one line with a stop for each piece. */

import { datedText, el, when } from "../lib/dom.js";
import { many, t } from "../lib/text.js";

const SHOWN = 8;

/**
 * @param {object[]} stops In order: {id, name, start, finish, zone?, sentence?}.
 * @param {object} options
 * @param {(stop: any) => any} options.name How a stop is named: text or a link or button.
 * @returns {HTMLElement}
 */
export function chain(stops, { name }) {
  if (stops.length <= SHOWN + 3) return el("div", {}, list(stops, name));
  const first = stops.slice(0, SHOWN - 2);
  const rest = stops.slice(SHOWN - 2, -2);
  const last = stops.slice(-2);
  return el(
    "div",
    {},
    list(first, name),
    el(
      "details.chain-rest",
      {},
      el("summary", {}, many(rest.length, "{n} step between", "{n} steps between")),
      list(rest, name),
    ),
    list(last, name),
  );
}

function list(stops, name) {
  return el("ol.chain", { role: "list" }, stops.map((stop) => item(stop, name(stop))));
}

function item(stop, name) {
  return el(
    "li",
    {},
    el("span.chain-name", {}, name),
    stop.sentence ? el("span.chain-why", {}, datedText(stop.sentence)) : null,
    el("span.chain-dates", {}, dates(stop), stop.zone ? `, ${stop.zone}` : null),
  );
}

function dates({ start, finish }) {
  return start === finish ? when(finish) : t`${when(start)} to ${when(finish)}`;
}
