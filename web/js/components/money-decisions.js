/** What waits for the owner's yes: each with its price, answered in two taps. */

import { ApiError, post } from "../lib/api.js";
import { whatChanged } from "../lib/changes.js";
import { compare } from "../lib/amounts.js";
import { datedText, el, fill } from "../lib/dom.js";
import { field, form, readForm, showErrors } from "../lib/forms.js";
import { formatExact } from "../lib/format.js";
import { say } from "../lib/notice.js";
import { many, t } from "../lib/text.js";
import { takeBack } from "./undo.js";

const NO = [t`Not needed`, t`Too dear: ask for another price`, t`Not now: ask again later`];

/**
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any} money As the service answers it.
 * @param {() => Promise<any>} afterwards Called after a decision.
 */
export function showDecisions(place, sheet, { decisions, currency }, afterwards) {
  const { mayDecide } = sheet;
  fill(
    place,
    decisions.length ? null : el("p", {}, t`Nothing waits for a yes.`),
    mayDecide || !decisions.length ? null : el("p.soft", {}, whoAnswers(sheet.person)),
    el("ul.decisions", { role: "list" }, decisions.map((one) => decision(sheet, one, one.currency ?? currency, mayDecide, afterwards))),
  );
}

function whoAnswers({ entry }) {
  return entry === "open" ? t`The owner answers these here, under “I am: Owner”.` : t`The owner and the planner answer these.`;
}

function decision(sheet, one, currency, mayDecide, afterwards) {
  return el(
    "li.decision",
    { "data-key": one.key },
    el("h3", {}, one.name),
    el("p.decision-price", {}, formatExact(one.amount, currency), " ", hoursToo(one.hours)),
    one.sentence ? el("p", {}, datedText(one.sentence)) : null,
    mayDecide ? decisionForms(sheet, { ...one, currency }, afterwards) : null,
  );
}

/**
 * The two buttons, and what unfolds under them.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {{key: string, name: string, version: number, amount: string, currency: string, state?: string}} one
 *   What was said already is not asked for again.
 * @param {() => Promise<any>} afterwards
 * @returns {HTMLElement[]}
 */
export function decisionForms(sheet, one, afterwards) {
  const answer = el("div.decision-answer.no-print");
  const yes = el("button.button.strong", { type: "button", "aria-expanded": "false" }, t`Approve…`);
  const no = el("button.button", { type: "button", "aria-expanded": "false" }, t`Decline…`);
  const send = decider(sheet, one, afterwards);
  const unfold = (button, content) => {
    const wasOpen = button.getAttribute("aria-expanded") === "true";
    for (const each of [yes, no]) each.setAttribute("aria-expanded", "false");
    fill(answer, wasOpen ? null : content());
    button.setAttribute("aria-expanded", String(!wasOpen));
    answer.querySelector("button")?.focus();
  };
  yes.addEventListener("click", () => unfold(yes, () => answerForm("approved", t`Yes: ${formatExact(one.amount, one.currency)}`, send)));
  no.addEventListener("click", () => unfold(no, () => answerForm("declined", t`No, with this reason`, send)));
  const isNew = (verdict) => one.state !== verdict;
  return [el("div.button-row.no-print", {}, isNew("approved") ? yes : null, isNew("declined") ? no : null), answer];
}

/** The second tap: ready reasons go off at once, another one is typed. */
function answerForm(verdict, text, send) {
  const isNo = verdict === "declined";
  const node = form(
    [
      isNo ? el("div.button-row", {}, NO.map((reason) => el("button.button", { type: "submit", name: "ready", value: reason }, reason))) : el("button.button.strong", {}, text),
      field({ label: isNo ? t`Or another reason` : t`With a condition or a word, if you like`, name: "reason", attributes: { maxlength: 2000 } }),
      isNo ? el("button.button", { type: "submit" }, text) : null,
    ],
    async () => {
      const reason = chosen || readForm(node).reason || "";
      if (isNo && !reason) {
        showErrors(node, [{ field: "reason", message: t`Reason: say why not, so that the shop can plan on.` }]);
        return;
      }
      await send(verdict, reason, node);
    },
  );
  let chosen = "";
  node.addEventListener("submit", (event) => { chosen = event.submitter?.value ?? ""; }, { capture: true });
  return node;
}

function decider(sheet, { key, name, version }, afterwards) {
  const path = sheet.path(`/over-and-above/${encodeURIComponent(key)}/decision`);
  return async (verdict, reason, node) => {
    const next = node.closest(".decision")?.nextElementSibling?.dataset.key ?? "";
    try {
      const done = await post(path, { decision: verdict, reason }, { version });
      node.closest("dialog")?.close();
      await afterwards();
      tellDecided(sheet, verdict === "approved" ? t`Approved: ${name}.` : t`Declined: ${name}.`, { key, name, version: done.version }, afterwards);
    } catch (error) {
      if (!(error instanceof ApiError && error.isStale)) throw error;
      node.closest("dialog")?.close();
      await afterwards();
      say(t`Not recorded: ${name}. ${whatChanged(error)} Look again.`, { tone: "problem" });
    }
    (document.querySelector(`.decision[data-key="${CSS.escape(next)}"] .button`) ?? document.getElementById("decisions-title"))?.focus();
  };
}

/** The owner decides otherwise in the list; the planner can take it back at once. */
function tellDecided(sheet, text, thing, afterwards) {
  if (sheet.readOnly) say(`${text} ${t`The shop sees it at once. You can decide otherwise in the list “Over and above”.`}`);
  else say(text, { undo: () => takeBack(sheet, { kind: "over_and_above", ...thing }, afterwards) });
}

function hoursToo(hours) {
  return hours && compare(hours) > 0 ? el("span.soft", {}, many(Number(hours), "and {n} hour", "and {n} hours")) : null;
}
