/** Copying words out of a page: a browser may refuse it, and then says so. */

import { say } from "./notice.js";

/**
 * Copy a text and tell the user; where the browser refuses, tell what to do instead.
 *
 * @param {string} text
 * @param {object} told
 * @param {string} told.done
 * @param {string} told.otherwise
 * @param {() => void} [told.mark] Marks the text where it stands, so that it can be copied by hand.
 */
export async function copyText(text, { done, otherwise, mark = () => {} }) {
  try {
    await navigator.clipboard.writeText(text);
    say(done);
  } catch {
    mark();
    say(otherwise);
  }
}
