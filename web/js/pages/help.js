/** Help: how each sheet is used, the way to be shown round, all words. */

import { byId, el, fill } from "../lib/dom.js";
import { areNewShown, roundAddress, showNew } from "../lib/shown-round.js";
import { runWithoutProject } from "../lib/sheet.js";
import { allWords } from "../lib/term.js";
import { t, told } from "../lib/text.js";

const ROUNDS = { lead: t`Show me round Today`, owner: t`Show me round Forecast`, planner: t`Show me round What-if` };

runWithoutProject(async () => {
  for (const way of document.querySelectorAll("a[data-to]")) way.setAttribute("href", link(way.dataset.to));
  const rounds = Object.entries(ROUNDS).map(([role, text]) => el("a.button", { href: roundAddress(role, link) }, text));
  fill(byId("rounds"), rounds);
  const isShown = /** @type {HTMLInputElement} */ (byId("new-shown"));
  isShown.checked = areNewShown();
  isShown.addEventListener("change", () => showNew(isShown.checked));
  fill(byId("words"), Object.values(await allWords()).map(({ word, meaning }) => [el("dt", {}, told(word)), el("dd", {}, told(meaning))]));
  requestAnimationFrame(showAsked);
});

/** A sheet of the project from whose sheet somebody came. */
function link(sheet) {
  const project = new URLSearchParams(location.search).get("project");
  return `/${sheet}${project ? `?${new URLSearchParams({ project })}` : ""}`;
}

/** The browser looks for what the address names before it is shown. */
function showAsked() {
  const asked = document.getElementById(location.hash.slice(1));
  if (asked && byId("main").contains(asked)) asked.scrollIntoView();
}
