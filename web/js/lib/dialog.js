/** Dialogs on the browser's own `<dialog>`: labelled, closed by Escape, focus back to the opener. */

import { el, freshId } from "./dom.js";
import { t } from "./text.js";

/**
 * Open a dialog.
 *
 * @param {object} parts
 * @param {string} parts.title
 * @param {any} parts.content Node or nodes.
 * @param {Node[]} [parts.actions] Buttons of the lower edge; "Close" is always there.
 * @param {boolean} [parts.wide]
 * @param {() => void} [parts.onClose]
 * @returns {HTMLDialogElement}
 */
export function openDialog({ title, content, actions = [], wide = false, onClose }) {
  const opener = /** @type {HTMLElement | null} */ (document.activeElement);
  const titleId = freshId("dialog-title");
  const close = el("button.button.plain", { type: "button" }, t`Close`);
  const dialog = /** @type {HTMLDialogElement} */ (
    el(
      wide ? "dialog.dialog.wide" : "dialog.dialog",
      { "aria-labelledby": titleId },
      el("h2", { id: titleId, tabindex: "-1" }, title),
      el("div.dialog-body", {}, content),
      el("div.dialog-actions", {}, actions, close),
    )
  );
  close.addEventListener("click", () => dialog.close());
  dialog.addEventListener("close", () => {
    dialog.remove();
    onClose?.();
    if (opener?.isConnected) opener.focus({ preventScroll: true });
  });
  document.body.append(dialog);
  dialog.showModal();
  const first = dialog.querySelector("[autofocus]") ?? dialog.querySelector("h2");
  /** @type {HTMLElement} */ (first).focus();
  return dialog;
}

/**
 * Ask one question; resolves to true for the named action.
 * @param {{title: string, text: string, action: string}} question
 * @returns {Promise<boolean>}
 */
export function ask({ title, text, action }) {
  return new Promise((resolve) => {
    let said = false;
    const yes = el("button.button.strong", { type: "button" }, action);
    const dialog = openDialog({
      title,
      content: el("p", {}, text),
      actions: [yes],
      onClose: () => resolve(said),
    });
    yes.addEventListener("click", () => {
      said = true;
      dialog.close();
    });
  });
}
