/** What the findings make of the plan: looked at line by line, then put into it in one step. */

import { get, post } from "../lib/api.js";
import { describeChange, kindName } from "../lib/changes.js";
import { datedText, el, fill } from "../lib/dom.js";
import { finishSentence, formatNumber } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { many, t, told } from "../lib/text.js";
import { movedWords } from "./finish-words.js";
import { takeBack, tellDone } from "./undo.js";
import { vendorLink } from "./vendor-form.js";

const SHOWN = 40;
const STAYS = {
  started: t`Stays as it is: its work has begun.`,
  edited: t`Stays as it is: somebody edited it by hand.`,
  dropped: t`Stays out: somebody took it out.`,
  own: t`Stays as it is: somebody made it by hand under this name. What the findings would put there is left out.`,
};

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {HTMLElement} place
 * @param {object} page
 * @param {() => any} page.evaluation
 * @param {() => Promise<void>} page.changed The plan was changed: read again, this as well.
 * @param {(key: string) => void} page.goTo A finding.
 */
export function planOfFindings(sheet, place, page) {
  let shown = null;
  const invite = () => {
    const { not_planned: open } = page.evaluation();
    const text = open ? many(open, "{n} finding is decided and not in the plan yet.", "{n} findings are decided and not in the plan yet.") : t`The plan has all that is decided so far.`;
    const look = el("button.button.strong", { type: "button", onclick: () => ask(look) }, t`Look what it makes`);
    fill(place, el("p", {}, text), el("div.button-row", {}, look));
  };
  const ask = async (button) => {
    if (button) button.disabled = true;
    try {
      shown = await get(sheet.path("/draft"));
      draw();
    } catch (error) {
      sayProblem(error);
    } finally {
      if (button) button.disabled = false;
    }
  };
  const draw = () => {
    const put = el("button.button.strong", { type: "button", onclick: () => apply(put) }, t`Put into the plan`);
    fill(
      place,
      answer(shown),
      problems(sheet, shown.problems, page.goTo),
      GROUPS.map(({ name, title, has = () => true }) => group(title, shown[name].filter(has), page.goTo)),
      sheet.readOnly || shown.up_to_date || !shown.finish_after ? null : el("div.button-row", {}, put),
    );
  };
  const apply = async (button) => {
    button.disabled = true;
    try {
      const done = await post(sheet.path("/draft"), { plan_version: shown.plan_version });
      await page.changed();
      const thing = { kind: done.kind, key: done.key, name: t`the plan as it was`, version: done.version };
      tellDone(t`The plan is made from the findings. ${finishSentence(done.finish)}`, done, () => takeBack(sheet, thing, page.changed));
    } catch (error) {
      button.disabled = false;
      sayProblem(error);
      if (error.status === 409 || error.isStale) await page.changed();
    }
  };
  invite();
  return {
    /** The findings changed: what is shown is looked at again. */
    refresh() {
      return shown ? ask() : invite();
    },
  };
}

/** How much changes, and what becomes of the finish, in a sentence each. */
function answer(draft) {
  const { counts, added, up_to_date: isSettled } = draft;
  if (isSettled) return el("p.lead", {}, t`The plan holds all that the findings make. Nothing would change.`);
  const tasks = added.filter(({ kind }) => kind === "task").length;
  const parts = [
    counts.added ? newWords(counts.added, tasks) : "",
    counts.changed ? t`${formatNumber(counts.changed)} changed` : "",
    counts.dropped ? t`${formatNumber(counts.dropped)} no longer needed` : "",
    counts.kept ? t`${formatNumber(counts.kept)} left alone` : "",
  ].filter(Boolean);
  return el(
    "div.plan-answer",
    {},
    el("p.lead", {}, `${parts.join(", ")}.`),
    el("p", {}, draft.finish_after ? movedWords(draft) : t`It cannot be put into the plan yet: see below.`),
  );
}

function newWords(added, tasks) {
  const number = formatNumber(added);
  return tasks ? t`${number} new (${many(tasks, "{n} task", "{n} tasks")})` : t`${number} new`;
}

function problems(sheet, list, goTo) {
  if (!list?.length) return null;
  const line = ({ finding, sentence, without_vendor: kind }) => {
    const settle = kind && !sheet.readOnly ? [" ", el("a", { href: vendorLink(sheet, kind) }, t`Add a vendor`)] : null;
    const text = told(sentence);
    if (!finding) return el("li", {}, text, settle);
    const rest = text.startsWith(finding) ? text.slice(finding.length) : "";
    return el("li", {}, link(finding, goTo), /^[ :]/.test(rest) ? rest : `: ${text}`, settle);
  };
  return el("section.plan-problems", {}, el("h3", {}, t`To settle first`), el("ul", {}, list.map(line)));
}

const GROUPS = [
  { name: "added", title: t`New` },
  { name: "changed", title: t`Changed` },
  { name: "dropped", title: t`No longer needed` },
  { name: "kept", title: t`Left alone`, has: ({ reason }) => reason !== "dropped" },
  { name: "kept", title: t`Taken out by hand`, has: ({ reason }) => reason === "dropped" },
];

/** Things that fare alike; they are listed when the group is unfolded. */
function group(title, items, goTo) {
  if (!items.length) return null;
  const list = el("ul.lines", { role: "list", "aria-label": title });
  const rest = el("div");
  const show = (from, to) => {
    list.append(...items.slice(from, to).map((item) => line(item, goTo)));
    const left = items.length - Math.min(to, items.length);
    fill(rest, left ? el("button.button", { type: "button", onclick: () => show(to, items.length) }, t`And ${formatNumber(left)} more`) : null);
  };
  const node = el("details.plan-group", {}, el("summary", {}, el("b", {}, title), el("span.soft", {}, ` ${formatNumber(items.length)}`)), list, rest);
  node.addEventListener("toggle", () => node.open && !list.childElementCount && show(0, SHOWN));
  return node;
}

function line(item, goTo) {
  const { kind, name, key, fields, reason, instead } = item;
  return el(
    "li.line",
    {},
    el("div", {}, el("b", {}, kind === "link" ? told(name) : name || key), el("span.soft", {}, ` ${kindName(kind)}`)),
    reason ? el("div", {}, instead ? [STAYS[reason], " ", t`Instead, ${told(instead)}.`] : STAYS[reason]) : null,
    fields?.length ? el("div", {}, reason ? t`Drafted anew it would be: ${changes(item)}` : changes(item)) : null,
    el("div.soft", {}, because(item, goTo), item.asked ? el("div", {}, datedText(item.asked)) : null),
  );
}

function because({ finding, card, why }, goTo) {
  if (!finding) return card ? t`Because of card ${card}` : datedText(why);
  return card ? t`Because of ${link(finding, goTo)}, card ${card}` : t`Because of ${link(finding, goTo)}`;
}

function link(finding, goTo) {
  return el("button.name.finding-link", { type: "button", onclick: () => goTo(finding) }, t`finding ${finding}`);
}

/** As in the change log. */
function changes({ kind, fields }) {
  const side = (name) => Object.fromEntries(fields.map((one) => [one.field, one[name]]));
  return describeChange({ kind, before: side("before"), after: side("after") });
}
