/**
 * A table for thousands of rows: searched, sorted as a whole, shown a page at a time.
 *
 * Other rows can take the place of its rows; what was searched for and sorted by stays.
 */

import { backward, onward } from "../lib/arrows.js";
import { el, fill, freshId } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { inOrder, table } from "../lib/table.js";
import { t } from "../lib/text.js";

const PAGE = 50;

/**
 * @param {object} parts
 * @param {string} parts.caption
 * @param {import("../lib/table.js").Column[]} parts.columns As for `table`; `sort` sorts all rows.
 * @param {(row: any) => string} parts.text What a search looks through.
 * @returns {{node: HTMLElement, showRows: (rows: any[]) => void}}
 */
export function longTable({ caption, columns, text }) {
  let rows = [];
  let known = new Map();
  const state = { query: "", column: null, down: false, page: 0 };
  const place = el("div");
  const status = el("p.soft", { role: "status" });
  const searchId = freshId("search");
  const search = el("input", { id: searchId, type: "search", autocomplete: "off" });
  const back = el("button.button", { type: "button" }, backward(t`Page before`));
  const next = el("button.button", { type: "button" }, onward(t`Next page`));

  const show = () => {
    const found = sorted(rows.filter((row) => matches(known.get(row), state.query)), columns, state);
    const pages = Math.max(1, Math.ceil(found.length / PAGE));
    state.page = Math.min(state.page, pages - 1);
    const from = state.page * PAGE;
    fill(place, drawn(found.slice(from, from + PAGE)));
    status.textContent = found.length
      ? t`${formatNumber(from + 1)} to ${formatNumber(Math.min(from + PAGE, found.length))} of ${formatNumber(found.length)}`
      : t`Nothing found.`;
    back.disabled = state.page === 0;
    next.disabled = state.page >= pages - 1;
  };
  const drawn = (shown) => {
    const heads = columns.map((column, at) => ({ ...column, sort: undefined, label: head(column, at) }));
    const node = table({ caption, columns: heads, rows: shown, empty: t`Nothing found.` });
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
      place.querySelectorAll("thead th")[at].querySelector("button").focus();
    };
    return el("button.sort", { type: "button", onclick }, column.label);
  };

  search.addEventListener("input", () => {
    Object.assign(state, { query: search.value, page: 0 });
    // What is typed is painted first, then what is found.
    requestAnimationFrame(() => setTimeout(show));
  });
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
  const showRows = (others) => {
    rows = others;
    known = new Map(rows.map((row) => [row, text(row).toLocaleLowerCase()]));
    show();
  };
  return { node, showRows };
}

function matches(known, query) {
  return query.toLocaleLowerCase().split(/\s+/).every((word) => known.includes(word));
}

function sorted(rows, columns, { column, down }) {
  return column === null ? rows : inOrder(rows, columns[column].sort, down);
}
