/**
 * A table for thousands of rows: searched, sorted as a whole, shown a page at a time.
 *
 * Other rows can take the place of its rows; what was searched for and sorted by stays.
 */

import { backward, onward } from "../lib/arrows.js";
import { el, fill, freshId } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { later } from "../lib/later.js";
import { sayProblem } from "../lib/notice.js";
import { inOrder, table } from "../lib/table.js";
import { t } from "../lib/text.js";

const PAGE = 50;
/** What is typed is painted first, then what is found. */
const PAUSE_MS = 100;

/** @typedef {{q: string, sort: any, down: boolean, offset: number, limit: number}} PageAsked `sort` is that of a column, or null. */
/** @typedef {{total: number, rows: any[]}} PageFound */

/**
 * A table of rows that are all here.
 * @param {object} parts
 * @param {string} parts.caption
 * @param {import("../lib/table.js").Column[]} parts.columns As for `table`; `sort` sorts all rows.
 * @param {(row: any) => string} parts.text What a search looks through.
 * @returns {{node: HTMLElement, showRows: (rows: any[]) => void}}
 */
export function longTable({ caption, columns, text }) {
  let rows = [];
  let known = new Map();
  const read = ({ q, sort, down, offset, limit }) => {
    const words = q.toLocaleLowerCase().split(/\s+/);
    const found = rows.filter((row) => words.every((word) => known.get(row).includes(word)));
    const ordered = sort ? inOrder(found, sort, down) : found;
    return { total: found.length, rows: ordered.slice(offset, offset + limit) };
  };
  const { node, show } = pagedTable({ caption, columns, read });
  const showRows = (others) => {
    rows = others;
    known = new Map(rows.map((row) => [row, text(row).toLocaleLowerCase()]));
    show();
  };
  return { node, showRows };
}

/**
 * A table whose rows are read a page at a time.
 * @param {object} parts
 * @param {string} parts.caption
 * @param {any[]} parts.columns As for `table`; `sort` is what `read` is told to sort by.
 * @param {(asked: PageAsked) => PageFound | Promise<PageFound>} parts.read
 * @returns {{node: HTMLElement, show: () => void}} Empty until it is shown; shown again it is read anew.
 */
export function pagedTable({ caption, columns, read }) {
  const state = { query: "", column: null, down: false, page: 0 };
  let reading = 0;
  const place = el("div");
  const status = el("p.soft", { role: "status" });
  const searchId = freshId("search");
  const search = el("input", { id: searchId, type: "search", autocomplete: "off" });
  const back = el("button.button", { type: "button" }, backward(t`Page before`));
  const next = el("button.button", { type: "button" }, onward(t`Next page`));

  const show = () => {
    const mine = (reading += 1);
    const sort = state.column === null ? null : columns[state.column].sort;
    const found = read({ q: state.query, sort, down: state.down, offset: state.page * PAGE, limit: PAGE });
    if (found instanceof Promise) found.then((answer) => mine === reading && draw(answer), sayProblem);
    else draw(found);
  };
  const draw = ({ total, rows }) => {
    const last = Math.max(0, Math.ceil(total / PAGE) - 1);
    if (state.page > last) {
      state.page = last;
      show();
      return;
    }
    const from = state.page * PAGE;
    const focused = [...place.querySelectorAll("thead th")].findIndex((th) => th.contains(document.activeElement));
    fill(place, drawn(rows));
    place.querySelectorAll("thead th")[focused]?.querySelector("button").focus();
    status.textContent = total
      ? t`${formatNumber(from + 1)} to ${formatNumber(from + rows.length)} of ${formatNumber(total)}`
      : t`Nothing found.`;
    back.disabled = state.page === 0;
    next.disabled = state.page === last;
  };
  const drawn = (rows) => {
    const heads = columns.map((column, at) => ({ ...column, sort: undefined, label: head(column, at) }));
    const node = table({ caption, columns: heads, rows, empty: t`Nothing found.` });
    if (state.column !== null) {
      const th = node.querySelectorAll("thead th")[state.column];
      th.setAttribute("aria-sort", state.down ? "descending" : "ascending");
    }
    return node;
  };
  const head = (column, at) => {
    if (!column.sort) return column.label;
    const onclick = () => {
      state.down = state.column === at && !state.down;
      Object.assign(state, { column: at, page: 0 });
      show();
    };
    return el("button.sort", { type: "button", onclick }, column.label);
  };

  search.addEventListener("input", () => Object.assign(state, { query: search.value, page: 0 }));
  search.addEventListener("input", later(PAUSE_MS, show));
  const turn = (by) => () => {
    state.page += by;
    show();
  };
  back.addEventListener("click", turn(-1));
  next.addEventListener("click", turn(1));
  const node = el(
    "div.long-table",
    {},
    el("div.field.search.no-print", {}, el("label", { for: searchId }, t`Search`), search),
    place,
    el("div.button-row.turn.no-print", {}, back, next, status),
  );
  return { node, show };
}
