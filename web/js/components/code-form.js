/** The second step of a sign-in: a code of the app, or a recovery code. */

import { post } from "../lib/api.js";
import { el } from "../lib/dom.js";
import { field, form, readForm } from "../lib/forms.js";
import { t } from "../lib/text.js";

const APP = { label: t`Code of your app`, hint: t`Six digits; a new one comes every half minute.`, inputmode: "numeric", other: t`Use a recovery code instead` };
const RECOVERY = { label: t`Recovery code`, hint: t`One of the ten that you have kept. Each lets you in once.`, inputmode: "text", other: t`Use the app instead` };

/** @param {() => void} done Called once the code fitted. @returns {HTMLFormElement} */
export function codeForm(done) {
  const place = el("div");
  const other = el("button.button.plain", { type: "button" });
  let kind = APP;
  const draw = () => {
    const attributes = { autocomplete: "one-time-code", inputmode: kind.inputmode, maxlength: 60, spellcheck: "false", autocapitalize: "off" };
    place.replaceChildren(field({ label: kind.label, name: "code", hint: kind.hint, attributes }));
    other.textContent = kind.other;
  };
  other.addEventListener("click", () => {
    kind = kind === APP ? RECOVERY : APP;
    draw();
    place.querySelector("input").focus();
  });
  draw();
  const node = form([place, el("div.button-row", {}, el("button.button.strong", {}, t`Go in`), other)], async () => {
    await post("/sign-in/second-factor", { code: readForm(node).code ?? "" });
    done();
  });
  node.dataset.refused = t`Not in yet`;
  return node;
}
