/** Method cards: the shop's own copies, with better hours from its own finished work. */

import { cardEntry } from "../components/card-entry.js";
import { hasBetterHours } from "../components/card-history.js";
import { get } from "../lib/api.js";
import { backward } from "../lib/arrows.js";
import { byId, el, fill } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { many, t, told } from "../lib/text.js";

/** Entries by key, with their versions: what is typed into a card that nobody changed stays. */
const drawn = new Map();

runPage(async (sheet) => {
  fill(
    byId("tools"),
    el("a.button", { href: sheet.link("evaluation") }, backward(t`Evaluation`)),
    el("a.button", { href: `${sheet.link("evaluation")}#plan` }, t`What this makes of the plan`),
  );
  sheet.keepUp(() => Promise.all([show(sheet), sheet.refreshTitleBlock()]));
  await show(sheet, decodeURIComponent(location.hash.slice(1)));
});

/** @param {string} [wanted] Key of the card to unfold and to look at. */
async function show(sheet, wanted) {
  const all = await get(sheet.path("/method-cards"));
  const again = async (key) => {
    await Promise.all([show(sheet, key), sheet.refreshTitleBlock()]);
  };
  const entries = (lines) => lines.map((line) => entry(sheet, all, line, again));
  const offered = all.cards.filter(({ card }) => !card.retired);
  const retired = all.cards.filter(({ card }) => card.retired);
  fill(byId("summary"), summary(all, offered));
  fill(byId("standing-line"), told(all.standing_line));
  fill(byId("cards-count"), formatNumber(offered.length));
  fill(byId("cards"), offered.length ? entries(offered) : el("p.empty-state", {}, t`No method card yet. They come with the plan file.`));
  byId("retired-panel").hidden = !retired.length;
  fill(byId("retired-count"), formatNumber(retired.length));
  fill(byId("retired"), entries(retired));
  const node = drawn.get(wanted)?.node;
  if (!node) return;
  node.open = true;
  node.scrollIntoView();
}

function entry(sheet, all, line, again) {
  const known = drawn.get(line.key);
  if (known?.version === line.version) {
    known.update(line);
    return known.node;
  }
  const { node, update } = cardEntry(sheet, all, line, again);
  node.open = Boolean(known?.node.open);
  drawn.set(line.key, { node, update, version: line.version });
  return node;
}

function summary({ from_memory: fromMemory }, offered) {
  const better = offered.filter(hasBetterHours).length;
  return [
    fromMemory ? many(fromMemory, "The hours of {n} card are from memory.", "The hours of {n} cards are from memory.") : t`The hours are the shop’s own.`,
    better ? many(better, "For {n} card the shop’s own work tells better ones.", "For {n} cards the shop’s own work tells better ones.") : "",
  ].filter(Boolean).join(" ");
}
