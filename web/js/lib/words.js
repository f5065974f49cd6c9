/** How codes of the plan read on a sheet. A code that is not listed reads as it is. */

const TRADES = {
  metal: "Metal",
  wood: "Wood",
  fabric: "Fabric",
  engine: "Engine and mechanical",
  elec: "Electrical",
  paint: "Paint",
  help: "Helpers",
  insp: "Inspector",
  pilot: "Pilot",
};

const STATES = {
  not_started: "not started",
  in_work: "in work",
  held: "held",
  done: "done",
  dropped: "dropped",
};

const RELATIONS = {
  FS: "after its finish",
  SS: "with its start",
  FF: "finish with finish",
  SF: "finish with its start",
};

/** @param {string | null | undefined} code */
export function tradeName(code) {
  return code ? (TRADES[code] ?? code) : "No trade";
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

/** @param {string} code */
export function relationName(code) {
  return RELATIONS[code] ?? code;
}

/** @param {string} tag "lead_chromate" reads "lead chromate". */
export function hazardName(tag) {
  return tag.replaceAll("_", " ");
}
