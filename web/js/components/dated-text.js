/** Sentences of the service carry plain dates; they are shown as the reader writes dates. */

import { when } from "../lib/dom.js";

const DATE = /(\d{4}-\d\d-\d\d)/;

/**
 * A sentence with its dates as `<time>`.
 * @param {string} sentence
 * @returns {(string | HTMLElement)[]}
 */
export function datedText(sentence) {
  return sentence.split(DATE).map((part) => (DATE.test(part) ? when(part) : part));
}
