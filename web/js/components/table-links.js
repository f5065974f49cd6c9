/** Tables of the project to open elsewhere, each as a workbook and as comma-separated values. */

import { address } from "../lib/api.js";
import { el } from "../lib/dom.js";
import { t } from "../lib/text.js";

/** @param {import("../lib/sheet.js").Sheet} sheet @param {string[]} names As in the address. */
export function tableLinks(sheet, names) {
  const item = (name) => el("li", {}, name, " ", fileLinks(name, (kind) => address(sheet.path(`/exports/${name}.${kind}`))));
  return el("div.table-links.soft.no-print", {}, el("p", {}, t`To open elsewhere:`), el("ul", { role: "list" }, names.map(item)));
}

/** A table as its two kinds of file. @param {string} name @param {(kind: string) => string} where */
export function fileLinks(name, where) {
  const link = (kind) => el("a", { href: where(kind), download: "", "aria-label": `${name}, ${kind}` }, kind);
  return [link("xlsx"), " ", link("csv")];
}
