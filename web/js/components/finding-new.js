/**
 * Writing findings down, one after another: Next keeps the zone and clears the rest.
 *
 * The page proposes the next free number. Where another tablet was quicker, the next one is taken;
 * where an answer got lost on its way, the same finding is found again instead of written twice.
 */

import { ApiError, get, patch, post } from "../lib/api.js";
import { el, fill } from "../lib/dom.js";
import { form, showErrors } from "../lib/forms.js";
import { offer, say } from "../lib/notice.js";
import { t } from "../lib/text.js";
import { nextId } from "./editing.js";
import { captured, restore, watchTyping } from "./finding-draft.js";
import { findingFields } from "./finding-fields.js";
import { shortened } from "./finding-words.js";
import { takeBack } from "./undo.js";

const KIND = "finding";
const DRAFT = "new";
const MOST_TRIES = 20;

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {HTMLElement} place
 * @param {object} page
 * @param {() => any} page.evaluation As read last.
 * @param {() => string | null} page.zone Where one stands; null: nowhere.
 * @param {(line: any) => void} page.written A finding was written down; nothing waits for what follows.
 * @param {() => Promise<void>} page.takenBack It was taken back.
 * @param {(key: string) => void} page.photograph Go to the photos of a finding.
 * @param {ReturnType<typeof import("./finding-draft.js").draftsOf>} page.drafts
 */
export function newFinding(sheet, place, page) {
  let attempt = null;
  let seenBy = localStorage.getItem(whoKept(sheet)) ?? "";
  const draw = ({ like = {}, isOpen = false } = {}) => {
    const evaluation = page.evaluation();
    const zone = evaluation.zones.find(({ id }) => id === page.zone());
    const fields = findingFields(evaluation, { finding: { seen_by: seenBy, ...like }, asOf: sheet.project.as_of, usual: zone?.chapters ?? [], isOpen });
    const node = form([fields.node, foot()], () => send(node, fields));
    node.classList.add("finding-form");
    node.setAttribute("aria-label", t`New finding`);
    goOnWithEnter(node);
    fill(place, node);
    queueMicrotask(() => keepTyping(node, fields, Boolean(Object.keys(like).length)));
    return node;
  };
  const foot = () => el("div.finding-next", {}, el("button.button.strong", { type: "submit" }, t`Next`));
  const keepTyping = (node, fields, isCopy) => {
    const blank = captured(node);
    watchTyping(node, (values) => page.drafts.set(DRAFT, Object.keys(values).length || attempt ? { values, attempt } : undefined));
    if (isCopy) {
      node.dispatchEvent(new Event("input"));
      return;
    }
    const draft = page.drafts.all()[DRAFT];
    if (!draft) return;
    attempt = draft.attempt;
    restore(node, { ...blank, ...draft.values });
    fields.refresh();
    if (Object.keys(draft.values).some((name) => !["seen", "grade"].includes(name))) fields.more.open = true;
  };
  const send = async (node, fields) => {
    const problems = fields.problems();
    if (problems.length) {
      if (problems.some(({ field }) => !["seen", "grade"].includes(field))) fields.more.open = true;
      showErrors(node, problems);
      return;
    }
    const body = { ...fields.read(), zone: page.zone(), seen_on: sheet.project.as_of };
    attempt = { id: attempt?.id ?? nextId("F", page.evaluation().findings), body: attempt?.body ?? body };
    // Kept whole: after an answer that got lost all of it is needed.
    page.drafts.set(DRAFT, { values: captured(node), attempt });
    const line = await store(sheet, body, attempt);
    attempt = null;
    page.drafts.set(DRAFT, undefined);
    seenBy = body.seen_by;
    localStorage.setItem(whoKept(sheet), seenBy);
    page.written(line);
    const empty = draw({ isOpen: fields.more.open });
    empty.querySelector("textarea").focus();
    tell(line);
    bringAbove(empty.querySelector(".grades"));
  };
  const tell = ({ key, version, seen }) => {
    const thing = { kind: KIND, key, name: key, version };
    say(t`Written down: ${key}, ${shortened(seen)}`, { undo: () => takeBack(sheet, thing, page.takenBack) });
    offer(t`Photos`, () => page.photograph(key));
  };
  draw();
  return {
    /** Begin another one. */
    focus() {
      place.querySelector("textarea").focus();
    },
    /** Draw the choices anew for another zone; what is typed stays. */
    move() {
      const now = place.querySelector("form");
      const typed = captured(now);
      const isOpen = now.querySelector(".finding-more").open;
      const node = draw({ isOpen });
      queueMicrotask(() => {
        restore(node, typed);
        node.dispatchEvent(new Event("input"));
      });
    },
    /** Begin with what another finding says. @param {Record<string, any>} finding */
    copy(finding) {
      const { id, zone, dropped, seen_on: seenOn, ...like } = finding;
      attempt = null;
      draw({ like, isOpen: true });
      place.scrollIntoView({ block: "start" });
      place.querySelector("textarea").focus();
    },
  };
}

/** Bring something above the notice, which covers the lower end of a telephone. */
function bringAbove(node) {
  node.scrollIntoView({ block: "nearest" });
}

/** Enter goes from the words to the grades, and from a grade to the next finding. */
function goOnWithEnter(node) {
  node.addEventListener("keydown", (event) => {
    const { target, key, shiftKey, isComposing } = event;
    if (key !== "Enter" || shiftKey || isComposing) return;
    if (target.name === "seen") {
      event.preventDefault();
      const grade = node.querySelector("[name=grade]:checked");
      if (grade) node.requestSubmit();
      else node.querySelector("[name=grade]").focus();
    } else if (target.type === "radio") {
      event.preventDefault();
      node.requestSubmit();
    }
  });
}

/** Store a finding once, under the next number that is free. */
async function store(sheet, body, attempt) {
  for (let tries = 0; tries < MOST_TRIES; tries += 1) {
    try {
      const done = await post(sheet.path("/findings"), { id: attempt.id, ...body });
      return done.finding;
    } catch (error) {
      if (!(error instanceof ApiError && error.status === 422 && error.problem.field === "id")) throw error;
      const stored = await get(sheet.path(`/findings/${attempt.id}`));
      if (isSame(stored, attempt.body)) return improved(sheet, stored, body);
      const { findings } = await get(sheet.path("/findings"));
      attempt.id = nextId("F", findings);
      attempt.body = body;
    }
  }
  throw new ApiError(0, { detail: t`No free number was found for the finding. What you typed is still here: try again.` });
}

/** The first answer got lost: what was typed since is put on top. */
async function improved(sheet, stored, body) {
  const { finding } = await patch(sheet.path(`/findings/${stored.key}`), body, { version: stored.version });
  return finding;
}

function isSame(stored, body) {
  return Object.entries(body).every(([name, value]) => JSON.stringify(stored[name] ?? null) === JSON.stringify(value ?? null));
}

function whoKept(sheet) {
  return `ribstitch-seen-by-${sheet.project.id}`;
}
