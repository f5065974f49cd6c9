/** Who was shown round on this device, and when to ask for the tour: its own modules come only then. */

import { sayProblem } from "./notice.js";

const KEY = "ribstitch-shown-round";
const NOBODY_IS = "*";
/** What the address of a sheet ends with where somebody asks to be shown round. */
export const ASKED = "#show-me-round";

/** The sheet that a role looks at first. */
const FIRST_SHEET = { lead: "today", owner: "forecast", viewer: "forecast", planner: "what-if" };

/**
 * Show somebody round who has not been, once the sheet stands, and whoever asks.
 * @param {{role: string, name: string}} person @param {string} sheet
 */
export function offerTour(person, sheet) {
  addEventListener("hashchange", () => isAskedFor() && showRound(sheet));
  if (isAskedFor()) showRound(sheet);
  else if (FIRST_SHEET[person.role] === sheet && isNew(person)) whenIdle(() => isAtRest() && firstRound(person, sheet));
}

/** Where somebody of a role is shown round. @param {string} role @param {(sheet: string) => string} link */
export function roundAddress(role, link) {
  return `${link(FIRST_SHEET[role])}${ASKED}`;
}

/** Whether whoever is new on this device is shown round. */
export function areNewShown() {
  return !remembered().includes(NOBODY_IS);
}

/** @param {boolean} are */
export function showNew(are) {
  const rest = remembered().filter((one) => one !== NOBODY_IS);
  remember(are ? rest : [...rest, NOBODY_IS]);
}

function isAskedFor() {
  return location.hash === ASKED;
}

function firstRound(person, sheet) {
  remember([...remembered(), nameOf(person)]);
  return showRound(sheet);
}

function isNew(person) {
  return areNewShown() && !remembered().includes(nameOf(person));
}

/** Nothing is laid over what somebody has begun to do. */
function isAtRest() {
  return document.activeElement === document.body && scrollY === 0 && !document.querySelector("dialog[open]");
}

async function showRound(sheet) {
  try {
    const { startTour } = await import("../components/tour.js");
    startTour(sheet);
  } catch (error) {
    sayProblem(error);
  }
}

function nameOf({ role, name }) {
  return `${role} ${name}`;
}

function remembered() {
  return (localStorage.getItem(KEY) ?? "").split("\n").filter(Boolean);
}

function remember(people) {
  localStorage.setItem(KEY, people.join("\n"));
}

function whenIdle(act) {
  if (window.requestIdleCallback) requestIdleCallback(act, { timeout: 2000 });
  else setTimeout(act, 500);
}
