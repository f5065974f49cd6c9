/** Where one is signed in, and out again. */

import { get, remove } from "../lib/api.js";
import { ask } from "../lib/dialog.js";
import { byId, el, fill, instant } from "../lib/dom.js";
import { formatInstant } from "../lib/format.js";
import { say, sayProblem } from "../lib/notice.js";
import { t } from "../lib/text.js";
import { signOut } from "./person-menu.js";

export async function showDevices() {
  const { sessions } = await get("/account/sessions");
  fill(byId("devices-count"), String(sessions.length));
  fill(
    byId("devices-list"),
    el("ul.lines", { role: "list" }, sessions.map(line)),
    el("div.button-row", {}, el("button.button", { type: "button", onclick: leaveEverywhere }, t`Sign out everywhere…`)),
  );
}

function line({ id, device, since, seen_at: seen, this: isThis }) {
  const leave = el("button.button", { type: "button", "aria-label": t`Sign out there: ${device}, since ${formatInstant(since)}` }, t`Sign out there`);
  leave.addEventListener("click", async () => {
    try {
      await remove(`/account/sessions/${id}`);
      await showDevices();
      say(t`Signed out: ${device}.`);
    } catch (error) {
      sayProblem(error);
    }
  });
  return el(
    "li.line.device",
    {},
    el("div", {}, el("h3", {}, device), el("p.soft", {}, t`since ${instant(since)}, last used ${instant(seen)}`)),
    isThis ? el("span.stamp.in_work", {}, t`here`) : leave,
  );
}

async function leaveEverywhere() {
  const text = t`This account is then open nowhere, not here either. Tokens go on.`;
  if (!(await ask({ title: t`Sign out everywhere?`, text, action: t`Sign out everywhere` }))) return;
  await signOut({ everywhere: true }).catch(sayProblem);
}
