/** A list that is about one zone of the airframe: which one stands in the address and above the list. */

import { el } from "../lib/dom.js";
import { t } from "../lib/text.js";

/** The zone that the address names. @returns {string | null} */
export function zoneAsked() {
  return new URLSearchParams(location.search).get("zone");
}

/** Keep the zone in the address, so that a link leads back to it. @param {string | null} zone */
export function rememberZone(zone) {
  const address = new URL(location.href);
  if (zone) address.searchParams.set("zone", zone);
  else address.searchParams.delete("zone");
  history.replaceState(null, "", address);
}

/** What the list is about, and the way back to all. @param {string} text @param {() => void} all */
export function onlyHere(text, all) {
  return el("p.only-here", { role: "status" }, text, " ", el("button.button", { type: "button", onclick: all }, t`All zones`));
}
