/** The forms of places: bays, jigs and booths, and how many tasks each has room for. */

import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { many, t } from "../lib/text.js";
import { addForm, editForm, freeId, unfolding } from "./editing.js";

/** A place in the list. @returns {HTMLElement} */
export function placeEntry(sheet, place, afterwards) {
  const name = place.name || place.id;
  const summary = [el("b", {}, name), " ", el("span.soft", {}, roomText(place.capacity))];
  const thing = {
    kind: "place",
    key: place.key,
    path: sheet.path(`/places/${encodeURIComponent(place.key)}`),
    name,
    version: place.version,
    canGo: true,
  };
  return unfolding(place.key, summary, () => editForm(sheet, thing, placeFields(place), typed, afterwards));
}

/** A form for another place. @param {any[]} places Those there are. */
export function newPlace(sheet, places, afterwards) {
  const what = {
    kind: "place",
    path: "/places",
    text: t`Add the place`,
    needs: { name: t`Name: what is it called in the shop?` },
    called: ({ name }) => name,
  };
  const read = () => {
    const body = typed(node);
    return { id: freeId(body.name, places), ...body };
  };
  const node = addForm(sheet, what, placeFields({ name: "", capacity: 1 }), read, afterwards);
  return unfolding("new", el("b", {}, t`Add a place`), node);
}

function placeFields({ name, capacity }) {
  return el(
    "div.fields",
    {},
    field({ label: t`Name`, name: "name", value: name }),
    field({
      label: t`Room for tasks at once`,
      name: "capacity",
      type: "number",
      value: capacity,
      hint: t`0 while it cannot be used.`,
      attributes: { min: 0, max: 1000, step: 1, inputmode: "numeric" },
    }),
  );
}

function typed(node) {
  const { name, capacity } = readForm(node);
  return { name: name ?? "", capacity: Number(capacity) };
}

function roomText(capacity) {
  return capacity ? many(capacity, "room for one task", "room for {n} tasks at once") : t`cannot be used`;
}
