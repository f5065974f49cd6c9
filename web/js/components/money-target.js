/** What a cost or an over-and-above item belongs to: a task, an item away, or neither. */

import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { t } from "../lib/text.js";

/**
 * @typedef {object} Targets As [id, name] pairs.
 * @property {[string, string][]} tasks
 * @property {[string, string][]} items
 */

/** Name of what a line belongs to; empty: of nothing. @param {any} one @param {Targets} targets */
export function targetOf({ task, send_out: item }, { tasks, items }) {
  const of = (id, list) => list.find(([known]) => known === id)?.[1] ?? id;
  return task ? of(task, tasks) : item ? of(item, items) : "";
}

/** @param {any} one @param {Targets} targets */
export function targetField(one, { tasks, items }) {
  const value = one.task ? `task:${one.task}` : one.send_out ? `send_out:${one.send_out}` : "";
  const node = field({ label: t`Belongs to`, name: "target", type: "select", value, options: [["", t`nothing in particular`]] });
  node.dataset.field = one.send_out ? "send_out" : "task";
  const group = (label, kind, entries) =>
    entries.length
      ? el("optgroup", { label }, entries.map(([id, name]) => el("option", { value: `${kind}:${id}`, selected: value === `${kind}:${id}` }, name)))
      : null;
  node.querySelector("select").append(...[group(t`Items away`, "send_out", items), group(t`Work`, "task", tasks)].filter(Boolean));
  if (value && node.querySelector("select").value !== value) node.querySelector("select").append(el("option", { value, selected: true }, value.slice(value.indexOf(":") + 1)));
  return node;
}

/** @param {HTMLFormElement} node @returns {{task: string | null, send_out: string | null}} */
export function targetRead(node) {
  const [, kind, id] = /^(task|send_out):(.*)$/s.exec(readForm(node).target ?? "") ?? [];
  return { task: kind === "task" ? id : null, send_out: kind === "send_out" ? id : null };
}
