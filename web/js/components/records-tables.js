/** The lists of the Records sheet: what was signed, and what is open. */

import { el, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { checkName } from "./check-words.js";

/** @param {any[]} signed */
export function signOffTable(signed) {
  if (!signed.length) return el("p.empty-state", {}, "Nobody has signed anything yet.");
  const rows = table({
    caption: "All sign-offs, the latest first",
    hideCaption: true,
    rows: signed,
    columns: [
      { label: "On", cell: ({ on }) => when(on), sort: ({ on }) => on },
      { label: "About", cell: ({ name, task }) => (task ? `${name} (${task})` : name), sort: ({ name }) => name, heading: true },
      { label: "Check", cell: ({ kind }) => (kind ? checkName(kind) : "Record"), sort: ({ kind }) => kind },
      { label: "By", cell: ({ by, licence }) => (licence ? `${by} (${licence})` : by), sort: ({ by }) => by },
      { label: "What was said", cell: said },
    ],
  });
  return el("details.behind", { open: signed.length <= 12 }, el("summary", {}, `All ${formatNumber(signed.length)}, the latest first`), rows);
}

function said({ statement, override, reopens }) {
  if (override) return [el("b", {}, "Passed over: "), override];
  return reopens ? [el("b", {}, "Open again: "), statement] : statement;
}

/** @param {{title: string, items: {id: string, name: string}[]}[]} groups */
export function openItems(groups) {
  if (!groups.length) return el("p.empty-state", {}, "Nothing is open.");
  return groups.map(({ title, items }) =>
    el(
      "details",
      {},
      el("summary", {}, `${title} (${formatNumber(items.length)})`),
      el("ul.plain-list.columns", {}, items.map(({ id, name }) => el("li", {}, `${id} ${name}`))),
    ),
  );
}
