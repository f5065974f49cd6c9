/**
 * Words that the sheets explain: pointed at, reached with the keyboard, tapped or pressed for long,
 * a word shows what the glossary says of it. Its note can be put away (Escape), pointed at itself, and
 * stays as long as it is looked at (WCAG 2.2, 1.4.13).
 *
 * Each word is marked once in a panel, where it first stands: `term("grace")`, or in a page
 * `<button class="term" type="button" data-word="grace">grace</button>`.
 */

import { ApiError, asset } from "./api.js";
import { el, fill } from "./dom.js";
import { told } from "./text.js";

const WORDS = "/words/glossary.json";
const LEAVING_MS = 250;
const LONG_PRESS_MS = 450;
const GAP = 8; // Between a word and its note. [px]
const EDGE = 14; // Between a note and the edge of the window, inside the frame. [px]

/** @type {Promise<Record<string, {word: string, meaning: string}>> | null} */
let glossary = null;
/** The word whose note is in sight. @type {HTMLElement | null} */
let explained = null;
let note = null;
let leaving = 0;
let pressing = 0;

/**
 * A word that says what it means.
 * @param {string} word As the glossary has it, in small letters.
 * @param {any} [shown] What stands on the sheet, where that is another form of it.
 * @returns {HTMLElement}
 */
export function term(word, shown = told(word)) {
  return el("button.term", { type: "button", "data-word": word }, shown);
}

/** All words of the glossary. @returns {Promise<Record<string, {word: string, meaning: string}>>} */
export function allWords() {
  glossary ??= asset(WORDS).catch((error) => {
    glossary = null; // Asked again the next time.
    throw error;
  });
  return glossary;
}

/** Explain the words of this page, whenever they are drawn. */
export function explainTerms() {
  document.addEventListener("pointerover", pointedAt);
  document.addEventListener("pointerout", pointedAway);
  document.addEventListener("focusin", focused);
  document.addEventListener("pointerdown", pressed);
  for (const end of ["pointerup", "pointercancel", "scroll"]) document.addEventListener(end, () => clearTimeout(pressing), true);
  document.addEventListener("click", ({ target }) => wordAt(target) && show(wordAt(target)));
  document.addEventListener("keydown", escaped, true);
  document.addEventListener("scroll", follow, { capture: true, passive: true });
}

function wordAt(target) {
  return target instanceof Element ? target.closest(".term") : null;
}

function focused({ target }) {
  if (wordAt(target)?.matches(":focus-visible")) show(target);
  else hideUnless(target);
}

function pointedAt({ target, pointerType }) {
  if (pointerType === "touch") return;
  if (wordAt(target)) show(wordAt(target));
  else if (note?.contains(target)) clearTimeout(leaving);
}

/** The note stays for a moment, so that the pointer can go over to it. */
function pointedAway({ target, pointerType }) {
  if (pointerType === "touch" || !explained || !(explained.contains(target) || note.contains(target))) return;
  clearTimeout(leaving);
  leaving = setTimeout(() => document.activeElement !== explained && hide(), LEAVING_MS);
}

function pressed({ target, pointerType }) {
  hideUnless(target);
  const word = wordAt(target);
  clearTimeout(pressing);
  if (word && pointerType === "touch") pressing = setTimeout(() => show(word), LONG_PRESS_MS);
}

function escaped(event) {
  if (event.key !== "Escape" || !explained) return;
  event.preventDefault(); // What the word stands in stays open.
  event.stopPropagation();
  hide();
}

function hideUnless(target) {
  if (explained && target !== explained && !note?.contains(target)) hide();
}

async function show(word) {
  clearTimeout(leaving);
  if (word === explained) return;
  hide();
  explained = word;
  const text = await meaningOf(word.dataset.word);
  if (explained !== word || !word.isConnected) return;
  fill(drawnNote(word), el("b", {}, told(text.word)), " ", told(text.meaning));
  word.setAttribute("aria-describedby", note.id);
  follow();
}

async function meaningOf(word) {
  try {
    const found = (await allWords())[word];
    if (!found) throw new Error(`The glossary has no word "${word}".`);
    return found;
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    return { word: "", meaning: error.message };
  }
}

/** The note, laid over what the word stands in: an open dialog is above everything else. */
function drawnNote(word) {
  note = el("p.meaning", { id: "meaning", role: "tooltip" });
  (word.closest("dialog") ?? document.body).append(note);
  return note;
}

function hide() {
  clearTimeout(leaving);
  explained?.removeAttribute("aria-describedby");
  explained = null;
  note?.remove();
  note = null;
}

/** Below its word or, where there is no room, above; within the window. */
function follow() {
  if (!explained || !note) return;
  if (!explained.isConnected) {
    hide();
    return;
  }
  const word = explained.getBoundingClientRect();
  const { offsetWidth: width, offsetHeight: height } = note;
  const isRoomBelow = word.bottom + GAP + height < innerHeight - EDGE;
  const left = Math.max(EDGE, Math.min(word.left, innerWidth - width - EDGE));
  note.style.left = `${left}px`;
  note.style.top = `${isRoomBelow ? word.bottom + GAP : Math.max(EDGE, word.top - GAP - height)}px`;
}
