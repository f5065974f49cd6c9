/** Something to hand over: a text that is read, marked and copied. */

import { copyText } from "../lib/copying.js";
import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { t } from "../lib/text.js";

/**
 * @param {object} parts
 * @param {string} parts.label
 * @param {string} parts.name
 * @param {string} parts.value
 * @param {string} parts.copy The button, for who does not see what it stands beside: "Copy the link".
 * @param {string} parts.done Said once it is copied.
 * @param {string} [parts.hint]
 */
export function copyField({ label, name, value, copy, done, hint }) {
  const attributes = { readonly: true, spellcheck: "false", onfocus: ({ target }) => target.select() };
  const shown = field({ label, name, value, hint, attributes });
  const copied = () =>
    copyText(value, {
      done,
      otherwise: t`The browser does not let this page copy. The text is marked: copy it from there.`,
      mark: () => shown.querySelector("input").focus(),
    });
  const button = el("button.button", { type: "button", "aria-label": copy, onclick: copied }, t`Copy`);
  return el("div.copy-field", {}, shown, button);
}
