/** A one-time link: the first account, an invitation, or a new password. */

import { codeForm } from "../components/code-form.js";
import { passwordField, typedPassword, whosePassword } from "../components/password-field.js";
import { ApiError, post } from "../lib/api.js";
import { byId, el, fill } from "../lib/dom.js";
import { field, form, readForm } from "../lib/forms.js";
import { runEntrance } from "../lib/sheet.js";
import { t } from "../lib/text.js";

const WORDS = {
  "set-up": {
    heading: t`The first account`,
    about: t`It keeps this server: it begins projects, lets everybody else in, and is planner in all projects. From then on people sign in.`,
    button: t`Make the account`,
  },
  invitation: { heading: t`You are invited`, about: t`Say how you are called here, and choose a password.`, button: t`Come in` },
  "new-password": { heading: t`A new password`, about: t`The one before, and every sign-in with it, are then over.`, button: t`Take this password` },
};

addEventListener("hashchange", () => location.reload());

runEntrance(async () => {
  const token = location.hash.slice(1);
  const told = await lookedAt(token);
  if (!told) return;
  const words = WORDS[told.purpose];
  fill(byId("heading"), words.heading);
  fill(byId("entrance"), el("p", {}, words.about), joinForm(token, told, words.button));
});

/** What the link is for; null, and told so, if it lets nobody in. */
async function lookedAt(token) {
  try {
    return await post("/one-time-links/look", { token });
  } catch (error) {
    if (!(error instanceof ApiError && error.status === 404)) throw error;
    fill(byId("heading"), t`This link lets nobody in`);
    fill(
      byId("entrance"),
      el("p", {}, t`Each link is good once, and for a few days at most: this one was used, or is over, or was not copied whole. Ask whoever gave it to you for another one.`),
      el("p", {}, el("a.button", { href: "/sign-in" }, t`Sign in`)),
    );
    return null;
  }
}

function joinForm(token, { purpose, name, email }, text) {
  const isNew = purpose !== "new-password";
  const isFirst = purpose === "set-up";
  const node = form(
    [
      isFirst
        ? field({ label: t`Email`, name: "email", type: "email", hint: t`With it you sign in. No mail is sent to it.`, attributes: { autocomplete: "username", autocapitalize: "off", spellcheck: "false" } })
        : [el("p", {}, t`For ${el("b", {}, email)}.`), whosePassword(email)],
      isNew ? field({ label: t`Name`, name: "name", value: name === email ? "" : name, hint: t`It stands beside whatever you change.`, attributes: { autocomplete: "name", maxlength: 80 } }) : null,
      passwordField({ label: isNew ? t`Password` : t`New password`, name: "password", isNew: true }),
      el("div.button-row", {}, el("button.button.strong", {}, text)),
    ],
    async () => {
      const typed = readForm(node);
      const asked = { token, password: typedPassword(node, "password"), name: typed.name ?? "", email: typed.email ?? "" };
      const { second_factor: isAsked } = await post("/one-time-links/use", asked);
      if (!isAsked) goOn();
      else showCode();
    },
  );
  node.dataset.refused = t`Not in yet`;
  return node;
}

function showCode() {
  const node = codeForm(goOn);
  fill(byId("entrance"), el("p", {}, t`The new password stands. Your second factor is still asked for.`), node);
  node.querySelector("input").focus();
}

/** The used link does not stay in the way back. */
function goOn() {
  location.replace("/");
}
