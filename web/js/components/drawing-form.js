/** The forms of the shop's own drawings: a picture comes in, zones are traced on it, the map takes it. */

import { ApiError, upload } from "../lib/api.js";
import { el, fill, freshId } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { t } from "../lib/text.js";
import { tracing } from "./drawing-tracing.js";
import { editForm, unfolding } from "./editing.js";
import { PICTURES } from "./photos.js";
import { takeBack, tellDone } from "./undo.js";

/**
 * A drawing in the list.
 * @param {import("../lib/sheet.js").Sheet} sheet @param {import("./own-drawing.js").Drawing} drawing
 * @param {{id: string, name: string}[]} zones @param {() => Promise<void>} afterwards @returns {HTMLElement}
 */
export function drawingEntry(sheet, drawing, zones, afterwards) {
  const name = drawing.name || drawing.key;
  const thing = {
    kind: "drawing",
    key: drawing.key,
    path: sheet.path(`/drawings/${encodeURIComponent(drawing.key)}`),
    name,
    version: drawing.version,
    canGo: true,
  };
  const content = () => {
    const traced = tracing(sheet, drawing, zones);
    const fields = [el("div.fields", {}, field({ label: t`Name`, name: "name", value: drawing.name }), shownField(drawing.shown)), traced.node];
    const typed = (node) => ({ name: readForm(node).name ?? "", shown: node.elements.namedItem("shown").checked, outlines: traced.read() });
    return editForm(sheet, thing, fields, typed, afterwards);
  };
  return unfolding(drawing.key, [el("b", {}, name), el("span.soft", {}, ` ${standing(drawing, zones)}`)], content);
}

function standing({ shown, outlines }, zones) {
  const traced = outlines.length ? t`${outlines.length} of ${zones.length} zones traced` : t`no zone traced yet`;
  return shown ? traced : t`${traced}, put away`;
}

function shownField(isShown) {
  const id = freshId("shown");
  return el(
    "div.field",
    { "data-field": "shown" },
    el("div.check", {}, el("input", { type: "checkbox", id, name: "shown", checked: isShown }), el("label", { for: id }, t`The airframe map is drawn on it`)),
    el("span.hint", {}, t`As soon as a zone is traced. Without the tick the map has the drawing chosen under Project again; what is traced is kept.`),
  );
}

/**
 * Another drawing: a picture is chosen, and its entry unfolds.
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {(key?: string) => Promise<void>} afterwards With the key of the drawing that was added.
 */
export function newDrawing(sheet, afterwards) {
  const told = el("div", { role: "status", "aria-live": "polite" });
  const input = el("input", { type: "file", accept: PICTURES, hidden: true, "aria-label": t`Picture of the aircraft` });
  const button = el("button.button", { type: "button", onclick: () => input.click() }, t`Add a picture of the aircraft`);
  input.addEventListener("change", async () => {
    const [file] = input.files;
    input.value = "";
    button.disabled = true;
    fill(told, el("p", {}, t`Sending ${file.name}`));
    try {
      const done = await upload(sheet.path("/drawings"), file, { query: { name: file.name.replace(/\.\w+$/, "") } });
      await afterwards(done.key);
      const name = done.name || done.key;
      tellDone(t`Added: ${name}. Trace its zones now, or later.`, done, () => takeBack(sheet, { kind: "drawing", key: done.key, name, version: done.version }, () => afterwards()));
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      fill(told, el("p.wrong", {}, error.message.replace(/^file: /, "")));
    } finally {
      button.disabled = false;
    }
  });
  return el("div.new-drawing", { "data-key": "new" }, button, input, told);
}
