/** Elements from data: text is always set as text, never parsed as markup. */

import { formatDate, formatExact, formatInstant, formatMoney } from "./format.js";
import { t, told } from "./text.js";

const SVG = "http://www.w3.org/2000/svg";

/**
 * Make an element.
 *
 * @param {string} tag "button", or with classes: "button.plain.wide"
 * @param {Record<string, any>} [attributes] `onclick` and the like add listeners; `true` sets an
 *   empty attribute; undefined, null and false leave it out.
 * @param {...any} children Nodes, strings, numbers, or nested arrays; null and false are left out.
 * @returns {HTMLElement}
 */
export function el(tag, attributes = {}, ...children) {
  const [name, ...classes] = tag.split(".");
  const node = document.createElement(name);
  if (classes.length) node.className = classes.join(" ");
  return dressed(node, attributes, children);
}

/** Make an SVG element. @returns {SVGElement} */
export function svg(tag, attributes = {}, ...children) {
  return dressed(document.createElementNS(SVG, tag), attributes, children);
}

/** Put new children in place of the old ones. @param {Element} node @param {...any} children */
export function fill(node, ...children) {
  node.replaceChildren(...present(children));
  return node;
}

/** Open a fold at once: what it draws when it unfolds is there afterwards. @param {HTMLDetailsElement} fold */
export function unfold(fold) {
  fold.open = true;
  fold.dispatchEvent(new Event("toggle"));
}

/** A date as a `<time>`. @param {string | null | undefined} iso @param {"long"|"day"|"short"|"weekday"|"month"|"wholeMonth"} [style] */
export function when(iso, style = "day") {
  if (!iso) return el("span", {}, t`no date`);
  return el("time", { datetime: iso }, formatDate(iso, style));
}

/** An instant as a `<time>`, as it is on the reader's own clock. @param {string} iso */
export function instant(iso) {
  return el("time", { datetime: iso }, formatInstant(iso));
}

const english = new Intl.DateTimeFormat("en", { month: "long", timeZone: "UTC" });
/** As the service says them. */
export const ENGLISH_MONTHS = Array.from({ length: 12 }, (_, month) => english.format(Date.UTC(2000, month)));
/** A plain date, a month, or an amount with its currency: "2026-10-21", "March 2027", "17740.01 EUR". */
const PLAIN = new RegExp(`(\\b\\d{4}-\\d\\d-\\d\\d\\b|\\b(?:${ENGLISH_MONTHS.join("|")}) \\d{4}\\b|-?\\b\\d+(?:\\.\\d+)? [A-Z]{3}\\b)`);
const AMOUNT = /^(-?\d+(?:\.\d+)?) ([A-Z]{3})$/;
const currencies = new Set(Intl.supportedValuesOf?.("currency") ?? []);

/**
 * A sentence of the service in the reader's language, with its plain dates and months as `<time>`
 * and its plain amounts, written as the reader writes them.
 * @param {string} sentence
 * @param {(amount: string, currency: string) => string} [amountText] To the last coin, unless told.
 * @returns {(string | HTMLElement)[]}
 */
export function datedText(sentence, amountText = formatExact) {
  return told(sentence).split(PLAIN).map((part, place) => (place % 2 ? written(part, amountText) : part));
}

/** The same where whole units tell enough. @param {string} sentence */
export function roundText(sentence) {
  return datedText(sentence, formatMoney);
}

function written(part, amountText) {
  const [month, year] = part.split(" ");
  if (ENGLISH_MONTHS.includes(month)) return when(`${year}-${String(ENGLISH_MONTHS.indexOf(month) + 1).padStart(2, "0")}-01`, "wholeMonth");
  const [, amount, currency] = AMOUNT.exec(part) ?? [];
  if (!amount) return when(part);
  return currencies.has(currency) ? amountText(amount, currency) : part;
}

/** Take an element of the page that must be there. @param {string} id @returns {HTMLElement} */
export function byId(id) {
  const node = document.getElementById(id);
  if (!node) throw new Error(`This page has no element "${id}".`);
  return node;
}

/** A number that makes an id unique on the page. @param {string} stem */
export function freshId(stem) {
  freshId.last = (freshId.last ?? 0) + 1;
  return `${stem}-${freshId.last}`;
}

function dressed(node, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else if (key === "value" && "value" in node) node.value = value;
    else node.setAttribute(key, value === true ? "" : String(value));
  }
  node.append(...present(children));
  return node;
}

function present(children) {
  return children
    .flat(Infinity)
    .filter((child) => child !== null && child !== undefined && child !== false)
    .map((child) => (child instanceof Node ? child : String(child)));
}
