/**
 * What others do to the plan, as they do it. One window of the browser listens to the service and
 * tells the others; where the browser does not let windows agree on one, each listens for itself.
 */

import { address, get, isChanging } from "./api.js";
import { describeChange, kindName, whoAndWhen } from "./changes.js";
import { openDialog } from "./dialog.js";
import { byId, el, fill, unfold } from "./dom.js";
import { formatList, formatNumber } from "./format.js";
import { sayProblem } from "./notice.js";
import { t } from "./text.js";

const FIRST_WAIT_MS = 1_000;
const LONGEST_WAIT_MS = 30_000;
/** Changes that come one after another are shown at once. */
const GATHER_MS = 150;
const MOST_NAMED = 3;

/**
 * @typedef {object} LiveChange
 * @property {number} plan_version
 * @property {string} who
 * @property {string} action
 * @property {{kind: string, key: string}[]} changed
 * @property {number} count
 */

/**
 * Be told of each change once, in order, but not of those made by this page.
 * @param {number} project @param {number} after The plan version that is known.
 * @param {(changes: LiveChange[]) => void} told
 */
function followPlan(project, after, told) {
  const name = `ribstitch-live-${project}`;
  const windows = new BroadcastChannel(name);
  const own = new Set();
  let last = after;
  let heard = [];
  let timer = 0;

  const take = (change) => {
    if (change.plan_version <= last) return;
    last = change.plan_version;
    heard.push(change);
    plan();
  };
  const plan = () => {
    clearTimeout(timer);
    timer = setTimeout(pass, GATHER_MS);
  };
  /** Whose a change is, is known once the answer to it is here. */
  const pass = () => {
    if (isChanging()) {
      plan();
      return;
    }
    const others = heard.filter(({ plan_version: version }) => !own.has(version));
    heard = [];
    if (others.length) told(others);
  };
  document.addEventListener("changed", ({ detail }) => own.add(detail.planVersion));
  windows.addEventListener("message", ({ data }) => take(data));
  const listen = (wait = FIRST_WAIT_MS, isAgain = false) => {
    let next = wait;
    const source = new EventSource(address(`/projects/${project}/events`, { after: last }));
    source.addEventListener("open", () => {
      next = FIRST_WAIT_MS;
      if (isAgain) document.dispatchEvent(new CustomEvent("reached"));
    });
    source.addEventListener("change", ({ data }) => {
      const change = JSON.parse(data);
      windows.postMessage(change);
      take(change);
    });
    source.addEventListener("error", () => {
      source.close();
      const again = () => {
        clearTimeout(pause);
        removeEventListener("online", again);
        listen(Math.min(next * 2, LONGEST_WAIT_MS), true);
      };
      const pause = setTimeout(again, next * (0.5 + Math.random()));
      addEventListener("online", again);
    });
  };
  if (!navigator.locks) listen();
  else {
    navigator.locks.request(name, () => {
      listen();
      return new Promise(() => {});
    });
  }
}

/**
 * Keep a page up with what others do. It is read again quietly; while somebody is typing, a line
 * tells instead, and the page follows once that is done.
 * @param {number} project @param {number} after
 * @param {() => unknown} refresh Read the page again.
 */
export function keepUp(project, after, refresh) {
  let missed = [];
  let wasAway = false;
  let running = Promise.resolve();
  const follow = async () => {
    if (!(missed.length || wasAway) || isEditing()) return;
    missed = [];
    wasAway = false;
    hide();
    await keepingPlace(refresh).catch(sayProblem);
  };
  const tryAgain = () => {
    running = running.then(follow);
  };
  followPlan(project, after, (changes) => {
    missed.push(...changes);
    if (isEditing()) show(project, missed);
    else tryAgain();
  });
  document.addEventListener("reached", () => {
    wasAway = true;
    tryAgain();
  });
  watchTyping();
  document.addEventListener("changed", () => setTimeout(tryAgain));
  document.addEventListener("focusout", () => setTimeout(tryAgain));
  document.addEventListener("close", () => setTimeout(tryAgain), true);
}

