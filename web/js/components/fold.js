/**
 * Sections of a sheet that stand folded under their name, each with one line of what is in it.
 *
 * A link to a section unfolds it; on paper all stand unfolded.
 */

import { byId, fill, unfold } from "../lib/dom.js";

/** Unfold what the address names, now and whenever it changes, and everything for paper. */
export function foldSections() {
  addEventListener("hashchange", unfoldNamed);
  unfoldOnPaper("details.fold");
  // The same link again: the address does not change.
  document.addEventListener("click", ({ target }) => {
    const link = target instanceof Element && target.closest('a[href^="#"]');
    if (link && link.hash === location.hash) unfoldNamed();
  });
}

/** On paper what is folded stands unfolded; afterwards it is as it was. @param {string} which Selector. */
export function unfoldOnPaper(which) {
  let folded = [];
  addEventListener("beforeprint", () => {
    folded = [...document.querySelectorAll(`${which}:not([open])`)];
    for (const one of folded) unfold(one);
  });
  addEventListener("afterprint", () => {
    for (const one of folded) one.open = false;
  });
}

/** Show the section that the address names, unfolded. */
export function unfoldNamed() {
  const named = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!named) return;
  for (let fold = named.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  named.scrollIntoView();
}

/** Tell in one line what a section holds. @param {string} id Of the section. @param {...any} line */
export function tellFold(id, ...line) {
  fill(byId(id).querySelector(".fold-line"), ...line);
}
