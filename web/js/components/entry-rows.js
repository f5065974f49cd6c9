/** Several entries within one field of a form: rows that are added and taken out. */

import { el, freshId } from "../lib/dom.js";
import { t } from "../lib/text.js";

/**
 * @typedef {object} Part One input of a row.
 * @property {string} name
 * @property {string} label
 * @property {string} [type] Of the input; "select" with `options`.
 * @property {[string, string][]} [options]
 * @property {Record<string, any>} [attributes]
 */

/**
 * @param {object} list
 * @param {string} list.label
 * @param {string} list.name Of the field.
 * @param {Record<string, any>[]} list.entries
 * @param {Part[]} list.parts
 * @param {string} list.addText
 * @param {(text: any) => any} [list.hint]
 * @returns {{node: HTMLElement, read: () => Record<string, string>[]}}
 */
export function entryRows({ label, name, entries, parts, addText, hint }) {
  const rows = el("div.entry-rows", {}, entries.map((entry) => row(parts, entry)));
  const add = el("button.button", { type: "button" }, addText);
  add.addEventListener("click", () => {
    const made = row(parts, {});
    rows.append(made);
    made.querySelector("input, select").focus();
  });
  const node = el("fieldset.entries", { "data-field": name }, el("legend.label", {}, label), hint ? el("p.soft", {}, hint) : null, rows, add);
  const read = () => [...rows.children].map((one) => Object.fromEntries([...one.querySelectorAll("[data-part]")].map((input) => [input.dataset.part, input.value.trim()])));
  return { node, read };
}

function row(parts, entry) {
  const gone = el("button.button.plain", { type: "button" }, t`Take out`);
  const node = el("div.entry-row", { "data-entry": true }, parts.map((part) => input(part, entry[part.name])), gone);
  gone.addEventListener("click", () => {
    const next = node.nextElementSibling?.querySelector("input, select") ?? node.parentElement.nextElementSibling;
    node.remove();
    next.focus();
  });
  return node;
}

function input({ name, label, type = "text", options = [], attributes = {} }, value) {
  const id = freshId(`entry-${name}`);
  const shared = { id, "data-part": name, ...attributes };
  const node =
    type === "select"
      ? el("select", shared, options.map(([key, text]) => el("option", { value: key, selected: key === String(value ?? "") }, text)))
      : el("input", { type, ...shared, value: value ?? "" });
  return el("div.field", {}, el("label", { for: id }, label), node);
}
