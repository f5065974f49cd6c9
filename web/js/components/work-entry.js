/** Words to copy into a log: what was done in a span of dates. Who signs decides what is written. */

import { get } from "../lib/api.js";
import { copyText } from "../lib/copying.js";
import { el, fill } from "../lib/dom.js";
import { field, form, readForm } from "../lib/forms.js";
import { t } from "../lib/text.js";

/** @param {import("../lib/sheet.js").Sheet} sheet */
export async function workEntry(sheet) {
  const text = el("pre.entry-text", { tabindex: "0", role: "region", "aria-label": t`The words of the draft`, translate: "no" });
  const show = async (query) => {
    const entry = await get(sheet.path("/work-entry"), { query });
    fill(text, entry.text);
    text.dataset.tasks = String(entry.tasks);
    return entry;
  };
  const { first, last } = await show({});
  const date = (label, name, value) => field({ label, name, type: "date", value, attributes: { max: sheet.project.as_of } });
  const copy = el("button.button", { type: "button", onclick: () => copied(text) }, t`Copy the words`);
  const node = form(
    [
      el("p.soft", {}, t`What was done, when and by whom, with room for name, certificate and signature: what 14 CFR 43.9 asks for. Who signs decides what is written.`),
      el("div.fields.no-print", {}, date(t`Done from`, "first", first), date(t`until`, "last", last)),
      el("div.button-row.no-print", {}, el("button.button", {}, t`Draft it`), copy),
    ],
    async () => {
      await show(readForm(node));
    },
  );
  return [node, text];
}

function copied(text) {
  return copyText(text.textContent, {
    done: t`Copied. Read it through before anybody signs.`,
    otherwise: t`The browser does not let this page copy. The words are marked: copy them from there.`,
    mark: () => {
      text.focus();
      getSelection().selectAllChildren(text);
    },
  });
}
