/** The account log in words, a page at a time. */

import { get } from "../lib/api.js";
import { el, fill, instant } from "../lib/dom.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { t } from "../lib/text.js";

const SAID = {
  "set-up": t`made the first account`,
  invitation: t`invitation`,
  "invitation-link": t`another link for an invitation`,
  "new-password": t`took a new password by a link`,
  "new-password-link": t`link for a new password`,
  keeper: t`made a keeper`,
  "no-keeper": t`keeper no more`,
  join: t`let into a project`,
  role: t`another role`,
  leave: t`taken out of a project`,
  close: t`account closed`,
  open: t`account opened again`,
  name: t`another name`,
  password: t`took a new password`,
  "second-factor": t`second factor set up`,
  "no-second-factor": t`second factor given up`,
  "second-factor-refused": t`second factor did not fit`,
  "sign-in": t`signed in`,
  "sign-in-refused": t`sign-in did not fit`,
  "sign-out": t`signed out`,
  "sign-out-everywhere": t`signed out everywhere`,
  "session-end": t`signed out elsewhere`,
  token: t`token made`,
  "token-end": t`token revoked`,
};

/** @param {HTMLElement} place @param {any[]} people All accounts. @param {any[]} projects */
export async function showAccountLog(place, people, projects) {
  const first = await get("/account-log");
  draw(place, first.lines, first.next_before, columns(people, projects));
}

function draw(place, lines, before, shown) {
  const more = el("button.button", { type: "button" }, t`Show older`);
  more.addEventListener("click", async () => {
    more.disabled = true;
    try {
      const page = await get("/account-log", { query: { before } });
      draw(place, [...lines, ...page.lines], page.next_before, shown);
    } catch (error) {
      more.disabled = false;
      sayProblem(error);
    }
  });
  fill(place, table({ caption: t`Account log`, hideCaption: true, rows: lines, columns: shown }), before ? el("p.no-print", {}, more) : null);
}

/** Inviting and coming are one action: from where it was is known of who came. */
function said(action, detail) {
  if (action === "invitation" && detail) return t`came by an invitation`;
  return SAID[action] ?? action;
}

function columns(people, projects) {
  const nameIn = (list, wanted) => list.find(({ id }) => id === wanted)?.name;
  const about = ({ account, project }) => [nameIn(people, account), nameIn(projects, project)].filter(Boolean).join(", in ");
  return [
    { label: t`When`, cell: ({ at }) => instant(at), heading: true },
    { label: t`Who`, cell: ({ who }) => who || t`nobody known, or a command` },
    { label: t`What`, cell: ({ action, detail }) => [said(action, detail), detail ? el("span.soft", {}, ` (${detail})`) : null].filter(Boolean) },
    { label: t`Whose account, which project`, cell: about },
  ];
}
