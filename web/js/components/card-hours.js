/** Three hours (or weeks) of a method card in a row: at least, likely, at most. */

import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { t } from "../lib/text.js";

const THREE = [t`At least`, t`Likely`, t`At most`];

/** @param {string} kind Class of the row. @param {string} label @param {string} name Of the field. @param {any[]} [values] */
export function threeFields(kind, label, name, values = []) {
  const one = (text, index) => field({ label: text, name: `${name}[${index}]`, value: values[index], attributes: { inputmode: "decimal", autocomplete: "off" } });
  return el(`fieldset.${kind}`, { "data-field": name }, el("legend.label", {}, label), el("div.three", {}, THREE.map(one)));
}

/** What such a row holds, as plan files say it. @param {Element} row */
export function readThree(row) {
  return [...row.querySelectorAll("input")].map(({ value }) => value.trim().replace(",", "."));
}
