/**
 * How sure the dates are: asked of the service, and asked again while it still works it out.
 *
 * The title block and a page that ask at once share one question. A page goes on being told
 * when the plan changes and everything is worked out anew.
 */

import { ApiError, get, post, remove } from "./api.js";
import { el, fill } from "./dom.js";
import { formatShare } from "./format.js";
import { sayProblem } from "./notice.js";
import { t } from "./text.js";

const FIRST_WAIT_MS = 400;
const LONGEST_WAIT_MS = 1_000;

/**
 * @typedef {object} Answer
 * @property {number} plan_version
 * @property {"ready" | "running" | "cancelled" | "failed"} state
 * @property {number} progress 0 to 1.
 * @property {string} reason One sentence where it failed, else empty.
 * @property {any} result Null unless ready.
 */

/** @type {Map<string, {listeners: Set<(answer: Answer | null, error?: unknown) => void>, asking: boolean}>} */
const questions = new Map();

/**
 * Ask until nothing runs any more, and tell every answer; or the error, when one comes instead.
 * @param {string} path `sheet.path("/simulation")` or `sheet.path("/causes")`
 * @param {(answer: Answer | null, error?: unknown) => void} listener
 * @returns {() => void} Call it to be told no more.
 */
export function follow(path, listener) {
  if (!questions.has(path)) questions.set(path, { listeners: new Set(), asking: false });
  const { listeners } = questions.get(path);
  listeners.add(listener);
  ask(path);
  return () => listeners.delete(listener);
}

async function ask(path) {
  const question = questions.get(path);
  if (question.asking) return;
  question.asking = true;
  const tell = (...told) => question.listeners.forEach((listener) => listener(...told));
  try {
    for (let wait = FIRST_WAIT_MS; question.listeners.size; wait = Math.min(wait * 1.5, LONGEST_WAIT_MS)) {
      const answer = await get(path);
      tell(answer);
      if (answer.state !== "running") break;
      await new Promise((resolve) => setTimeout(resolve, wait));
    }
  } catch (error) {
    tell(null, error);
  } finally {
    question.asking = false;
  }
}

/**
 * Show on a page what was found, or else how far it is, with Cancel and Start again.
 *
 * @param {import("./sheet.js").Sheet} sheet
 * @param {object} options
 * @param {HTMLElement} options.place Filled with progress or a sentence; empty and hidden once what
 *   was found is on the page.
 * @param {(answer: Answer) => any} options.onAnswer Called when the state or the plan changes,
 *   not at every step of progress; `answer.result` is null unless ready.
 * @param {string} [options.path] "/simulation" or "/causes".
 * @param {string} [options.what] What is worked out, as it stands in a sentence.
 * @returns {Promise<void>} Once the first answer is on the page.
 */
export function showSimulation(sheet, { place, onAnswer, path = "/simulation", what = t`how sure the dates are` }) {
  const address = sheet.path(path);
  let shown = "";
  const show = async (answer, now) => {
    await onAnswer(answer);
    if (answer.state !== "ready" || now !== shown) return;
    fill(place);
    place.hidden = true;
  };
  return new Promise((resolve) => {
    follow(address, (answer, error) => {
      if (!answer) {
        showProblem(place, error, address);
        resolve();
        return;
      }
      if (answer.state !== "ready") showState(place, answer, { address, what });
      const now = `${answer.state} ${answer.plan_version}`;
      if (now === shown) return;
      shown = now;
      resolve(show(answer, now));
    });
  });
}

function showState(place, { state, progress, reason }, { address, what }) {
  place.hidden = false;
  if (state === "running") showProgress(place, progress, { address, what });
  if (state === "cancelled") fill(place, line(t`It was not worked out ${what}: that was cancelled.`, startAgain(address)));
  if (state === "failed") fill(place, line(t`It could not be worked out ${what}. ${reason}`, startAgain(address)));
}

/** The bar stays in place between two answers, so that the Cancel button keeps the focus. */
function showProgress(place, progress, { address, what }) {
  let bar = place.querySelector("progress");
  if (!bar) {
    bar = el("progress", { max: 1, "aria-label": t`Working out ${what}` });
    const cancel = el("button.button", { type: "button", onclick: () => send(() => remove(address), address) }, t`Cancel`);
    fill(place, line(t`Working out ${what}: ${el("span.share", {})} done.`, bar, cancel));
  }
  bar.value = progress;
  fill(place.querySelector(".share"), formatShare(progress));
}

function startAgain(address) {
  return el("button.button", { type: "button", onclick: () => send(() => post(address), address) }, t`Start again`);
}

async function send(work, address) {
  try {
    await work();
    ask(address);
  } catch (error) {
    sayProblem(error);
  }
}

function showProblem(place, error, address) {
  if (!(error instanceof ApiError)) throw error;
  const again = el("button.button", { type: "button", onclick: () => ask(address) }, t`Try again`);
  place.hidden = false;
  fill(place, line(error.message, again));
}

function line(text, ...tools) {
  return el("div.spread-state.no-print", {}, el("p", {}, text), tools);
}
