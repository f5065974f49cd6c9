/**
 * The words of the pages in the reader's language.
 *
 * Every text of a page passes here: t`Hours`, or t`${days} left, done by ${date}`. English stands in
 * the modules themselves; another language is one file, words/<language>.json, with the same texts,
 * in which {0} and {1} stand for what is put in (docs/reference/languages.md). What people typed
 * (names, notes) never passes here. The service speaks English: `told` finds its sentences in the
 * same file.
 */

import { LANGUAGES } from "../languages.js";
import { Phrases } from "./phrases.js";

const SOURCE = "en";
const SLOT = /\{(\w+)\}/;

/** @typedef {{direction: "ltr"|"rtl", texts: Record<string, string | Record<string, string>>}} Words */

/** Of what the reader asks for, the first that there is. */
const wanted = navigator.languages.map((one) => new Intl.Locale(one).language).find((one) => one === SOURCE || LANGUAGES.includes(one));
/** @type {Words | null} */
const words = wanted && wanted !== SOURCE ? await read(wanted) : null;
const language = words ? wanted : SOURCE;
const plurals = new Intl.PluralRules(language);
const counts = new Intl.NumberFormat(undefined, { maximumFractionDigits: 1 });
const phrases = words && new Phrases(words.texts);

if (words) Object.assign(document.documentElement, { lang: language, dir: words.direction });

/**
 * A text of the page.
 * @param {TemplateStringsArray} parts @param {...any} slots Texts, numbers or nodes.
 * @returns {any} A string; with a node among the slots what `el` takes, an array.
 */
export function t(parts, ...slots) {
  if (!words) return joined(parts.flatMap((part, place) => (place ? [slots[place - 1], part] : [part])));
  return put(translated(parts.reduce((key, part, place) => `${key}{${place - 1}}${part}`)), slots);
}

/**
 * A text that depends on a number, which is {n} in it: many(2, "{n} day", "{n} days").
 * @param {number} count @param {string} one @param {string} other @param {...any} slots {0}, {1} and so on.
 * @returns {any} As `t`.
 */
export function many(count, one, other, ...slots) {
  const forms = words?.texts[`${one} | ${other}`] ?? { one, other };
  return put(forms[plurals.select(Math.abs(count))] ?? forms.other, { ...slots, n: counts.format(count) });
}

/** A sentence of the service, in the reader's language where that has it. @param {string} sentence */
export function told(sentence) {
  return phrases ? phrases.find(sentence) : sentence;
}

/** Things of the service with some of their parts told. @param {any[]} things @param {...string} parts */
export function toldIn(things, ...parts) {
  return things.map((one) => ({ ...one, ...Object.fromEntries(parts.map((part) => [part, told(one[part])])) }));
}

/** The texts of the page as it was served. What is drawn later comes translated. */
export function translatePage() {
  if (!words) return;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) translateText(walker.currentNode);
  for (const name of ["aria-label", "placeholder", "title"]) {
    for (const node of document.querySelectorAll(`[${name}]`)) node.setAttribute(name, translated(node.getAttribute(name)));
  }
  document.title = document.title.split(" · ").map(translated).join(" · ");
}

function translateText(node) {
  const [, before, text, after] = /^(\s*)(.*?)(\s*)$/s.exec(node.data);
  if (text) node.data = before + translated(text.replace(/\s+/g, " ")) + after;
}

function translated(key) {
  return words.texts[key] ?? key;
}

/** Put the slots into a text, in whatever order it names them. */
function put(text, slots) {
  return joined(text.split(SLOT).map((part, place) => (place % 2 ? slots[part] : part)));
}

function joined(parts) {
  const isPlain = parts.every((part) => typeof part === "string" || typeof part === "number");
  return isPlain ? parts.join("") : parts;
}

async function read(name) {
  try {
    const { default: found } = await import(`../../words/${name}.json`, { with: { type: "json" } });
    return found;
  } catch (error) {
    console.warn(`The words of the language ${name} could not be read; the sheets stay in English: ${error}`);
    return null;
  }
}
