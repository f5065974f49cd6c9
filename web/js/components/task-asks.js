/** What a task asks of the shop, on its sheet: the trade, how many people, and places. */

import { boxes, ticked } from "../lib/boxes.js";
import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { many, t } from "../lib/text.js";
import { tradeName } from "../lib/words.js";

/**
 * Facts in words, as label and text.
 * @param {any} task @param {{places: any[]}} shop @returns {[string, string][]}
 */
export function asksOf({ trade, people, places }, shop) {
  const hands = trade && people > 1 ? many(people, "{0}, {n} person", "{0}, {n} people", tradeName(trade)) : tradeName(trade);
  const taken = places.map((id) => nameOf(shop.places.find((one) => one.id === id) ?? { id }));
  return [[t`Trade`, hands], ...(taken.length ? [[t`Takes`, taken.join(", ")]] : [])];
}

/** Fields that change it. A milestone asks for nothing. @param {any} task @param {{places: any[], crew: any[]}} shop */
export function asksFields(sheet, task, shop) {
  if (task.milestone) return null;
  const trades = [...new Set([...shop.crew.map(({ trade }) => trade), task.trade].filter(Boolean))];
  return [
    el(
      "div.fields",
      {},
      field({
        label: t`Trade`,
        name: "trade",
        type: "select",
        value: task.trade,
        options: [["", t`nobody of the crew`], ...trades.map((one) => [one, tradeName(one)])],
      }),
      field({
        label: t`People of that trade`,
        name: "people",
        type: "number",
        value: task.people,
        attributes: { min: 0, max: 1000, step: 1, inputmode: "numeric" },
      }),
    ),
    placeBoxes(sheet, task, shop),
  ];
}

/** One box for each place of the plan. */
function placeBoxes(sheet, task, { places }) {
  const settings = el("a", { href: `${sheet.link("settings")}#places` }, t`add one under Settings`);
  const none = el("p.soft", {}, t`The plan has no bay, jig or booth yet: ${settings}.`);
  const options = places.map((one) => [one.id, nameOf(one)]);
  return boxes({ label: t`Takes, from start to finish`, name: "places", values: task.places, options, none });
}

/** What was typed anew, by the names of the plan. @param {HTMLFormElement} node @param {any} task */
export function typedAsks(node, task) {
  if (task.milestone) return {};
  const { trade, people } = readForm(node);
  const places = ticked(node, "places");
  const isSame = places.length === task.places.length && places.every((id) => task.places.includes(id));
  return {
    ...(trade === task.trade ? {} : { trade }),
    ...(Number(people) === task.people ? {} : { people: Number(people) }),
    ...(isSame ? {} : { places }),
  };
}

function nameOf({ id, name }) {
  return name || id;
}
