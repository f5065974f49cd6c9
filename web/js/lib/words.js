/** How codes of the plan read on a sheet. A code that is not listed reads as it is. */

import { t, told } from "./text.js";

const TRADES = {
  metal: t`Metal`,
  wood: t`Wood`,
  fabric: t`Fabric`,
  engine: t`Engine and mechanical`,
  elec: t`Electrical`,
  paint: t`Paint`,
  help: t`Helpers`,
  insp: t`Inspector`,
  pilot: t`Pilot`,
};

const STATES = {
  not_started: t`not started`,
  in_work: t`in work`,
  held: t`held`,
  done: t`done`,
  dropped: t`dropped`,
};

const ANSWERS = {
  waiting: t`waits for a yes`,
  approved: t`approved`,
  declined: t`declined`,
};

const RELATIONS = {
  FS: t`after its finish`,
  SS: t`with its start`,
  FF: t`finish with finish`,
  SF: t`finish with its start`,
};

const ROLES = {
  planner: t`planner`,
  lead: t`shop lead`,
  owner: t`owner`,
  viewer: t`viewer`,
};

/** @param {string | null | undefined} code */
export function tradeName(code) {
  return code ? (TRADES[code] ?? code) : t`No trade`;
}

/** Names of the usual trades, to choose from. */
export const USUAL_TRADES = Object.values(TRADES);

/** The code of a trade as it was typed: "Metal" is metal; a trade of the shop's own reads as it is. */
export function tradeCode(text) {
  const wanted = text?.trim().toLowerCase() ?? "";
  return Object.keys(TRADES).find((code) => TRADES[code].toLowerCase() === wanted) ?? (text?.trim() || null);
}

/** A short text for ids and names of files: "Wing jig (left)" is wing-jig-left. @param {string} text */
export function slug(text) {
  return text.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "");
}

/** @param {string} code */
export function stateName(code) {
  return STATES[code] ?? code;
}

/** What was said to work that was asked for. @param {string} code */
export function answerName(code) {
  return ANSWERS[code] ?? code;
}

/** @param {string} code */
export function relationName(code) {
  return RELATIONS[code] ?? code;
}

/** A role within a sentence. @param {string} role */
export function roleName(role) {
  return ROLES[role] ?? role;
}

/** @param {string} tag "lead_chromate" reads "lead chromate". */
export function hazardName(tag) {
  return told(tag.replaceAll("_", " "));
}
