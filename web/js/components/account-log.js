/** The account log in words, a page at a time. */

import { get } from "../lib/api.js";
import { el, fill, instant } from "../lib/dom.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";

const SAID = {
  "set-up": "made the first account",
  invitation: "invitation",
  "invitation-link": "another link for an invitation",
  "new-password": "took a new password by a link",
  "new-password-link": "link for a new password",
  keeper: "made a keeper",
  "no-keeper": "keeper no more",
  join: "let into a project",
  role: "another role",
  leave: "taken out of a project",
  close: "account closed",
  open: "account opened again",
  name: "another name",
  password: "took a new password",
  "second-factor": "second factor set up",
  "no-second-factor": "second factor given up",
  "second-factor-refused": "second factor did not fit",
  "sign-in": "signed in",
  "sign-in-refused": "sign-in did not fit",
  "sign-out": "signed out",
  "sign-out-everywhere": "signed out everywhere",
  "session-end": "signed out elsewhere",
  token: "token made",
  "token-end": "token revoked",
};

/** @param {HTMLElement} place @param {any[]} people All accounts. @param {any[]} projects */
export async function showAccountLog(place, people, projects) {
  const first = await get("/account-log");
  draw(place, first.lines, first.next_before, columns(people, projects));
}

function draw(place, lines, before, shown) {
  const more = el("button.button", { type: "button" }, "Show older");
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
  fill(place, table({ caption: "Account log", hideCaption: true, rows: lines, columns: shown }), before ? el("p.no-print", {}, more) : null);
}

/** Inviting and coming are one action: from where it was is known of who came. */
function said(action, detail) {
  if (action === "invitation" && detail) return "came by an invitation";
  return SAID[action] ?? action;
}

function columns(people, projects) {
  const nameIn = (list, wanted) => list.find(({ id }) => id === wanted)?.name;
  const about = ({ account, project }) => [nameIn(people, account), nameIn(projects, project)].filter(Boolean).join(", in ");
  return [
    { label: "When", cell: ({ at }) => instant(at), heading: true },
    { label: "Who", cell: ({ who }) => who || "nobody known, or a command" },
    { label: "What", cell: ({ action, detail }) => [said(action, detail), detail ? el("span.soft", {}, ` (${detail})`) : null].filter(Boolean) },
    { label: "Whose account, which project", cell: about },
  ];
}
