/** A real table: caption, header cells, optional sorting, and a scroll region where it is wide. */

import { el, fill } from "./dom.js";
import { t } from "./text.js";

/**
 * @typedef {object} Column
 * @property {string} label Text of the header cell.
 * @property {(row: any) => any} cell Text or node of a body cell.
 * @property {(row: any) => string | number | null} [sort] Makes the column sortable by this value.
 * @property {boolean} [numeric] Aligned at the end.
 * @property {boolean} [heading] The cell names its row.
 */

/**
 * @param {object} parts
 * @param {string} parts.caption
 * @param {Column[]} parts.columns
 * @param {any[]} parts.rows
 * @param {string} [parts.empty] Said when there are no rows.
 * @param {boolean} [parts.hideCaption] For the eye only; it stays for screen readers.
 * @param {boolean} [parts.stacks] On a phone the cells of a row stand one below the other, each with its label.
 * @returns {HTMLElement}
 */
export function table({ caption, columns, rows, empty = t`Nothing yet.`, hideCaption = false, stacks = false }) {
  const body = el("tbody");
  const heads = columns.map((column) =>
    el("th", { scope: "col", class: column.numeric && "numeric" }, column.label),
  );
  const show = (list) => fill(body, list.length ? list.map((row) => tr(columns, row, stacks)) : none());
  const none = () => el("tr", {}, el("td.empty", { colspan: columns.length }, empty));
  columns.forEach((column, index) => {
    if (column.sort) makeSortable(heads, index, column, rows, show);
  });
  show(rows);
  return el(
    "div.table-scroll",
    { role: "region", "aria-label": caption, tabindex: "0" },
    el(
      "table.table",
      { "data-stacks": stacks },
      el("caption", { class: hideCaption && "unseen" }, caption),
      el("thead", {}, el("tr", {}, heads)),
      body,
    ),
  );
}

function tr(columns, row, stacks) {
  const cells = columns.map((column) => {
    const tag = column.heading ? "th" : "td";
    const scope = column.heading ? "row" : undefined;
    return el(tag, { scope, class: column.numeric && "numeric", "data-label": stacks && column.label }, column.cell(row));
  });
  return el("tr", {}, cells);
}

function makeSortable(heads, index, column, rows, show) {
  const head = heads[index];
  const button = el("button.sort", { type: "button" }, column.label);
  button.addEventListener("click", () => {
    const down = head.getAttribute("aria-sort") === "ascending";
    heads.forEach((other) => other.removeAttribute("aria-sort"));
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    show(inOrder(rows, column.sort, down));
  });
  fill(head, button);
}

/**
 * Rows by a key; those without one stand at the end either way.
 * @template Row
 * @param {Row[]} rows
 * @param {(row: Row) => any} key Asked once a row.
 * @param {boolean} down
 * @returns {Row[]}
 */
export function inOrder(rows, key, down) {
  const keyed = rows.map((row) => ({ row, at: key(row) ?? null }));
  const way = down ? -1 : 1;
  keyed.sort((a, b) => {
    if (a.at === null || b.at === null) return Number(a.at === null) - Number(b.at === null);
    return way * compare(a.at, b.at);
  });
  return keyed.map(({ row }) => row);
}

const collator = new Intl.Collator(undefined, { numeric: true });

function compare(a, b) {
  if (typeof a === "number" && typeof b === "number") return a - b;
  return collator.compare(String(a), String(b));
}
