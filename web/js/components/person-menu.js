/** Who is signed in, at the top of each sheet: their own account, and the way out. */

import { post } from "../lib/api.js";
import { el } from "../lib/dom.js";
import { sayProblem } from "../lib/notice.js";
import { roundAddress } from "../lib/shown-round.js";
import { t } from "../lib/text.js";

/**
 * @param {any} session As the service tells it.
 * @param {(page: string) => string} link
 * @param {string} [role] In the project that is in sight.
 * @returns {HTMLElement}
 */
export function personMenu(session, link, role) {
  const out = el("button", { type: "button", onclick: () => signOut({}).catch(sayProblem) }, t`Sign out`);
  const menu = el(
    "details.person-menu",
    {},
    el("summary", {}, el("span.person-label", {}, t`I am`), " ", el("span.person-name", {}, session.name)),
    el(
      "div.person-ways",
      {},
      el("a", { href: link("account") }, t`Own account`),
      session.is_keeper ? el("a", { href: link("people") }, t`All accounts`) : null,
      role ? el("a", { href: roundAddress(role, link) }, t`Show me round`) : null,
      out,
    ),
  );
  document.addEventListener("click", ({ target }) => {
    if (!menu.contains(target)) menu.open = false;
  });
  menu.addEventListener("keydown", ({ key }) => {
    if (key !== "Escape" || !menu.open) return;
    menu.open = false;
    menu.querySelector("summary").focus();
  });
  return menu;
}

/** Leave, here or everywhere. @param {{everywhere?: boolean}} how */
export async function signOut(how) {
  await post("/sign-out", how);
  location.assign("/sign-in");
}
