/** What is open in other currencies, and what it costs if they rise. */

import { compare, sum } from "../lib/amounts.js";
import { el, fill } from "../lib/dom.js";
import { formatExact, formatMoney } from "../lib/format.js";
import { table } from "../lib/table.js";
import { t } from "../lib/text.js";

const currencyNames = new Intl.DisplayNames(document.documentElement.lang, { type: "currency", fallback: "none" });

/** @param {HTMLElement} place @param {any} money As the service answers it. */
export function showCurrencies(place, { currencies, currency }) {
  const foreign = currencies.filter((one) => one.currency !== currency);
  if (!foreign.length) {
    fill(place, el("p", {}, t`Everything that is still to pay is in ${currency}: no exchange rate can change it.`));
    return;
  }
  const known = foreign.filter(({ five_percent: five }) => five !== null);
  const all = sum(["0", ...known.map(({ five_percent: five }) => five)]);
  fill(
    place,
    known.length && compare(all) !== 0 ? el("p.lead", {}, t`If every other currency rose by 5\u00a0%, it would cost ${formatMoney(all, currency)} more.`) : null,
    table({
      caption: t`Still to pay, by currency`,
      rows: foreign,
      columns: [
        { label: t`Currency`, cell: (one) => el("span", { translate: "no" }, currencyName(one.currency)), heading: true, sort: (one) => one.currency },
        { label: t`Still to pay`, cell: (one) => formatExact(one.open, one.currency), sort: (one) => Number(one.open), numeric: true },
        { label: t`Worth in ${currency}`, cell: (one) => (one.worth === null ? t`no rate is entered` : formatExact(one.worth, currency)), sort: (one) => (one.worth === null ? null : Number(one.worth)), numeric: true },
        { label: t`If it rises by 5\u00a0%`, cell: (one) => (one.five_percent === null ? "" : `+${formatExact(one.five_percent, currency)}`), sort: (one) => Number(one.five_percent ?? 0), numeric: true },
      ],
    }),
  );
}

/** "GBP, British Pound" in the reader's language. @param {string} code */
export function currencyName(code) {
  const name = currencyNames.of(code);
  return name ? `${code}, ${name}` : code;
}

/** What is at stake in other currencies. @param {any} money */
export function currencyLine({ currencies, currency }) {
  const foreign = currencies.filter((one) => one.currency !== currency);
  if (!foreign.length) return t`All that is to pay is in ${currency}.`;
  const all = sum(["0", ...foreign.map((one) => one.five_percent ?? "0")]);
  return t`${foreign.map((one) => one.currency).join(", ")}; 5\u00a0% dearer: ${formatMoney(all, currency)} more.`;
}
