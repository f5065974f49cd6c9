/** A password to type: it can be looked at, pasted, and filled in by the browser. */

import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { t } from "../lib/text.js";

const NEW = t`12 signs or more. Several words that do not belong together are hard to guess, and easy to keep.`;

/**
 * @param {object} parts
 * @param {string} parts.label
 * @param {string} parts.name
 * @param {boolean} [parts.isNew] It is being chosen; else it is the one that there is.
 */
export function passwordField({ label, name, isNew = false }) {
  const attributes = { autocomplete: isNew ? "new-password" : "current-password", autocapitalize: "off", spellcheck: "false" };
  const node = field({ label, name, type: "password", hint: isNew ? NEW : undefined, attributes });
  const input = node.querySelector("input");
  const show = el("button.button.plain", { type: "button", "aria-label": t`Show: ${label}` }, t`Show`);
  show.addEventListener("click", () => {
    const isHidden = input.type === "password";
    input.type = isHidden ? "text" : "password";
    show.textContent = isHidden ? t`Hide` : t`Show`;
    show.setAttribute("aria-label", isHidden ? t`Hide: ${label}` : t`Show: ${label}`);
  });
  const row = el("div.password-row");
  input.before(row);
  row.append(input, show);
  return node;
}

/** What was typed, as it was typed: a password may begin or end with a space. @param {HTMLFormElement} form @param {string} name */
export function typedPassword(form, name) {
  return form.elements[name].value;
}

/** For the browser's own list of passwords: whose it is. @param {string} email */
export function whosePassword(email) {
  return el("input", { type: "text", name: "username", autocomplete: "username", value: email, hidden: true });
}
