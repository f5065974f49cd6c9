/** The lists of the Records sheet: what was signed, and what is open. */

import { el, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { t, told } from "../lib/text.js";
import { checkName } from "./check-words.js";

/** @param {any[]} signed */
export function signOffTable(signed) {
  if (!signed.length) return el("p.empty-state", {}, t`Nobody has signed anything yet.`);
  const rows = table({
    caption: t`All sign-offs, the latest first`,
    hideCaption: true,
    rows: signed,
    columns: [
      { label: t`On`, cell: ({ on }) => when(on), sort: ({ on }) => on },
      { label: t`About`, cell: ({ name, task }) => (task ? `${name} (${task})` : told(name)), sort: ({ name }) => name, heading: true },
      { label: t`Check`, cell: ({ kind }) => (kind ? checkName(kind) : t`Record`), sort: ({ kind }) => kind },
      { label: t`By`, cell: ({ by, licence }) => (licence ? `${by} (${licence})` : by), sort: ({ by }) => by },
      { label: t`What was said`, cell: said },
    ],
  });
  return el("details.behind", { open: signed.length <= 12 }, el("summary", {}, t`All ${formatNumber(signed.length)}, the latest first`), rows);
}

function said({ statement, override, reopens }) {
  if (override) return [el("b", {}, t`Passed over:`), " ", override];
  return reopens ? [el("b", {}, t`Open again:`), " ", statement] : statement;
}

/** @param {{title: string, items: {id: string, name: string}[]}[]} groups */
export function openItems(groups) {
  if (!groups.length) return el("p.empty-state", {}, t`Nothing is open.`);
  return groups.map(({ title, items }) =>
    el(
      "details",
      {},
      el("summary", {}, `${told(title)} (${formatNumber(items.length)})`),
      el("ul.plain-list.columns", {}, items.map(({ id, name }) => el("li", {}, `${id} ${name}`))),
    ),
  );
}
