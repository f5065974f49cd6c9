/**
 * How much of a sheet of dates is in sight: from the whole job down to weeks, earlier and later.
 *
 * Buttons do all of it, so that a finger that scrolls the page never moves the drawing.
 */

import { backward, onward } from "../lib/arrows.js";
import { el } from "../lib/dom.js";
import { addDays, daysBetween } from "../lib/format.js";
import { t } from "../lib/text.js";

const SPANS = [
  { id: "all", title: t`Whole job` },
  { id: "year", title: t`A year`, days: 365 },
  { id: "quarter", title: t`A quarter`, days: 91 },
  { id: "weeks", title: t`Six weeks`, days: 42 },
];
/** Share of the span that lies before the as-of date when a span is chosen. */
const BEFORE = 0.15;

/**
 * @param {() => import("./lanes-drawing.js").LanesDrawing} drawing What is shown, once it is there.
 * @returns {HTMLElement} A labelled row of buttons.
 */
export function reachButtons(drawing) {
  const press = (chosen) => {
    for (const button of spans.querySelectorAll("button")) {
      button.setAttribute("aria-pressed", String(button.value === chosen));
    }
  };
  const choose = ({ id, days }) => {
    const { first, last, as_of: asOf } = drawing().meta;
    const from = days ? addDays(asOf, -Math.round(days * BEFORE)) : first;
    drawing().show([from, days ? addDays(from, days) : last]);
    press(id);
  };
  const step = (way) => {
    const [first, last] = drawing().range;
    const by = way * Math.max(7, Math.round(daysBetween(first, last) / 2));
    drawing().show([addDays(first, by), addDays(last, by)]);
  };
  const button = (title, onclick, attributes = {}) =>
    el("button.button", { type: "button", onclick, ...attributes }, title);
  const spans = el(
    "div.button-row",
    {},
    SPANS.map((span) =>
      button(span.title, () => choose(span), {
        value: span.id,
        "aria-pressed": String(span.id === "all"),
      }),
    ),
  );
  return el(
    "div.reach",
    { role: "group", "aria-label": t`How much is in sight` },
    spans,
    el(
      "div.button-row",
      { dir: "ltr" },
      button(backward(t`Earlier`), () => step(-1)),
      button(onward(t`Later`), () => step(1)),
    ),
  );
}
