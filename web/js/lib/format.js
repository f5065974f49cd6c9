/**
 * Dates, days, shares and money in the user's own way of writing; the names of months and
 * weekdays are in the language of the page, which a screen reader speaks.
 *
 * A date of the plan is a plain date without a time zone: it is read and written in UTC, so
 * that no reader's clock can shift it.
 */

import { compare, digitsOf } from "./amounts.js";
import { many, t } from "./text.js";

const STYLES = {
  long: { weekday: "short", day: "numeric", month: "short", year: "numeric" },
  day: { day: "numeric", month: "short", year: "numeric" },
  short: { day: "numeric", month: "short" },
  month: { month: "short", year: "numeric" },
  monthAlone: { month: "short" },
  wholeMonth: { month: "long", year: "numeric" },
  weekday: { weekday: "short", day: "numeric", month: "short" },
};

const wordLocale = localeOfWords();
const dateFormats = new Map();
const numbers = new Intl.NumberFormat(undefined, { maximumFractionDigits: 1 });
const wholes = new Intl.NumberFormat(undefined, { maximumFractionDigits: 0 });
const shorts = new Intl.NumberFormat(wordLocale, { notation: "compact", maximumFractionDigits: 1 });
const regions = new Intl.DisplayNames(document.documentElement.lang || "en", { type: "region", fallback: "code" });
const lists = new Intl.ListFormat(wordLocale, { type: "conjunction" });
const instants = new Intl.DateTimeFormat(wordLocale, { dateStyle: "medium", timeStyle: "short" });

/** Between whole and part, and between thousands. */
export const separators = Object.fromEntries(numbers.formatToParts(1234567.5).map(({ type, value }) => [type, value]));

/** @param {string} iso A plain date, "2027-09-03". @param {keyof STYLES} [style] */
export function formatDate(iso, style = "day") {
  if (!dateFormats.has(style)) {
    const options = { ...STYLES[style], timeZone: "UTC" };
    dateFormats.set(style, new Intl.DateTimeFormat(wordLocale, options));
  }
  return unbroken(dateFormats.get(style).format(asUtc(iso)));
}

/** An instant ("2026-10-09T08:12:00Z") in the reader's own time zone. @param {string} iso */
export function formatInstant(iso) {
  return instants.format(new Date(iso));
}

/** "3 days", "1 day", "0.5 days". @param {number} count */
export function formatDays(count) {
  return unbroken(many(count, "{n} day", "{n} days"));
}

/** "3 days later", "1 day sooner". @param {number} days Below 0 it is sooner. */
export function formatMoved(days) {
  return days < 0 ? t`${formatDays(-days)} sooner` : t`${formatDays(days)} later`;
}

/** Time to spare, never more than there is: "0.4 days", "52 days". @param {number} days */
export function formatSpare(days) {
  const grain = Math.abs(days) >= 10 ? 1 : 10;
  return formatDays(Math.floor(days * grain) / grain || days);
}

/** @param {number} value */
export function formatNumber(value) {
  return numbers.format(value);
}

/** "A and B", "A, B and C". @param {string[]} texts */
export function formatList(texts) {
  return lists.format(texts);
}

/** @param {number} share 0 to 1. Rounded so that only a finished thing reads 100 %. */
export function formatShare(share) {
  const shown = share >= 1 ? 1 : Math.min(share, 0.99);
  return unbroken(`${wholes.format(shown * 100)} %`);
}

/** To whole units, for a sentence. @param {string | number} amount Decimal string. @param {string} currency ISO 4217 code. */
export function formatMoney(amount, currency) {
  return written(moneyFormat(currency, 0, 0), amount);
}

/** What is only likely is not told to the last coin. @param {string | number} amount @returns {string} */
export function roughly(amount) {
  const value = Number(amount);
  return Math.abs(value) >= 10_000 ? `${Math.round(value / 100)}00` : String(amount);
}

/** The same, written out. @param {string | number} amount @param {string} currency */
export function formatRoughly(amount, currency) {
  return formatMoney(roughly(amount), currency);
}

/** To the last minor unit: 2 of EUR, none of JPY, 3 of KWD. @param {string | number} amount @param {string} currency */
export function formatExact(amount, currency) {
  const least = minorDigits(currency);
  return written(moneyFormat(currency, least, Math.max(least, digitsOf(amount))), amount);
}

