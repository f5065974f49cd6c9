/** Addresses of the calendars to subscribe to, one for each role, to copy. */

import { address } from "../lib/api.js";
import { copyText } from "../lib/copying.js";
import { el } from "../lib/dom.js";
import { field } from "../lib/forms.js";

const ROLES = [
  ["lead", "Shop lead", "Items needed and promised, the inspector, milestones."],
  ["owner", "Owner", "What waits for a yes, what falls due, the likely finish, milestones."],
  ["planner", "Planner", "All of these."],
];

/** @param {import("../lib/sheet.js").Sheet} sheet */
export function calendarAddresses(sheet) {
  return el("div.calendar-addresses", {}, ROLES.map((role) => entry(sheet, ...role)));
}

function entry(sheet, role, name, hint) {
  const url = new URL(address(sheet.path("/calendar.ics"), { role }), location.href).href;
  const shown = field({ label: `Calendar of the ${name.toLowerCase()}`, name: `calendar-${role}`, type: "url", value: url, hint, attributes: { readonly: true, onfocus: ({ target }) => target.select() } });
  const copy = el("button.button", { type: "button", "aria-label": `Copy the address for the ${name.toLowerCase()}`, onclick: () => copied(url, shown) }, "Copy");
  return el("div.calendar-address", {}, shown, copy);
}

function copied(url, shown) {
  return copyText(url, {
    done: "The address is copied. Subscribe to it where the calendar is kept.",
    otherwise: "The browser does not let this page copy. The address is marked: copy it from there.",
    mark: () => shown.querySelector("input").focus(),
  });
}
