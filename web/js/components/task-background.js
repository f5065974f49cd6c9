/** What lies behind a task, on its sheet: what it was drafted from, and what it costs. */

import { el } from "../lib/dom.js";
import { formatExact } from "../lib/format.js";
import { t, told } from "../lib/text.js";
import { shortened } from "./finding-words.js";

/** In the words of the Money sheet. */
const SORTS = { paid: t`spent`, worked: t`spent`, invoiced: t`billed, not paid yet`, committed: t`ordered`, expected: t`still expected` };

/** The finding, the card and the step. @param {any} from As the service tells it. */
export function origin(sheet, { finding, seen, card, card_name: cardName, step, step_name: stepName }) {
  const found = finding && el("a", { href: `${sheet.link("evaluation")}#${encodeURIComponent(finding)}` }, `${finding}: ${shortened(seen)}`);
  const by = card && el("a", { href: `${sheet.link("method-cards")}#${encodeURIComponent(card)}` }, cardName || card);
  const last = step && (stepName ? t`step ${step}, ${stepName}` : t`step ${step}`);
  const parts = [found, by, last].filter(Boolean);
  return parts.length ? parts.flatMap((part, place) => (place ? ["; ", part] : [part])) : t`what is no longer in the plan`;
}

/** Its cost lines and its labour. @param {any} answer The task as the service tells it. */
export function costs(sheet, { costs: { lines, total, currency, has_left_out: leftOut } }) {
  const row = (one) =>
    el("tr", {}, el("th", { scope: "row" }, one.line ? one.name : told(one.name)), el("td", {}, SORTS[one.sort]), el("td.number", {}, formatExact(one.amount, one.currency)));
  const table = el(
    "table.task-costs",
    { "aria-label": t`What it costs` },
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, t`What`), el("th", { scope: "col" }, t`How far it is`), el("th.number", { scope: "col" }, t`Amount`))),
    el("tbody", {}, lines.map(row)),
    el("tfoot", {}, el("tr", {}, el("th", { scope: "row", colspan: 2 }, t`In all`), el("td.number", {}, formatExact(total, currency)))),
  );
  return el(
    "section",
    {},
    el("h3", {}, t`What it costs`),
    lines.length ? table : el("p.soft", {}, t`No cost line names it, and its trade has no rate.`),
    leftOut && el("p.soft", {}, t`Without an exchange rate a line is in no sum.`),
    el("p", {}, el("a", { href: sheet.link("money") }, t`All lines are on Money`)),
  );
}
