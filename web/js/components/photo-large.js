/** One photo or document, large: the others by arrow, its caption to be written, itself to be taken away. */

import { ApiError, address, get, patch } from "../lib/api.js";
import { backward, onward, stepOf } from "../lib/arrows.js";
import { openDialog } from "../lib/dialog.js";
import { el, fill, when } from "../lib/dom.js";
import { field, form, readForm, sendButton, showErrors } from "../lib/forms.js";
import { formatNumber } from "../lib/format.js";
import { t } from "../lib/text.js";

/**
 * @param {object} options
 * @param {import("../lib/sheet.js").Sheet} options.sheet
 * @param {import("./photos.js").Line[]} options.lines
 * @param {number} options.place Which of them.
 * @param {() => Promise<void>} [options.changed] After a caption was saved; without it nothing can be changed.
 * @param {((line: import("./photos.js").Line) => Promise<void>) | null} [options.takeAway]
 */
export function openPhoto({ sheet, lines, place, changed, takeAway = null }) {
  const view = el("div.photo-large", {});
  const turn = (by) => show((place + by + lines.length) % lines.length);
  const turning = lines.length < 2 ? null : el("div.button-row", {}, turnButton(backward(t`Before`), () => turn(-1)), turnButton(onward(t`After`), () => turn(1)));
  const edit = el("div.photo-edit", {});
  const canEdit = Boolean(changed) && !sheet.readOnly;
  const dialog = openDialog({ title: t`Photo`, content: [view, turning, edit], wide: true });
  const title = dialog.querySelector("h2");
  const typed = new Map();
  const show = (next) => {
    const written = edit.querySelector("form");
    if (written) typed.set(lines[place].key, readForm(written));
    place = next;
    const line = lines[place];
    title.textContent = line.media_type === "application/pdf" ? t`Document` : lines.length > 1 ? t`Photo ${formatNumber(place + 1)} of ${formatNumber(lines.length)}` : t`Photo`;
    fill(view, large(sheet, line), el("p.photo-facts", {}, facts(line)));
    fill(edit, canEdit ? captionForm(sheet, line, typed.get(line.key) ?? line, dialog, changed, takeAway) : null);
  };
  dialog.addEventListener("keydown", (event) => {
    if (event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement) return;
    const by = stepOf(event.key);
    if (by) turn(by);
  });
  show(place);
}

function large(sheet, line) {
  const path = sheet.path(`/evidence/${encodeURIComponent(line.key)}/file`);
  const href = address(path, { digest: line.sha256 });
  const words = line.caption || line.name || line.key;
  if (line.media_type === "application/pdf") return el("p", {}, el("a.button", { href, download: "" }, line.name ? t`Save ${line.name}` : t`Save the document`));
  const picture = el("img", { src: href, alt: words });
  picture.addEventListener("error", () => picture.replaceWith(el("p.photo-gone", {}, t`File is not here: ${words}`)));
  return picture;
}

function facts(line) {
  const [taken, added] = [line.taken_on, line.added_on].map((day) => when(day, "long"));
  const who = line.by || t`nobody named`;
  const told = line.taken_on ? t`Taken ${taken}, added ${added} by ${who}` : t`Added ${added} by ${who}`;
  return [line.caption && el("strong", {}, line.caption), el("span.soft", {}, told, line.name && [", ", el("span", {}, line.name)])];
}

function turnButton(text, onclick) {
  return el("button.button", { type: "button", onclick }, text);
}

function captionForm(sheet, line, known, dialog, changed, takeAway) {
  const path = sheet.path(`/evidence/${encodeURIComponent(line.key)}`);
  let { version } = line;
  const node = form(
    el(
      "div.fields",
      {},
      field({ label: t`What it shows`, name: "caption", value: known.caption, attributes: { maxlength: 2000, autocomplete: "off" } }),
      field({ label: t`Taken on`, name: "taken_on", type: "date", value: known.taken_on }),
    ),
    async () => {
      const { caption, taken_on: taken } = readForm(node);
      await patch(path, { caption: caption ?? "", taken_on: taken }, { version });
      dialog.close();
      await changed();
    },
    async () => {
      ({ version } = await get(path));
    },
  );
  return [node, el("div.button-row", {}, sendButton(node, t`Save what it shows`), takeAway ? awayButton(line, node, dialog, takeAway) : null)];
}

function awayButton(line, node, dialog, takeAway) {
  const button = el("button.button.plain", { type: "button" }, t`Take it away`);
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await takeAway(line);
      dialog.close();
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      button.disabled = false;
      showErrors(node, [{ message: error.message }]);
    }
  });
  return button;
}
