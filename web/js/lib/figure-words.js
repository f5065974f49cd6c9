/**
 * The words of a figure as its reader has them: texts in the language of the page, dates, amounts
 * and fractions as the reader writes them. The service letters its figures in English.
 */

import { ENGLISH_MONTHS } from "./dom.js";
import { formatDate, formatMoney, formatNumber } from "./format.js";
import { told } from "./text.js";

const WEEKDAYS = "Mon Tue Wed Thu Fri Sat Sun".split(" ");
const MONTHS = ENGLISH_MONTHS.map((month) => month.slice(0, 3));
/** "Fri 9 Oct 2026", "9 Oct 2026", "October 2026". */
const DATE = new RegExp(`\\b((?:${WEEKDAYS.join("|")}) )?(\\d{1,2} )?(${MONTHS.join("|")})[a-z]* (\\d{4})\\b`, "g");
/** "EUR 2,350". */
const AMOUNT = /\b([A-Z]{3}) (-?\d{1,3}(?:,\d{3})*)(?![\d.,]*\d)/g;
/** "2.5 days". */
const FRACTION = /\b\d+\.\d+(?= days?\b)/g;
/** What a figure letters; other strings are codes. */
const TEXTS = new Set(["text", "hovertext", "ticktext"]);

/**
 * @param {{data: any[], layout: any}} figure Stays as it is.
 * @returns {{data: any[], layout: any}}
 */
export function worded({ data, layout }) {
  return { data: data.map((trace) => wordedTrace(trace, layout.showlegend)), layout: within(layout) };
}

/** Of what belongs to its points, what is told on hovering; its name where it stands in a key. */
function wordedTrace({ name, customdata, hovertemplate = "", ...trace }, hasKey) {
  const shown = new Set([...hovertemplate.matchAll(/customdata\[(\d+)\]/g)].map(([, place]) => Number(place)));
  return {
    ...within(trace),
    name: hasKey ? write(name) : name,
    hovertemplate,
    customdata: customdata?.map((row) => row.map((one, place) => (shown.has(place) ? within(one, true) : one))),
  };
}

function within(value, isText = false) {
  if (typeof value === "string") return isText ? write(value) : value;
  if (Array.isArray(value)) return value.map((one) => within(one, isText));
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, within(one, TEXTS.has(key))]));
}

function write(text) {
  return told(text.replace(FRACTION, (number) => formatNumber(Number(number))))
    .replace(DATE, dateOf)
    .replace(AMOUNT, (_, currency, amount) => formatMoney(amount.replaceAll(",", ""), currency));
}

function dateOf(_, weekday, day, month, year) {
  const two = (number) => String(number).padStart(2, "0");
  const iso = `${year}-${two(MONTHS.indexOf(month) + 1)}-${two(parseInt(day ?? "1", 10))}`;
  return formatDate(iso, weekday ? "long" : day ? "day" : "wholeMonth");
}
