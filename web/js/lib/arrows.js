/** Words on what leads back or onward, with an arrow that turns where lines run from right to left. */

import { el } from "./dom.js";

/** @param {string | Node} [text] Without it the arrow stands alone. */
export function backward(text) {
  return text ? [arrow("←"), " ", text] : arrow("←");
}

/** @param {string | Node} [text] Without it the arrow stands alone. */
export function onward(text) {
  return text ? [text, " ", arrow("→")] : arrow("→");
}

/** How far a key for left or right goes: 1 is onward, 0 is another key. @param {string} key */
export function stepOf(key) {
  const step = { ArrowLeft: -1, ArrowRight: 1 }[key] ?? 0;
  return document.documentElement.matches(":dir(rtl)") ? -step : step;
}

function arrow(sign) {
  return el("span.arrow", {}, sign);
}
