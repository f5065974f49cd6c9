/** The checks that keep an item in the shop, each with the way to settle it or to pass over it. */

import { datedText, el } from "../lib/dom.js";
import { sayProblem } from "../lib/notice.js";
import { t } from "../lib/text.js";
import { openSignOff } from "./sign-off-form.js";

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {any[]} checks As an item of the Away answer, or a packing list, has them.
 * @param {object} page
 * @param {() => Promise<void>} page.again
 * @param {() => void} [page.close] Puts away the dialog in which they stand.
 */
export function openChecks(sheet, checks, { again, close = () => {} }) {
  if (!checks.length) return null;
  return el("ul.open-checks", { role: "list" }, checks.map((one) => line(sheet, one, again, close)));
}

function line(sheet, { task, name, sentence, check, version }, again, close) {
  const sign = () => {
    close();
    openSignOff(sheet, { id: task, name, version, check }, { afterwards: again }).catch(sayProblem);
  };
  return el(
    "li.check-waits",
    {},
    el("span", {}, t`Cannot leave: ${datedText(sentence)}`),
    sheet.readOnly ? null : el("button.button.no-print", { type: "button", "aria-label": t`Sign off: ${name}`, onclick: sign }, t`Sign off…`),
  );
}
