/** Tables of the project to open elsewhere, each as a workbook and as comma-separated values. */

import { address } from "../lib/api.js";
import { el } from "../lib/dom.js";

/** @param {import("../lib/sheet.js").Sheet} sheet @param {string[]} names As in the address. */
export function tableLinks(sheet, names) {
  const link = (name, kind) => el("a", { href: address(sheet.path(`/exports/${name}.${kind}`)), download: "", "aria-label": `${words(name)}, ${kind}` }, kind);
  const item = (name) => el("li", {}, words(name), " ", link(name, "xlsx"), " ", link(name, "csv"));
  return el("div.table-links.soft.no-print", {}, el("p", {}, "To open elsewhere:"), el("ul", { role: "list" }, names.map(item)));
}

function words(name) {
  return name.replace("-", " ");
}
