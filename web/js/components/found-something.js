/**
 * Found something, on the floor: where, in a few words, perhaps a photo. It becomes a finding of the
 * evaluation, where it is graded and decided. It needs no network: it waits with everything else.
 */

import { post } from "../lib/api.js";
import { openDialog } from "../lib/dialog.js";
import { el, fill } from "../lib/dom.js";
import { asSentence } from "../lib/format.js";
import { field, form, readForm, sendButton, showErrors } from "../lib/forms.js";
import { say } from "../lib/notice.js";
import { sendOrKeep } from "../lib/queue.js";
import { t } from "../lib/text.js";
import { shortened } from "./finding-words.js";
import { PICTURES } from "./photos.js";
import { takeBack, tellKept } from "./undo.js";

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {[string, string][]} zones Id and name.
 * @param {string | null} zone Where one stands.
 * @param {() => Promise<void>} afterwards
 * @param {{id: string, name: string} | null} [task] What one was working on.
 */
export function askFound(sheet, zones, zone, afterwards, task = null) {
  const { camera, place } = photoField();
  const node = form(
    [
      task && el("p", {}, t`At work on ${el("b", {}, task.name || task.id)}.`),
      field({ label: t`What do you see?`, name: "seen", type: "textarea", attributes: { required: true, maxlength: 2000, autofocus: true } }),
      field({ label: t`Where?`, name: "zone", type: "select", value: zone, options: [["", t`No zone`], ...zones] }),
      place,
    ],
    async () => {
      const { seen, zone: where } = readForm(node);
      if (!seen) {
        showErrors(node, [{ field: "seen", message: t`What do you see: say it in a few words` }]);
        return;
      }
      const [photo] = camera.files;
      const id = freshKey();
      const what = t`Found: ${shortened(seen)}`;
      const common = { method: "POST", task: null, state: null };
      const body = { id, seen, zone: where, seen_on: sheet.project.as_of, seen_by: sheet.person.name, ...(task ? { notes: t`Found at work on ${[task.id, task.name].filter(Boolean).join(", ")}.` } : {}) };
      const done = await sendOrKeep(sheet, { ...common, path: sheet.path("/findings"), body, what });
      dialog.close();
      const query = { finding: id, name: photo?.name };
      const sent = photo ? await sendOrKeep(sheet, { ...common, path: sheet.path("/evidence"), query, body: photo, what: t`Photo of that: ${photo.name}` }) : done;
      await afterwards();
      if (!done || !sent) return tellKept(what);
      const thing = { kind: "finding", key: id, name: what, version: done.version };
      const undo = async () => {
        if (photo) await post(sheet.path("/undo"), { kind: "evidence", key: sent.key }, { version: sent.version });
        await takeBack(sheet, thing, afterwards);
      };
      say(`${asSentence(what)} ${t`It waits in Evaluation to be decided.`}`, { undo });
    },
  );
  const dialog = openDialog({ title: t`Found something`, content: node, actions: [sendButton(node, t`Write it down`)] });
}

/** The camera behind a button, as on a card; the name of the photo that was taken stands beside it. */
function photoField() {
  const text = t`Photo, if it helps`;
  const camera = el("input", { type: "file", name: "photo", accept: PICTURES, capture: "environment", hidden: true, "aria-label": text });
  const taken = el("span", { role: "status" });
  camera.addEventListener("change", () => fill(taken, camera.files[0]?.name ?? ""));
  const button = el("button.button", { type: "button", onclick: () => camera.click() }, text);
  return { camera, place: el("div.field.button-row", { "data-field": "photo" }, button, taken, camera) };
}

/** A key that nobody else chooses, short enough to be said aloud. */
function freshKey() {
  const [part] = crypto.getRandomValues(new Uint32Array(1));
  return `F-${part.toString(36).slice(-5)}`;
}
