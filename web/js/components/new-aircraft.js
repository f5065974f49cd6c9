/** A new project, step 1: the aircraft, the rule book it will fly by, its zones. */

import { el, fill, freshId } from "../lib/dom.js";
import { field, picks } from "../lib/forms.js";
import { regionHere, regionName } from "../lib/format.js";
import { t } from "../lib/text.js";
import { drawingOf } from "./drawings.js";
import { freeId } from "./editing.js";

/** The zone of what is done to the aircraft as a whole: it is always there. */
const WHOLE = "whole";
const MOST_BAYS = 50;

/**
 * @param {any} offer What the service offers.
 * @param {any} told What was told so far.
 * @param {(kind: any) => void} onKind Called when another kind of aircraft is chosen.
 */
export function aircraftStep(offer, told, onKind) {
  const zones = el("div");
  const surfaces = el("div");
  const draw = (kind, from) => {
    fill(zones, zoneRows(kind.zones, from.zones ?? kind.zones));
    fill(surfaces, surfaceRows(kind.surfaces, from.surfaces ?? kind.surfaces));
  };
  const kindOf = (airframe) => offer.kinds.find((one) => one.airframe === airframe);
  const kinds = picks({ label: t`Kind of aircraft`, name: "airframe", value: told.airframe, options: offer.kinds.map(({ airframe }) => [airframe, drawingOf(airframe)?.name ?? airframe]) });
  kinds.addEventListener("change", ({ target }) => {
    draw(kindOf(target.value), {});
    onKind(kindOf(target.value));
  });
  draw(kindOf(told.airframe), told);
  const books = picks({ label: t`By which rule book will it fly?`, name: "rule_book", value: told.rule_book, options: offer.rule_books.map(({ id, name, note }) => [id, name, note]) });
  books.append(el("p.soft", {}, t`It says what must be settled before flight.`, " ", proposed()));
  const node = [
    el(
      "div.fields",
      {},
      field({ label: t`Name of the project`, name: "name", value: told.name, hint: t`As the shop calls it.`, attributes: { maxlength: 500, autocomplete: "off" } }),
      field({ label: t`Type`, name: "aircraft", value: told.aircraft, attributes: { maxlength: 500 } }),
      field({ label: t`Serial`, name: "serial", value: told.serial, attributes: { maxlength: 500 } }),
      field({ label: t`Restored to`, name: "restored_to", value: told.restored_to, hint: t`The date that it will show, such as summer 1938.`, attributes: { maxlength: 500 } }),
      field({ label: t`Work begins on`, name: "start", type: "date", value: told.start }),
    ),
    books,
    kinds,
    el("div", { "data-field": "zones" }, el("h3", {}, t`Zones`), el("p.soft", {}, t`What is found, and the work that follows, stands under the zone that it is in. Without its tick a zone is left out. A bay is a part of a zone that is opened up and inspected as one, before work in it is planned; 0: there is none.`), zones),
    el("div", { "data-field": "surfaces" }, el("h3", {}, t`Control surfaces`), el("p.soft", {}, t`Each is balanced before the aircraft flies.`), surfaces),
  ];
  return { node, read: (form) => readAircraft(form) };
}

/** Why a rule book stands there before anybody chose one. */
function proposed() {
  const region = regionHere();
  return region
    ? t`What stands there at first is usual in ${regionName(region)}, as this browser says. Whoever will sign decides.`
    : t`What stands there at first is usual where no other is, as this browser names no country. Whoever will sign decides.`;
}

function zoneRows(usual, chosen) {
  const all = [...usual, ...chosen.filter(({ id }) => usual.every((one) => one.id !== id))];
  const list = el("ul.ticks", { role: "list" }, all.map((zone) => zoneRow(chosen.find(({ id }) => id === zone.id) ?? zone, chosen.some(({ id }) => id === zone.id))));
  const another = el("button.button", { type: "button" }, t`Add a zone`);
  another.addEventListener("click", () => {
    const taken = [...list.querySelectorAll("[data-zone-id]")].map(({ dataset }) => ({ id: dataset.zoneId }));
    const made = zoneRow({ id: freeId("zone", taken), name: "", bays: 1 }, true);
    list.append(made);
    made.querySelector("[name='zone-name']").focus();
  });
  return [list, another];
}

function zoneRow({ id, name, bays }, isChosen) {
  const attributes = { min: 0, max: MOST_BAYS, step: 1, inputmode: "numeric" };
  const row = el(
    "li.tick-row",
    { "data-zone-id": id },
    tick(name ? t`Zone ${name}` : t`Zone of your own`, isChosen, id === WHOLE),
    named("zone-name", t`Zone`, name),
    id === WHOLE ? el("span") : cell("zone-bays", t`Bays`, { type: "number", value: bays, ...attributes }),
  );
  return row;
}

function surfaceRows(usual, chosen) {
  const row = (one) => {
    const mine = chosen.find(({ id }) => id === one.id);
    return el("li.tick-row", { "data-surface-id": one.id, "data-zone": one.zone }, tick(t`Surface ${one.name}`, Boolean(mine)), named("surface-name", t`Surface`, mine?.name ?? one.name));
  };
  return el("ul.ticks.surfaces", { role: "list" }, usual.map(row));
}

function tick(label, checked, disabled = false) {
  return el("label.tick", {}, el("input", { type: "checkbox", checked, disabled, "aria-label": label }));
}

function named(name, label, value) {
  return cell(name, label, { type: "text", value, maxlength: 500 });
}

function cell(name, label, attributes) {
  const id = freshId(name);
  return el("div.field", {}, el("label", { for: id }, label), el("input", { id, name, ...attributes }));
}

function readAircraft(form) {
  const text = (name) => form.elements[name].value.trim();
  const zones = readRows(form, "[data-zone-id]", "zones", (row) => ({
    id: row.dataset.zoneId,
    name: row.querySelector("[name='zone-name']").value.trim(),
    bays: Number(row.querySelector("[name='zone-bays']")?.value || 0),
  }));
  const there = new Set(zones.map(({ id }) => id));
  const surfaces = readRows(form, "[data-surface-id]", "surfaces", (row) =>
    there.has(row.dataset.zone) && { id: row.dataset.surfaceId, name: row.querySelector("[name='surface-name']").value.trim(), zone: row.dataset.zone },
  );
  return {
    name: text("name"),
    aircraft: text("aircraft"),
    serial: text("serial"),
    restored_to: text("restored_to"),
    start: text("start") || null,
    airframe: text("airframe"),
    rule_book: text("rule_book"),
    zones,
    surfaces,
  };
}

/** Rows that are ticked; each field learns the place that a refusal will name. */
function readRows(form, selector, list, read) {
  const found = [];
  for (const row of form.querySelectorAll(selector)) {
    const one = row.querySelector("[type='checkbox']").checked && read(row);
    for (const node of row.querySelectorAll(".field")) {
      const part = node.querySelector("input").name.split("-")[1];
      if (one) node.dataset.field = `${list}[${found.length}].${part}`;
      else delete node.dataset.field;
    }
    if (one) found.push(one);
  }
  return found;
}
