/** Signing in: email and password, then the second factor where there is one. */

import { codeForm } from "../components/code-form.js";
import { passwordField, typedPassword } from "../components/password-field.js";
import { post } from "../lib/api.js";
import { byId, el, fill } from "../lib/dom.js";
import { placeAfter } from "../lib/entry.js";
import { field, form, readForm } from "../lib/forms.js";
import { runEntrance } from "../lib/sheet.js";
import { t } from "../lib/text.js";

runEntrance(async (session) => {
  if (session.name) goOn();
  else fill(byId("entrance"), signInForm(), el("p.soft", {}, t`No account yet, or the password is lost? Whoever plans your project, or keeps the server, hands you a link.`));
});

function signInForm() {
  const node = form(
    [
      field({ label: t`Email`, name: "email", type: "email", attributes: { autocomplete: "username", autocapitalize: "off", spellcheck: "false" } }),
      passwordField({ label: t`Password`, name: "password" }),
      el("div.button-row", {}, el("button.button.strong", {}, t`Sign in`)),
    ],
    async () => {
      const asked = { email: readForm(node).email ?? "", password: typedPassword(node, "password") };
      const { second_factor: isAsked } = await post("/sign-in", asked);
      if (!isAsked) goOn();
      else showCode();
    },
  );
  node.dataset.refused = t`Not in yet`;
  return node;
}

function showCode() {
  const node = codeForm(goOn);
  const again = el("a", { href: location.href, onclick: () => location.reload() }, t`Begin again with email and password`);
  fill(byId("entrance"), node, el("p", {}, again));
  node.querySelector("input").focus();
}

function goOn() {
  location.replace(placeAfter(new URLSearchParams(location.search).get("then")));
}
