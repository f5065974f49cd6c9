/**
 * One notice at a time, at the lower edge of the sheet, read out politely.
 *
 * It stays until it is put away or replaced: nobody has to race a clock to reach Undo.
 */

import { ApiError } from "./api.js";
import { datedText, el, fill } from "./dom.js";
import { goToSignIn } from "./entry.js";
import { t } from "./text.js";

/**
 * Tell the user what happened.
 *
 * @param {string} text One or two sentences.
 * @param {object} [options]
 * @param {() => Promise<void>} [options.undo] Offered as a button; the notice goes when pressed.
 * @param {"plain" | "problem"} [options.tone]
 */
export function say(text, { undo, tone = "plain" } = {}) {
  const place = region();
  fill(place.querySelector(".notice-text"), datedText(text));
  place.dataset.tone = tone;
  const undoButton = undo && el("button.button", { type: "button" }, t`Undo`);
  undoButton?.addEventListener("click", () => runUndo(undo, undoButton));
  const close = el("button.button.plain.notice-close", { type: "button", onclick: hush, "aria-label": t`Close` }, "×");
  fill(place.querySelector(".notice-actions"), undoButton, close);
  place.classList.add("shown");
}

/**
 * Add to the notice that is shown what may come next; the notice goes when it is pressed.
 * @param {string} text @param {() => void} act
 */
export function offer(text, act) {
  const button = el("button.button", { type: "button" }, text);
  button.addEventListener("click", () => {
    hush();
    act();
  });
  region().querySelector(".notice-actions").prepend(button);
}

/** Tell the user why something did not work. @param {unknown} error */
export function sayProblem(error) {
  const text = error instanceof ApiError ? error.message : t`Something went wrong here: ${error}`;
  say(text, { tone: "problem" });
  if (error instanceof ApiError && error.isSignedOut) offer(t`Sign in`, goToSignIn);
  if (!(error instanceof ApiError)) console.error(error);
}

/** Put the notice away. */
function hush() {
  region().classList.remove("shown");
}

async function runUndo(undo, button) {
  button.disabled = true;
  try {
    await undo();
  } catch (error) {
    sayProblem(error);
  }
}

function region() {
  const known = document.getElementById("notice");
  if (known) return known;
  const made = el(
    "section.notice",
    { id: "notice", "aria-label": t`Notice` },
    el("p.notice-text", { role: "status", "aria-live": "polite" }),
    el("div.notice-actions"),
  );
  const block = document.getElementById("title-block");
  if (block) block.before(made);
  else document.body.append(made);
  return made;
}
