/** Addresses of the calendars to subscribe to, one for each role, to copy. */

import { address, post } from "../lib/api.js";
import { el, fill } from "../lib/dom.js";
import { form } from "../lib/forms.js";
import { t } from "../lib/text.js";
import { roleName } from "../lib/words.js";
import { copyField } from "./copy-field.js";

const ROLES = [
  ["lead", t`Items needed and promised, the inspector, milestones.`],
  ["owner", t`What waits for a yes, what falls due, the likely finish, milestones.`],
  ["planner", t`All of these.`],
];
const DAYS = 366;

/**
 * Where people sign in, an address opens the calendar by a token of its own.
 * @param {import("../lib/sheet.js").Sheet} sheet
 */
export function calendarAddresses(sheet) {
  if (sheet.person.entry === "open") return addresses(sheet.project.id);
  const place = el("div.stack");
  const make = form([el("p", {}, t`Each address opens this project’s calendar alone, for a year, without a sign-in. Under Own account it can be made to open nothing any more.`), el("div.button-row", {}, el("button.button", {}, t`Make addresses of my own`))], async () => {
    const wanted = { name: t`Calendar of ${sheet.project.name}`.slice(0, 80), scope: "calendar", project: sheet.project.id, days: DAYS };
    const { token } = await post("/account/tokens", wanted);
    fill(place, el("p", {}, t`Copy them now: they are not shown again.`), addresses(sheet.project.id, token));
  });
  make.dataset.refused = t`Not made yet`;
  return fill(place, make);
}

/** @param {number} project @param {string} [token] */
export function addresses(project, token) {
  return el("div.calendar-addresses", {}, ROLES.map((role) => entry(project, token, ...role)));
}

function entry(project, token, role, hint) {
  const url = new URL(address(`/projects/${project}/calendar.ics`, { role, token }), location.href).href;
  const label = t`Calendar of the ${roleName(role)}`;
  return copyField({ label, name: `calendar-${role}`, value: url, copy: t`Copy the address for the ${roleName(role)}`, done: t`The address is copied. Subscribe to it where the calendar is kept.`, hint });
}
