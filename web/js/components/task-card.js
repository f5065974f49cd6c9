/** A task as a card on the floor: what, where, how urgent, the cautions, and three big buttons. */

import { datedText, el, fill, freshId, when } from "../lib/dom.js";
import { formatDays, formatNumber, formatSpare } from "../lib/format.js";
import { t, told } from "../lib/text.js";
import { hazardName, tradeName } from "../lib/words.js";
import { checkStamp, checkText } from "./check-words.js";
import { isCertain } from "./date-band.js";
import { hoursSentence } from "./hours-words.js";
import { PICTURES } from "./photos.js";

/**
 * @typedef {object} CardActions What the page does when a button is pressed.
 * @property {(card: any, node: HTMLElement) => void} start
 * @property {(card: any, node: HTMLElement) => void} done
 * @property {(card: any, node: HTMLElement) => void} held
 * @property {(card: any, node: HTMLElement) => void} daysLeft
 * @property {(card: any) => void} hours
 * @property {(card: any, file: File) => void} photo
 * @property {(card: any) => void} found
 * @property {(card: any, node: HTMLElement) => void} undo
 * @property {(card: any) => void} open
 */

/**
 * @param {any} card From the daily sheet.
 * @param {{hazards: Record<string, {caution: string, source: string}>, standing_line: string}} today
 * @param {CardActions | null} actions null: look only.
 * @param {(card: any) => void} open Opens the task's own sheet.
 * @param {"h3" | "h4"} [heading] Level of the card's name under the heading above it.
 * @returns {HTMLElement}
 */
export function taskCard(card, today, actions, open, heading = "h3") {
  const nameId = freshId("card");
  const node = el(
    "article.card",
    { "aria-labelledby": nameId, "data-task": card.id, "data-state": card.state },
    el(
      "p.card-head",
      {},
      el("span.card-id", {}, card.id),
      el("span", {}, tradeName(card.trade)),
      card.zone_name && el("span", {}, card.zone_name),
    ),
    el(
      `${heading}.card-name`,
      {},
      el("button", { type: "button", id: nameId, onclick: () => open(card) }, card.name || card.id),
    ),
    el("p.card-facts", {}, urgency(card), " ", facts(card)),
    heldLines(card),
    checkLine(card),
    hoursLine(card),
    cautions(card, today),
    el("p.card-told", { role: "alert" }),
    actions && buttons(card, actions, () => node),
    el("span.tick-box.print-only", { "aria-hidden": "true" }),
    el("span.hours-box.print-only", { "aria-hidden": "true" }, t`Hours`),
  );
  return node;
}

/** Say something on a card itself. @param {HTMLElement} node @param {string} text */
export function tellOnCard(node, text) {
  fill(/** @type {Element} */ (node.querySelector(".card-told")), datedText(text));
}

/** How much room a task has before the finish moves, as a stamp. */
export function urgency({ critical, total_float_days: spare, state }) {
  if (state === "done") return null;
  if (spare < 0) return el("span.stamp.danger", {}, t`${formatDays(-spare)} too late`);
  if (critical || spare === 0) return el("span.stamp.critical", {}, spare > 0 ? t`Sets the finish: ${formatSpare(spare)} to spare` : t`Sets the finish`);
  return el("span.stamp", {}, t`${formatSpare(spare)} to spare`);
}

function facts(card) {
  const { state, days, remaining_days: left } = card;
  if (state === "done") return el("span", {}, t`Finished ${when(card.finish, "long")}`);
  if (state === "in_work") return el("span", {}, t`${howMuchIsLeft(left ?? days, days)}, ${doneBy(card)}`);
  return el("span", {}, t`${formatDays(left ?? days)} of work`);
}

/** Why it is held, and who must act next where that is not the reason itself. */
function heldLines({ state, held_reason: reason, held_for: waits }) {
  if (state !== "held") return null;
  const next = waits.map(({ name, who }) => el("p.card-next", {}, t`Next: ${el("b", {}, told(who))}. ${datedText(name)}.`));
  return [el("p.card-held", {}, reason || t`No reason was given.`), next];
}

/** What has to be settled before it counts as done. */
function checkLine({ check }) {
  return check && el("p.card-check", {}, checkStamp(check), " ", checkText(check));
}

/** What was worked on it; on work that was never begun there is nothing to tell. */
function hoursLine({ state, hours }) {
  if (state === "not_started" && !Number(hours.so_far)) return null;
  return el("p.card-hours", {}, hoursSentence(hours));
}

/** The likely date and the one that is kept 8 times in 10; until they are known, the one as written. */
function doneBy({ finish, spread }) {
  if (!spread) return t`done by ${when(finish, "short")} as written`;
  if (isCertain(spread)) return t`done by ${when(finish, "short")}`;
  return t`likely done ${when(spread.p50, "short")}, 80\u00a0%\u00a0by\u00a0${when(spread.p80, "short")}`;
}

function howMuchIsLeft(left, days) {
  return left > days ? t`${formatDays(left)} left, more than the ${formatDays(days)} planned` : t`${formatNumber(left)} of ${formatDays(days)} left`;
}

function cautions(card, { hazards, standing_line: line }) {
  if (!card.hazards.length || card.state === "done") return null;
  const names = card.hazards.map(hazardName).join(", ");
  const entries = card.hazards.map((tag) => [
    el("dt", {}, hazardName(tag)),
    el("dd", {}, told(hazards[tag].caution), source(hazards[tag])),
  ]);
  return el(
    "details.card-cautions",
    {},
    el("summary", {}, t`Cautions: ${names}`),
    el("dl", {}, entries),
    el("p.standing-line", {}, told(line)),
  );
}

/** Rules are cited as their own country writes them. */
function source({ source: cited }) {
  return [" ", el("small", { translate: "no" }, cited)];
}

function buttons(card, actions, node) {
  const name = card.name || card.id;
  const button = (does, text, kind = "button.button", act = actions[does]) =>
    el(kind, { type: "button", "data-does": does, "aria-label": t`${text}: ${name}`, onclick: () => act(card, node()) }, text);
  const start = (text) => button("start", text, "button.button.strong");
  const done = (kind) => button("done", t`Done`, kind);
  const held = (text) => button("held", text);
  const left = () => button("daysLeft", t`Days left`);
  const hours = () => button("hours", t`Hours`);
  const photo = () => {
    const input = el("input", { type: "file", accept: PICTURES, capture: "environment", hidden: true, "aria-label": t`Photo: ${name}` });
    input.addEventListener("change", () => {
      for (const file of input.files) actions.photo(card, file);
      input.value = "";
    });
    return [button("photo", t`Photo`, undefined, () => input.click()), input];
  };
  const found = () => button("found", t`Found here`);
  const sets = {
    not_started: () => [start(t`Start`), done(), held(t`Hold`), found()],
    in_work: () => [done("button.button.strong"), held(t`Hold`), left(), hours(), photo(), found()],
    held: () => [start(t`Go on`), done(), held(t`Reason`), hours(), photo(), found()],
    done: () => [button("undo", t`Undo`), hours()],
  };
  return el("div.card-actions", {}, sets[card.state]?.() ?? []);
}
