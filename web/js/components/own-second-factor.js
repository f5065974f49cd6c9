/** One's second factor: set up with an app, confirmed by a code, given up; recovery codes. */

import { post, put } from "../lib/api.js";
import { copyText } from "../lib/copying.js";
import { byId, el, fill } from "../lib/dom.js";
import { field, form, readForm } from "../lib/forms.js";
import { say } from "../lib/notice.js";
import { many, t } from "../lib/text.js";
import { copyField } from "./copy-field.js";
import { unfolding } from "./editing.js";
import { passwordField, typedPassword, whosePassword } from "./password-field.js";

/** @param {any} account As the service tells it. @param {() => Promise<void>} afterwards */
export function showSecondFactor(account, afterwards) {
  const place = byId("factor");
  const begin = (text) => proofForm(account, text, "/account/second-factor", (shown) => showSecret(place, account, shown, afterwards));
  if (!account.second_factor) {
    fill(place, el("p", {}, t`Not set up: the password alone lets you in. With it, a code of an app on your telephone is asked for as well.`), begin(t`Set it up`));
    return;
  }
  const drop = proofForm(account, t`Do without it`, "/account/second-factor/drop", async () => {
    await afterwards();
    say(t`From now on the password alone lets you in.`);
  });
  fill(
    place,
    el("p", {}, t`Set up: a code of your app is asked for at each sign-in.`, " ", codesLeft(account.recovery_codes_left)),
    el("div.things", {}, unfolding("anew", el("b", {}, t`Set it up anew, with new recovery codes`), begin(t`Set it up anew`)), unfolding("drop", el("b", {}, t`Do without it`), drop)),
  );
}

function codesLeft(count) {
  if (!count) return t`No recovery code is left: set it up anew before the telephone is lost.`;
  return many(count, "One recovery code is left.", "{n} recovery codes are left.");
}

/** What is worth a password is asked for one. */
function proofForm(account, text, path, done) {
  const node = form([whosePassword(account.email), passwordField({ label: t`Your password`, name: "password" }), el("div.button-row", {}, el("button.button", {}, text))], async () => {
    await done(await post(path, { password: typedPassword(node, "password") }));
  });
  return node;
}

function showSecret(place, account, { secret, address, picture }, afterwards) {
  const confirm = form(
    [
      field({ label: t`Code that the app shows now`, name: "code", attributes: { autocomplete: "one-time-code", inputmode: "numeric", maxlength: 12, spellcheck: "false" } }),
      el("div.button-row", {}, el("button.button.strong", {}, t`Confirm`), el("button.button.plain", { type: "button", onclick: () => afterwards() }, t`Leave it`)),
    ],
    async () => {
      const { recovery_codes: codes } = await put("/account/second-factor", { code: readForm(confirm).code ?? "" });
      showCodes(place, account, codes, afterwards);
    },
  );
  fill(
    place,
    el("p", {}, t`Let an app for one-time codes read this picture, or type the secret into it. On the telephone itself ${el("a", { href: address }, t`this link`)} opens the app.`),
    el("div.secret", {}, el("img", { src: picture, alt: t`The secret as a QR code`, width: 240, height: 240 }), copyField({ label: t`Secret`, name: "secret", value: secret.match(/.{1,4}/g).join(" "), copy: t`Copy the secret`, done: t`The secret is copied.`, hint: t`By time, six digits, every 30 seconds.` })),
    confirm,
  );
  place.querySelector("img").scrollIntoView({ block: "nearest" });
}

function showCodes(place, { email }, codes, afterwards) {
  const copied = () => copyText(codes.join("\n"), { done: t`The recovery codes are copied.`, otherwise: t`The browser does not let this page copy: print them, or write them down.` });
  const heading = el("h3", { tabindex: "-1" }, t`Recovery codes`);
  fill(
    place,
    el(
      "div.recovery.stack",
      {},
      heading,
      el("p", {}, t`The second factor is set up. Each of these lets you in once when the telephone is lost. They are shown this once: keep them where the telephone is not.`),
      el("p", {}, t`For ${el("b", {}, email)} at ${location.host}.`),
      el("ol.recovery-codes", {}, codes.map((code) => el("li", {}, el("code", {}, code)))),
      el("div.button-row", {}, el("button.button.strong", { type: "button", onclick: () => print() }, t`Print`), el("button.button", { type: "button", onclick: copied }, t`Copy`), el("button.button", { type: "button", onclick: () => afterwards() }, t`I have kept them`)),
    ),
  );
  heading.focus();
}
