/** Boxes to tick: any number of several. */

import { el, freshId } from "./dom.js";

/**
 * Any number of several, as boxes to tick; `ticked` reads them.
 * @param {{label: string, name: string, values: string[], options: [string, string][], none: any}} parts
 *   An option is its value and its text; `none` stands there where nothing can be chosen.
 */
export function boxes({ label, name, values, options, none }) {
  const box = ([value, text]) => {
    const id = freshId(name);
    return el("div.check", {}, el("input", { type: "checkbox", id, name, value, checked: values.includes(value) }), el("label", { for: id }, text));
  };
  return el(
    "fieldset",
    { "data-field": name },
    el("legend.label", {}, label),
    options.length ? el("div.choices", {}, options.map(box)) : none,
  );
}

/** What is ticked, in the order of the boxes. @param {HTMLFormElement} form @param {string} name @returns {string[]} */
export function ticked(form, name) {
  return [...form.querySelectorAll(`[name="${name}"]:checked`)].map(({ value }) => value);
}
