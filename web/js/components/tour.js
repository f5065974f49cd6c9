/**
 * The round that somebody is shown on their first sheet: a numbered balloon and a note at each stop.
 * It lies over nothing that asks for an answer, and goes with Escape or Skip.
 */

import { byId, el, fill } from "../lib/dom.js";
import { ASKED } from "../lib/shown-round.js";
import { t } from "../lib/text.js";
import { STOPS } from "./tour-stops.js";

const GAP = 12; // Between what is shown, the note and the edge of the window. [px]

let end = () => {};

/** Show the stops of a sheet, from the first. @param {string} sheet */
export function startTour(sheet) {
  end();
  const stops = (STOPS[sheet] ?? []).filter(({ at }) => isInSight(document.querySelector(at)));
  if (!stops.length) return;
  const opener = document.activeElement;
  const parts = drawnNote();
  let place = 0;
  const go = (to) => {
    place = to;
    showStop(parts, stops, place);
  };
  const onKey = (event) => {
    if (event.key !== "Escape" || event.defaultPrevented) return;
    event.preventDefault();
    end();
  };
  const move = () => putBeside(parts.note, document.querySelector(stops[place].at));
  parts.back.addEventListener("click", () => go(place - 1));
  parts.next.addEventListener("click", () => (place + 1 < stops.length ? go(place + 1) : end()));
  parts.skip.addEventListener("click", () => end());
  document.addEventListener("keydown", onKey);
  for (const what of ["scroll", "resize"]) addEventListener(what, move, { passive: true });
  end = () => {
    document.removeEventListener("keydown", onKey);
    for (const what of ["scroll", "resize"]) removeEventListener(what, move);
    unmark();
    parts.note.remove();
    if (location.hash === ASKED) history.replaceState(null, "", location.pathname + location.search);
    goBack(opener);
    end = () => {};
  };
  document.body.append(parts.note);
  go(0);
}

function isInSight(node) {
  return Boolean(node?.getClientRects().length);
}

function drawnNote() {
  const balloon = el("span.balloon", { "aria-hidden": "true" });
  const title = el("h2", { id: "tour-title", tabindex: "-1" });
  const text = el("p", { id: "tour-text" });
  const back = el("button.button", { type: "button" }, t`Back`);
  const next = el("button.button.strong", { type: "button" });
  const skip = el("button.button.plain", { type: "button" }, t`Skip`);
  const note = el(
    "div.tour.no-print",
    { role: "dialog", "aria-labelledby": "tour-title", "aria-describedby": "tour-text" },
    el("div.tour-head", {}, balloon, title),
    text,
    el("div.button-row", {}, next, back, skip),
  );
  return { note, balloon, title, text, back, next, skip };
}

function showStop({ note, balloon, title, text, back, next, skip }, stops, place) {
  const { at, title: name, text: words } = stops[place];
  const isLast = place === stops.length - 1;
  const shown = document.querySelector(at);
  fill(balloon, place + 1);
  fill(title, name, el("span.unseen", {}, ", ", t`${place + 1} of ${stops.length}`));
  fill(text, words);
  fill(next, isLast ? t`That is all` : t`Next`);
  back.hidden = place === 0;
  skip.hidden = isLast;
  unmark();
  shown.classList.add("shown-now");
  shown.scrollIntoView({ block: "start" });
  putBeside(note, shown);
  title.focus({ preventScroll: true });
}

function unmark() {
  for (const node of document.querySelectorAll(".shown-now")) node.classList.remove("shown-now");
}

/** Beside what is shown where there is room, else under it, above it, or over its lower end. */
function putBeside(note, shown) {
  const at = shown.getBoundingClientRect();
  const { offsetWidth: width, offsetHeight: height } = note;
  const floor = byId("title-block").getBoundingClientRect().top - GAP;
  const under = at.bottom + GAP;
  const above = at.top - GAP - height;
  const lowest = Math.max(GAP, Math.min(floor, innerHeight - GAP) - height);
  const isRoomBeside = at.right + GAP + width <= innerWidth - GAP;
  const free = under + height <= floor ? under : above >= GAP ? above : lowest;
  const top = isRoomBeside ? Math.min(at.top, lowest) : free;
  const left = isRoomBeside ? at.right + GAP : Math.min(at.left + GAP, innerWidth - GAP - width);
  note.style.top = `${Math.max(GAP, top)}px`;
  note.style.left = `${Math.max(GAP, left)}px`;
}

function goBack(opener) {
  const isThere = opener instanceof HTMLElement && opener.isConnected && opener !== document.body;
  (isThere ? opener : byId("main")).focus({ preventScroll: true });
}