/** The same without the currency, where a heading names it. @param {string | number} amount @param {string} currency */
export function formatAmount(amount, currency) {
  const least = minorDigits(currency);
  const format = new Intl.NumberFormat(undefined, { minimumFractionDigits: least, maximumFractionDigits: Math.max(least, digitsOf(amount)) });
  return written(format, amount);
}

/** The same with its sign: how much over or left, dearer or cheaper. @param {string | number} amount @param {string} currency */
export function formatSigned(amount, currency) {
  return `${compare(amount) > 0 ? "+" : ""}${formatAmount(amount, currency)}`;
}

/** Below zero with a minus, after which no line breaks as it does after a hyphen. */
function written(format, amount) {
  return format.format(/** @type {any} */ (amount)).replace("-", "−");
}

/** A round amount on a scale: "50K", with the letter of the page's language. @param {number} amount */
export function formatShort(amount) {
  const parts = shorts.formatToParts(amount);
  return parts.map(({ type, value }) => (type === "decimal" ? separators.decimal : value)).join("");
}

function moneyFormat(currency, least, most) {
  return new Intl.NumberFormat(undefined, {
    style: "currency",
    currency,
    currencyDisplay: "code",
    minimumFractionDigits: least,
    maximumFractionDigits: most,
  });
}

function minorDigits(currency) {
  return new Intl.NumberFormat("en", { style: "currency", currency }).resolvedOptions().maximumFractionDigits;
}

/** Whole days from one plain date to another. @param {string} from @param {string} to */
export function daysBetween(from, to) {
  return Math.round((asUtc(to).getTime() - asUtc(from).getTime()) / 86_400_000);
}

/** A plain date some days later. @param {string} iso @param {number} days */
export function addDays(iso, days) {
  return new Date(asUtc(iso).getTime() + days * 86_400_000).toISOString().slice(0, 10);
}

/** The country that the browser's language is of, in two letters; undefined where it names none. */
export function regionHere() {
  return new Intl.Locale(navigator.language).region;
}

/** What a country is called in the language of the page. @param {string} code Two letters. @returns {string} */
export function regionName(code) {
  return regions.of(code) ?? code;
}

/** Monday to Sunday. @returns {string[]} */
export function weekdayNames() {
  const format = new Intl.DateTimeFormat(wordLocale, { weekday: "short", timeZone: "UTC" });
  return Array.from({ length: 7 }, (_, index) => format.format(Date.UTC(2024, 0, 1 + index)));
}

/** The plain date on the reader's own wall calendar. */
export function todayHere() {
  const now = new Date();
  const pad = (number) => String(number).padStart(2, "0");
  return `${now.getFullYear()}-${pad(now.getMonth() + 1)}-${pad(now.getDate())}`;
}

/**
 * What a change did to the finish as written, in a sentence. How sure the new one is comes later.
 * @param {{before: string, after: string, moved_days: number}} finish
 */
export function finishSentence({ before, after, moved_days: moved }) {
  if (!moved) return t`The finish as written does not move.`;
  const from = formatDate(before, before.slice(0, 4) === after.slice(0, 4) ? "short" : "day");
  const [to, by] = [formatDate(after), formatDays(Math.abs(moved))];
  return moved > 0 ? t`The finish as written moves from ${from} to ${to}, ${by} later.` : t`The finish as written moves from ${from} to ${to}, ${by} sooner.`;
}

/** A text as a sentence: with a full stop, unless it was cut short. @param {string} text */
export function asSentence(text) {
  return text.endsWith("…") ? text : `${text}.`;
}

/** How late or early against the target. @param {number} lateDays */
export function againstTarget(lateDays) {
  if (lateDays === 0) return t`on the target`;
  const days = formatDays(Math.abs(lateDays));
  return lateDays > 0 ? t`${days} after the target` : t`${days} before the target`;
}

/** The reader's own where that is the page's language; else that language, with the reader's digits and clock. */
function localeOfWords() {
  const { locale, numberingSystem, hourCycle } = new Intl.DateTimeFormat(undefined, { hour: "numeric" }).resolvedOptions();
  const words = document.documentElement.lang || "en";
  const isSame = new Intl.Locale(locale).language === new Intl.Locale(words).language;
  return isSame ? undefined : `${words}-001-u-hc-${hourCycle}-nu-${numberingSystem}`;
}

/** Keep a figure and its unit, or the parts of a date, on one line. */
export function unbroken(text) {
  return text.replaceAll(" ", "\u00a0");
}

function asUtc(iso) {
  return new Date(`${iso.slice(0, 10)}T00:00:00Z`);
}
