/** What is said of people and their roles, on Settings and on the sheet of all accounts. */

import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";
import { t } from "../lib/text.js";

/** @type {[string, string][]} */
export const ROLE_OPTIONS = [
  ["planner", t`Planner`],
  ["lead", t`Shop lead`],
  ["owner", t`Owner`],
  ["viewer", t`Viewer`],
];

/** What each may. */
export const ROLES_MAY = t`A planner changes everything and says who takes part; a shop lead records the work and changes the plan; an owner decides about money; a viewer reads.`;

/** How it stands with an account, where that is not as usual. @param {{closed: boolean, has_come: boolean}} person */
export function standing({ closed, has_come: hasCome }) {
  if (closed) return el("span.stamp.away", {}, t`closed`);
  return hasCome ? null : el("span.stamp.held", {}, t`invited, not here yet`);
}

/** Name and email, where the name is not the email itself. @param {{name: string, email: string}} person */
export function whoIs({ name, email }) {
  return [el("b", {}, name), name === email ? null : el("span.soft", {}, ` ${email}`)];
}

/** Who is let in: email and name. */
export function guestFields() {
  return [
    field({ label: t`Email`, name: "email", type: "email", hint: t`With it they sign in. No mail is sent to it.`, attributes: { autocomplete: "off" } }),
    field({ label: t`Name`, name: "name", hint: t`Until they give their own.`, attributes: { autocomplete: "off", maxlength: 80 } }),
  ];
}
