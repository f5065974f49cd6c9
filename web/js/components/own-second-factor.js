/** One's second factor: set up with an app, confirmed by a code, given up; recovery codes. */

import { post, put } from "../lib/api.js";
import { copyText } from "../lib/copying.js";
import { byId, el, fill } from "../lib/dom.js";
import { field, form, readForm } from "../lib/forms.js";
import { say } from "../lib/notice.js";
import { copyField } from "./copy-field.js";
import { unfolding } from "./editing.js";
import { passwordField, typedPassword, whosePassword } from "./password-field.js";

/** @param {any} account As the service tells it. @param {() => Promise<void>} afterwards */
export function showSecondFactor(account, afterwards) {
  const place = byId("factor");
  const begin = (text) => proofForm(account, text, "/account/second-factor", (shown) => showSecret(place, account, shown, afterwards));
  if (!account.second_factor) {
    fill(place, el("p", {}, "Not set up: the password alone lets you in. With it, a code of an app on your telephone is asked for as well."), begin("Set it up"));
    return;
  }
  const drop = proofForm(account, "Do without it", "/account/second-factor/drop", async () => {
    await afterwards();
    say("From now on the password alone lets you in.");
  });
  fill(
    place,
    el("p", {}, "Set up: a code of your app is asked for at each sign-in. ", codesLeft(account.recovery_codes_left)),
    el("div.things", {}, unfolding("anew", el("b", {}, "Set it up anew, with new recovery codes"), begin("Set it up anew")), unfolding("drop", el("b", {}, "Do without it"), drop)),
  );
}

function codesLeft(count) {
  if (!count) return "No recovery code is left: set it up anew before the telephone is lost.";
  return count === 1 ? "One recovery code is left." : `${count} recovery codes are left.`;
}

/** What is worth a password is asked for one. */
function proofForm(account, text, path, done) {
  const node = form([whosePassword(account.email), passwordField({ label: "Your password", name: "password" }), el("div.button-row", {}, el("button.button", {}, text))], async () => {
    await done(await post(path, { password: typedPassword(node, "password") }));
  });
  return node;
}

function showSecret(place, account, { secret, address, picture }, afterwards) {
  const confirm = form(
    [
      field({ label: "Code that the app shows now", name: "code", attributes: { autocomplete: "one-time-code", inputmode: "numeric", maxlength: 12, spellcheck: "false" } }),
      el("div.button-row", {}, el("button.button.strong", {}, "Confirm"), el("button.button.plain", { type: "button", onclick: () => afterwards() }, "Leave it")),
    ],
    async () => {
      const { recovery_codes: codes } = await put("/account/second-factor", { code: readForm(confirm).code ?? "" });
      showCodes(place, account, codes, afterwards);
    },
  );
  fill(
    place,
    el("p", {}, "Let an app for one-time codes read this picture, or type the secret into it. On the telephone itself ", el("a", { href: address }, "this link"), " opens the app."),
    el("div.secret", {}, el("img", { src: picture, alt: "The secret as a QR code", width: 240, height: 240 }), copyField({ label: "Secret", name: "secret", value: secret.match(/.{1,4}/g).join(" "), copy: "the secret", done: "The secret is copied.", hint: "By time, six digits, every 30 seconds." })),
    confirm,
  );
  place.querySelector("img").scrollIntoView({ block: "nearest" });
}

function showCodes(place, { email }, codes, afterwards) {
  const copied = () => copyText(codes.join("\n"), { done: "The recovery codes are copied.", otherwise: "The browser does not let this page copy: print them, or write them down." });
  const heading = el("h3", { tabindex: "-1" }, "Recovery codes");
  fill(
    place,
    el(
      "div.recovery.stack",
      {},
      heading,
      el("p", {}, "The second factor is set up. Each of these lets you in once when the telephone is lost. They are shown this once: keep them where the telephone is not."),
      el("p", {}, "For ", el("b", {}, email), ` at ${location.host}.`),
      el("ol.recovery-codes", {}, codes.map((code) => el("li", {}, el("code", {}, code)))),
      el("div.button-row", {}, el("button.button.strong", { type: "button", onclick: () => print() }, "Print"), el("button.button", { type: "button", onclick: copied }, "Copy"), el("button.button", { type: "button", onclick: () => afterwards() }, "I have kept them")),
    ),
  );
  heading.focus();
}
