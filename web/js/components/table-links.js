/** Tables of the project to open elsewhere, each as a workbook and as comma-separated values. */

import { address } from "../lib/api.js";
import { el } from "../lib/dom.js";
import { t } from "../lib/text.js";

const NAMES = {
  tasks: t`tasks`,
  links: t`links`,
  "send-outs": t`send-outs`,
  vendors: t`vendors`,
  crew: t`crew`,
  costs: t`costs`,
  payments: t`payments`,
  hours: t`hours`,
  findings: t`findings`,
  originality: t`originality`,
  "sign-offs": t`sign-offs`,
};

/** @param {import("../lib/sheet.js").Sheet} sheet @param {(keyof typeof NAMES)[]} names As in the address. */
export function tableLinks(sheet, names) {
  const item = (name) => el("li", {}, NAMES[name], " ", fileLinks(NAMES[name], (kind) => address(sheet.path(`/exports/${name}.${kind}`))));
  return el("div.table-links.soft.no-print", {}, el("p", {}, t`To open elsewhere:`), el("ul", { role: "list" }, names.map(item)));
}

/** A table as its two kinds of file. @param {string} name @param {(kind: string) => string} where */
export function fileLinks(name, where) {
  const link = (kind) => el("a", { href: where(kind), download: "", translate: "no", "aria-label": `${name}, ${kind}` }, kind);
  return [link("xlsx"), " ", link("csv")];
}
