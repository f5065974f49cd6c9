/**
 * Signing the check of a task: who, licence, what was seen, the photos; and apart from it, passing
 * over the check with a reason. With a status the task is recorded in the same step.
 */

import { get, post } from "../lib/api.js";
import { openDialog } from "../lib/dialog.js";
import { el } from "../lib/dom.js";
import { field, form, readForm, sendButton, showErrors } from "../lib/forms.js";
import { finishSentence } from "../lib/format.js";
import { t } from "../lib/text.js";
import { checkName, checkStamp, checkText } from "./check-words.js";
import { photos } from "./photos.js";
import { takeBack, tellDone } from "./undo.js";

export const STANDING_LINE = t`Usual cautions only. The maker’s documents, local codes and licensed people decide.`;

/** What can be recorded with it, in the same step, as the form says it. */
const BECOMES = {
  done: { title: t`Done`, pass: t`Pass over it, and done`, sign: t`Sign off, and done` },
  dropped: { title: t`Dropped`, pass: t`Pass over it, and drop it`, sign: t`Sign off, and drop it` },
};

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {{id: string, name: string, version: number, check: any}} card
 * @param {object} options
 * @param {any} [options.status] Where the task stands with it: done, or dropped.
 * @param {() => Promise<void>} options.afterwards Called after signing and after undo.
 */
export async function openSignOff(sheet, card, { status, afterwards }) {
  const signing = await signingOf(sheet, card, afterwards);
  const { check } = card;
  const says = BECOMES[status?.state] ?? { title: checkName(check.kind), pass: t`Pass over it`, sign: t`Sign off` };
  const sign = form([whoFields(signing, check.kind === "buy_off" ? t`Licence, number and scope` : t`Licence, if there is one`), statementField(check)], async () => {
    const { by, licence, statement } = readForm(sign);
    const missing = lacking(check, { by, licence, statement });
    if (missing.length) showErrors(sign, missing);
    else await signing.send({ by, licence: licence ?? "", statement: statement ?? "", status }, () => dialog.close());
  }, signing.reread);
  const over = form([nameField(signing.last), reasonField()], async () => {
    const { by, override } = readForm(over);
    const missing = [...(by ? [] : [NOBODY]), ...(override ? [] : [{ field: "override", message: t`Because: say why it cannot wait` }])];
    if (missing.length) showErrors(over, missing);
    else await signing.send({ by, override, status }, () => dialog.close());
  }, signing.reread);
  over.append(el("div.button-row", {}, el("button.button", {}, says.pass)));
  const dialog = openDialog({
    title: t`${says.title}: ${card.name || card.id}`,
    content: [
      el("p.check-line", {}, checkStamp(check), " ", checkText(check)),
      photos({ sheet, of: { task: card.id } }),
      sign,
      el("details.pass-over", {}, el("summary", {}, t`Pass over it, because …`), over),
      el("p.standing-line", {}, STANDING_LINE),
    ],
    actions: [sendButton(sign, says.sign)],
    wide: true,
  });
}

/** Open a check again that was signed. Same arguments as `openSignOff`, without a status. */
export async function openReopening(sheet, card, { afterwards }) {
  const signing = await signingOf(sheet, card, afterwards);
  const node = form(
    [
      el("p", {}, t`What was signed stays in the list. Nothing behind this check begins before it is settled again.`),
      nameField(signing.last),
      field({ label: t`What was seen since`, name: "statement", type: "textarea", attributes: { required: true, maxlength: 2000 } }),
    ],
    async () => {
      const { by, statement } = readForm(node);
      const missing = [...(by ? [] : [NOBODY]), ...(statement ? [] : [{ field: "statement", message: t`Say why the check is open again` }])];
      if (missing.length) showErrors(node, missing);
      else await signing.send({ by, statement, reopens: true }, () => dialog.close());
    },
    signing.reread,
  );
  const dialog = openDialog({ title: t`Open again: ${card.name || card.id}`, content: node, actions: [sendButton(node, t`Open it again`)] });
}

/** Said where nobody is named. */
export const NOBODY = { field: "by", message: t`Who: give the name of a person` };

/** Who signed this kind of check last, who else may, and how it is sent. */
async function signingOf(sheet, card, afterwards) {
  let { version } = card;
  const path = sheet.path(`/tasks/${encodeURIComponent(card.id)}`);
  const { sign_offs: signed, signers } = await get(sheet.path("/sign-offs"));
  const last = signed.find(({ kind, task, override, reopens }) => task && kind === card.check.kind && !override && !reopens);
  const name = card.name || card.id;
  return {
    last: last ?? { by: "", licence: "" },
    signers,
    async reread() {
      ({ version } = await get(path));
    },
    async send(body, close) {
      const done = await post(`${path}/sign-off`, body, { version });
      close();
      await afterwards();
      const did = body.reopens ? t`Open again` : body.override ? t`Passed over` : t`Signed off`;
      tellDone(t`${did}: ${name}. ${finishSentence(done.finish)}`, done, () =>
        takeBack(sheet, { kind: "sign_off", key: done.sign_off.key, name, version: done.version }, afterwards),
      );
    },
  };
}

function nameField({ by }, signers = []) {
  return field({
    label: t`Who`,
    name: "by",
    value: by,
    suggestions: signers.map((one) => one.by),
    attributes: { required: true, maxlength: 200, autocomplete: "off" },
  });
}

/**
 * Name and licence: whose licence is known need not give it again.
 * @param {{last: {by: string, licence: string}, signers: {by: string, licence: string}[]}} known
 * @param {string} licenceLabel
 */
export function whoFields({ last, signers }, licenceLabel) {
  const who = nameField(last, signers);
  const licence = field({ label: licenceLabel, name: "licence", value: last.licence, attributes: { maxlength: 200, autocomplete: "off" } });
  const [name, number] = [who, licence].map((one) => one.querySelector("input"));
  name.addEventListener("change", () => {
    number.value = signers.find(({ by }) => by === name.value.trim())?.licence ?? "";
  });
  return el("div.fields", {}, who, licence);
}

function statementField({ kind, wants }) {
  const seen = wants ? t`Seen: ${wants}.` : "";
  return field({
    label: kind === "witness" ? t`What was watched, and how it went` : t`What was seen`,
    name: "statement",
    type: "textarea",
    value: kind === "witness" ? "" : seen,
    hint: kind === "witness" && wants ? t`Wanted: ${wants}.` : undefined,
    attributes: { maxlength: 2000, rows: 2 },
  });
}

function reasonField() {
  return field({
    label: t`Because`,
    name: "override",
    type: "textarea",
    hint: t`Your name and the reason are kept and stay on the Records sheet.`,
    attributes: { required: true, maxlength: 2000, rows: 2 },
  });
}

function lacking({ kind }, { by, licence, statement }) {
  return [
    by ? null : NOBODY,
    kind === "buy_off" && !licence ? { field: "licence", message: t`Licence: a buy-off needs it, as the inspector gives it` } : null,
    kind !== "hold" && !statement ? { field: "statement", message: t`Say in a few words what was seen` } : null,
  ].filter(Boolean);
}
