/** A link that lets somebody in: shown once, to hand over by whatever way the two have. */

import { openDialog } from "../lib/dialog.js";
import { el, instant } from "../lib/dom.js";
import { t } from "../lib/text.js";
import { copyField } from "./copy-field.js";

/**
 * @param {{path: string, ends_at: string}} link As the service tells it.
 * @param {string} who Whom it lets in.
 * @param {() => void} [onClose]
 */
export function handOver(link, who, onClose) {
  const value = new URL(link.path, location.origin).href;
  openDialog({
    title: t`A link for ${who}`,
    content: [
      el("p", {}, t`Hand it over yourself: no mail is sent. Whoever has it comes in, once, until ${instant(link.ends_at)}.`),
      copyField({ label: t`Link`, name: "link", value, copy: t`Copy the link`, done: t`The link is copied.` }),
      el("p.soft", {}, t`It is not shown again; another one can be made at any time, and this one is then over.`),
    ],
    onClose,
  });
}
