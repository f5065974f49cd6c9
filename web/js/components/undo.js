/** Telling what an edit did, and taking it back. */

import { ApiError, post } from "../lib/api.js";
import { whatChanged } from "../lib/changes.js";
import { asSentence, finishSentence } from "../lib/format.js";
import { say } from "../lib/notice.js";
import { isSignInNeeded } from "../lib/queue.js";
import { t } from "../lib/text.js";

/**
 * @typedef {object} Thing What can be taken back.
 * @property {string} kind As in the change log: "calendar".
 * @property {string} key Of the thing; empty for the project.
 * @property {string} name How it is called in notices.
 * @property {number} version That is taken back; anything newer stays.
 */

/**
 * Tell what an edit did and offer to take it back, or that it did nothing.
 *
 * @param {string} text
 * @param {{change: number | null}} done What the service answered.
 * @param {() => Promise<void>} undo
 */
export function tellDone(text, { change }, undo) {
  if (change === null) say(t`Nothing changed.`);
  else say(text, { undo });
}

/** Tell that something was recorded and waits. @param {string} what */
export function tellKept(what) {
  const why = isSignInNeeded() ? t`You are signed out: it is kept here and sent once you have signed in.` : t`There is no network: it is kept here and sent as soon as there is.`;
  say(`${asSentence(what)} ${why}`);
}

/**
 * Take back the last change of a thing and tell what became of the finish. What somebody else
 * has entered since is left alone, and told.
 *
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {Thing} thing
 * @param {() => Promise<void>} afterwards Draw the page again.
 */
export async function takeBack(sheet, { kind, key, name, version }, afterwards) {
  try {
    const { finish } = await post(sheet.path("/undo"), { kind, key }, { version });
    await afterwards();
    say(`${asSentence(t`Put back: ${name}`)} ${finishSentence(finish)}`);
  } catch (error) {
    if (!(error instanceof ApiError && error.isStale)) throw error;
    await afterwards();
    say(t`Not taken back. ${whatChanged(error)}`, { tone: "problem" });
  }
}