/* Whether somebody is typing. */

const typedIn = new Set();

/** What was typed is saved once the form that was sent got its answer; one that only asks saves nothing. */
function watchTyping() {
  let sent = null;
  document.addEventListener("input", ({ target }) => target.form && !("asks" in target.form.dataset) && typedIn.add(target.form));
  document.addEventListener("submit", ({ target }) => {
    sent = target;
  });
  document.addEventListener("changed", () => typedIn.delete(sent));
}

/** Words that nobody saved yet, or a question that is open. */
export function isEditing() {
  for (const form of typedIn) if (!form.isConnected) typedIn.delete(form);
  const isAsked = document.querySelector("dialog[open]") !== null;
  return isAsked || typedIn.size > 0 || document.activeElement?.matches("form :is(input, select, textarea)");
}

/** Read a page again with its folds, its place and its focus as they were. */
async function keepingPlace(refresh) {
  const folds = [...document.querySelectorAll("details[open]")].map(nameOf);
  const focus = document.activeElement === document.body ? null : nameOf(document.activeElement);
  const { scrollX, scrollY } = window;
  await refresh();
  for (const fold of document.querySelectorAll("details:not([open])")) {
    if (folds.includes(nameOf(fold))) unfold(fold);
  }
  if (focus && document.activeElement === document.body) {
    const all = document.querySelectorAll("button, a, summary, input, select, textarea, [tabindex]");
    [...all].find((one) => nameOf(one) === focus)?.focus({ preventScroll: true });
  }
  scrollTo(scrollX, scrollY);
}

/** What tells an element from the others before and after a new drawing. */
function nameOf(node) {
  const place = node.closest("[data-key], [data-task], section[id], .panel[id]");
  const where = place ? place.dataset.key ?? place.dataset.task ?? place.id : "";
  const words = node.matches("details") ? node.querySelector("summary")?.textContent : node.textContent;
  return [where, node.tagName, node.id || node.name || node.getAttribute("aria-label") || words].join("|");
}

/* The line. */

function show(project, changes) {
  const line = place();
  fill(
    line,
    el("p", {}, sentence(changes)),
    el("button.button", { type: "button", onclick: () => tell(project, changes) }, t`Show it`),
  );
  line.hidden = false;
}

function hide() {
  const line = document.getElementById("live-line");
  if (line) line.hidden = true;
}

function sentence(changes) {
  const who = formatList([...new Set(changes.map((one) => one.who))]);
  const things = [...new Map(changes.flatMap(({ changed }) => changed).map((one) => [`${one.kind} ${one.key}`, one])).values()];
  const named = things.slice(0, MOST_NAMED).map(({ kind, key }) => (key ? `${kindName(kind)} ${key}` : t`the ${kindName(kind)}`));
  const rest = things.length - named.length;
  return t`${who} changed ${formatList(rest > 0 ? [...named, t`${formatNumber(rest)} more`] : named)}. What you type stays; the sheet follows when you are done.`;
}

/** Everything that was changed, in a dialog: nothing behind it moves. */
async function tell(project, changes) {
  try {
    const pages = await Promise.all(changes.map(({ plan_version: version }) => get(`/projects/${project}/changes`, { query: { plan_version: version } })));
    const lines = pages.flatMap((page) => page.changes.slice().reverse());
    const item = (one) => el("li", {}, el("b", {}, `${kindName(one.kind)} ${one.key}`), ": ", describeChange(one), ", ", el("span.soft", {}, whoAndWhen(one)));
    openDialog({ title: t`Changed in the meantime`, content: el("ul", {}, lines.map(item)) });
  } catch (error) {
    sayProblem(error);
  }
}

/** Above the sheet, or on top of the dialog that lies over it. */
function place() {
  const known = document.getElementById("live-line") ?? el("div.live-line.no-print", { id: "live-line", role: "status" });
  const dialog = [...document.querySelectorAll("dialog[open]")].at(-1);
  if (dialog) dialog.querySelector(".dialog-body").before(known);
  else byId("main").prepend(known);
  return known;
}
