/** The forms of zones: regions of the airframe, some of which the drawing shows. */

import { get } from "../lib/api.js";
import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { t } from "../lib/text.js";
import { ownDrawing } from "./own-drawing.js";
import { zonesDrawn } from "./drawings.js";
import { addForm, editForm, freeId, unfolding } from "./editing.js";

/** A zone in the list. @param {string[]} drawn The zones that the map shows. @returns {HTMLElement} */
export function zoneEntry(sheet, zone, drawn, afterwards) {
  const name = zone.name || zone.id;
  const isUnplaced = drawn.length && !drawn.includes(zone.id);
  const summary = [el("b", {}, name), isUnplaced ? el("span.soft", {}, " ", t`not on the drawing`) : null];
  const thing = {
    kind: "zone",
    key: zone.key,
    path: sheet.path(`/zones/${encodeURIComponent(zone.key)}`),
    name,
    version: zone.version,
    canGo: true,
  };
  return unfolding(zone.key, summary, () => editForm(sheet, thing, el("div.fields", {}, nameField(zone.name)), typed, afterwards));
}

/**
 * A form for another zone.
 * @param {{zones: any[], places: {id: string, name: string}[]}} known The zones there are, and what
 *   the drawing shows that none of them is.
 */
export function newZone(sheet, { zones, places }, afterwards) {
  const what = {
    kind: "zone",
    path: "/zones",
    text: t`Add the zone`,
    needs: { name: t`Name: what is this region called in the shop?` },
    called: ({ name }) => name,
  };
  const read = () => {
    const { place } = readForm(node);
    const body = typed(node);
    return { id: place ?? freeId(body.name, [...zones, ...places]), ...body };
  };
  const fields = el("div.fields", {}, nameField(""), places.length ? placeField(places) : null);
  const node = addForm(sheet, what, fields, read, afterwards);
  return unfolding("new", el("b", {}, t`Add a zone`), node);
}

/** The zones that the map shows: those traced by the shop, else those of the drawing that comes with the program. */
export function zonesOnMap(sheet, airframe, drawings) {
  const own = ownDrawing(sheet, drawings);
  return own ? Object.values(own.views).flatMap(({ zones }) => Object.keys(zones)) : zonesDrawn(airframe);
}

/** What the map shows and no zone is. @returns {Promise<{id: string, name: string}[]>} */
export async function freePlaces({ airframe }, onMap, zones) {
  const free = onMap.filter((id) => !zones.some((one) => one.id === id));
  if (!free.length) return [];
  const { kinds } = await get("/new-project");
  const usual = kinds.find((one) => one.airframe === airframe)?.zones ?? [];
  return free.map((id) => ({ id, name: usual.find((one) => one.id === id)?.name ?? id }));
}

function nameField(value) {
  return field({ label: t`Name`, name: "name", value });
}

function placeField(places) {
  return field({
    label: t`Place on the drawing`,
    name: "place",
    type: "select",
    options: [["", t`none: it stands in the lists`], ...places.map(({ id, name }) => [id, name])],
  });
}

function typed(node) {
  return { name: readForm(node).name ?? "" };
}
