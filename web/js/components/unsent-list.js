/** What was recorded without a network and waits: what, when, and what can be done about it. */

import { ApiError } from "../lib/api.js";
import { datedText, el, fill, instant } from "../lib/dom.js";
import { signInAddress } from "../lib/entry.js";
import { formatNumber } from "../lib/format.js";
import { say, sayProblem } from "../lib/notice.js";
import { isMine, isSignInNeeded, sendOnTop, takeBackUnsent } from "../lib/queue.js";
import { t } from "../lib/text.js";

/**
 * Draw the list, or put it away where nothing waits.
 * @param {HTMLElement} panel @param {import("../lib/queue.js").Unsent[]} list In order.
 */
export function drawUnsent(panel, list) {
  panel.hidden = !list.length;
  const refused = list.filter(({ refused: sentence }) => sentence);
  const waiting = list.length - refused.length;
  const parts = [waiting ? t`${formatNumber(waiting)} waiting to be sent` : "", refused.length ? t`${formatNumber(refused.length)} refused` : ""];
  fill(panel.querySelector("h2"), parts.filter(Boolean).join(", "));
  fill(
    panel.querySelector(".panel-body"),
    isSignInNeeded() ? el("p.problem", {}, t`You are signed out: ${el("a", { href: signInAddress() }, t`sign in again`)}, then it is sent.`) : null,
    el("ul.lines", { role: "list" }, list.map(line)),
  );
}

/** Show on the cards which records of theirs wait. @param {import("../lib/queue.js").Unsent[]} list @param {HTMLElement} node @param {string} task */
export function markUnsent(list, node, task) {
  const own = list.filter((one) => one.task === task);
  node.querySelector(".card-unsent")?.remove();
  node.classList.toggle("unsent", Boolean(own.length));
  if (!own.length) return;
  const text = ({ what, refused }) => el("span", {}, refused ? t`Refused: ${what}` : t`Waiting to be sent: ${what}`);
  node.querySelector(".card-facts").after(el("p.card-unsent", {}, own.map(text)));
}

function line(one) {
  const buttons = one.refused
    ? [button(t`Send again`, one, () => sendOnTop(one)), button(t`Discard`, one, () => takeBack(one))]
    : [button(t`Take back`, one, () => takeBack(one))];
  return el(
    "li.line.unsent-line",
    { "data-refused": Boolean(one.refused) },
    el("h3", {}, one.what),
    el("p.soft", {}, isMine(one) ? t`Recorded ${instant(one.at)}` : t`Recorded ${instant(one.at)} by ${one.by}, and waits for them`),
    one.refused && el("p.wrong", {}, datedText(one.refused), " ", advice(one)),
    el("div.button-row", {}, buttons),
  );
}

function advice({ isStale }) {
  return isStale ? t`Send it again to put it on top of that, or discard it.` : t`Settle that and send it again, or discard it.`;
}

function button(text, { what }, act) {
  const node = el("button.button", { type: "button", "aria-label": t`${text}: ${what}` }, text);
  node.addEventListener("click", async () => {
    node.disabled = true;
    try {
      await act();
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      sayProblem(error);
    } finally {
      node.disabled = false;
    }
  });
  return node;
}

async function takeBack({ id, what }) {
  const isGone = await takeBackUnsent(id);
  say(isGone ? t`Not sent: ${what}.` : t`It is just being sent: look again in a moment.`);
}
