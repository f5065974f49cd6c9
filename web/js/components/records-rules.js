/** What licensed people must settle before flight: the rule book, and each record as it is stated. */

import { get, patch, post } from "../lib/api.js";
import { openDialog } from "../lib/dialog.js";
import { el, freshId, when } from "../lib/dom.js";
import { field, form, readForm, sendButton, showErrors } from "../lib/forms.js";
import { sayProblem } from "../lib/notice.js";
import { t, told } from "../lib/text.js";
import { NOBODY, STANDING_LINE, whoFields } from "./sign-off-form.js";
import { takeBack, tellDone } from "./undo.js";

/** The first question. @param {import("../lib/sheet.js").Sheet} sheet @param {any} records @param {() => Promise<void>} again */
export function ruleBook(sheet, { rule_book: chosen, rule_books: books, project_version: version }, again) {
  const id = freshId("rule-book");
  const known = books.some((one) => one.id === chosen);
  const options = [
    known ? null : el("option", { value: "" }, chosen || t`Not chosen yet`),
    books.map((one) => el("option", { value: one.id, selected: one.id === chosen }, `${told(one.name)} (${told(one.note)})`)),
  ];
  const picker = el("select", { id, disabled: sheet.readOnly }, options);
  picker.addEventListener("change", async () => {
    try {
      const done = await patch(sheet.path(), { rule_book: picker.value }, { version });
      await again();
      tellDone(t`The rule book is chosen.`, done, () => takeBack(sheet, { kind: "project", key: "", name: t`rule book`, version: done.version }, again));
    } catch (error) {
      await again();
      sayProblem(error);
    }
  });
  return el("div.field.rule-book", {}, el("label", { for: id }, t`By which rule book will it fly?`), picker);
}

/** @param {import("../lib/sheet.js").Sheet} sheet @param {any} records @param {() => Promise<void>} again */
export function ruleList(sheet, { records }, again) {
  if (!records.length) return el("p.empty-state", {}, t`Choose the rule book: the list depends on it.`);
  return [
    el("p.soft", {}, t`Ribstitch lists and keeps what people say; it settles nothing. How well each rule was read stands beside it.`),
    el("ul.rule-list", { role: "list" }, records.map((one) => entry(sheet, one, again))),
  ];
}

function entry(sheet, one, again) {
  const open = (reopens) => () => say(sheet, one, reopens, again);
  return el(
    "li.rule",
    { "data-record": one.id, "data-stated": String(one.is_stated) },
    el("div.rule-head", {}, el("h3", {}, told(one.rule)), stamp(one), el("span.soft", {}, `(${told(one.basis)})`)),
    el("p", {}, told(one.settles), "."),
    one.by && el("p.rule-said", {}, said(one)),
    el("p.soft", {}, told(one.help), "."),
    sheet.readOnly
      ? null
      : el(
          "div.button-row.no-print",
          {},
          el("button.button", { type: "button", "aria-label": t`State: ${told(one.rule)}`, onclick: open(false) }, one.is_stated ? t`State again…` : t`State…`),
          one.is_stated ? el("button.button.plain", { type: "button", "aria-label": t`Open again: ${told(one.rule)}`, onclick: open(true) }, t`Open again…`) : null,
        ),
  );
}

function said({ is_stated: stated, by, licence, on, statement }) {
  const who = licence ? `${by} (${licence})` : by;
  return stated ? t`Settled, says ${who}, ${when(on)}: ${statement}` : t`Open again, says ${who}, ${when(on)}: ${statement}`;
}

function stamp({ is_stated: stated }) {
  return el(`span.stamp.${stated ? "accomplished" : "held"}`, {}, stated ? t`Stated` : t`Open`);
}

/** What somebody says about a record. */
async function say(sheet, one, reopens, again) {
  const rule = told(one.rule);
  const { signers, sign_offs: signed } = await get(sheet.path("/sign-offs"));
  const last = signed.find(({ record }) => record) ?? { by: "", licence: "" };
  const node = form(
    [
      el("p", {}, told(one.settles), "."),
      whoFields({ last, signers }, t`Licence, number and kind`),
      field({
        label: reopens ? t`What was seen since` : t`What was settled, and where it is written`,
        name: "statement",
        type: "textarea",
        attributes: { required: true, maxlength: 2000 },
      }),
      el("p.standing-line", {}, STANDING_LINE),
    ],
    async () => {
      const { by, licence, statement } = readForm(node);
      const missing = [by ? null : NOBODY, statement ? null : { field: "statement", message: t`Say in a few words what was settled` }].filter(Boolean);
      if (missing.length) {
        showErrors(node, missing);
        return;
      }
      const done = await post(sheet.path(`/records/${encodeURIComponent(one.id)}/sign-off`), { by, licence: licence ?? "", statement, reopens });
      dialog.close();
      await again();
      tellDone(reopens ? t`Open again: ${rule}.` : t`Stated: ${rule}.`, done, () =>
        takeBack(sheet, { kind: "sign_off", key: done.sign_off.key, name: rule, version: done.version }, again),
      );
    },
  );
  const dialog = openDialog({ title: rule, content: node, actions: [sendButton(node, reopens ? t`Open it again` : t`Keep this statement`)] });
}
