/** Own account: name, password, second factor, where one is signed in, tokens. */

import { showDevices } from "../components/own-devices.js";
import { showSecondFactor } from "../components/own-second-factor.js";
import { showTokens } from "../components/own-tokens.js";
import { passwordField, typedPassword, whosePassword } from "../components/password-field.js";
import { get, patch, post } from "../lib/api.js";
import { byId, el, fill } from "../lib/dom.js";
import { field, form, readForm } from "../lib/forms.js";
import { say } from "../lib/notice.js";
import { runWithoutProject } from "../lib/sheet.js";
import { t } from "../lib/text.js";

runWithoutProject(async ({ person }) => {
  if (person.entry === "open") {
    const without = el("p", {}, t`Nobody has an account here: whoever opens a sheet says at its top who they are. The link that the service prints when it starts makes the first account.`);
    fill(byId("main"), el("h1", {}, t`Own account`), without);
    return;
  }
  const { projects } = await get("/projects");
  await Promise.all([showOwn(), showDevices(), showTokens(projects)]);
});

async function showOwn() {
  const account = await get("/account");
  fill(byId("name-form"), nameForm(account));
  fill(byId("password-form"), passwordForm(account));
  showSecondFactor(account, showOwn);
}

function nameForm(account) {
  const node = form(
    [
      field({ label: t`Name`, name: "name", value: account.name, hint: t`It stands beside whatever you change from now on. You sign in as ${account.email}.`, attributes: { autocomplete: "name", maxlength: 80 } }),
      el("div.button-row", {}, el("button.button.strong", {}, t`Save`)),
    ],
    async () => {
      ({ version: account.version } = await patch("/account", { name: readForm(node).name ?? "" }, { version: account.version }));
      document.querySelector(".person-name").textContent = readForm(node).name;
      say(t`Saved: your name.`);
    },
    async () => {
      ({ version: account.version } = await get("/account"));
    },
  );
  return node;
}

function passwordForm(account) {
  const node = form(
    [
      whosePassword(account.email),
      passwordField({ label: t`Password until now`, name: "old_password" }),
      passwordField({ label: t`New password`, name: "new_password", isNew: true }),
      el("div.button-row", {}, el("button.button.strong", {}, t`Take the new password`)),
    ],
    async () => {
      await post("/account/password", { old_password: typedPassword(node, "old_password"), new_password: typedPassword(node, "new_password") });
      node.reset();
      await Promise.all([showOwn(), showDevices()]);
      say(t`The new password stands. Everywhere else you have to sign in anew.`);
    },
  );
  return node;
}
