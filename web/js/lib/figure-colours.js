/** The day colours that figures of the service are drawn with, and the token each stands for. */
export const PALETTE = {
  "#fbfaf5": "--ground",
  "#ffffff": "--ground-raised",
  "#f1efe6": "--ground-sunk",
  "#1b2430": "--text",
  "#4e5761": "--text-soft",
  "#7c838a": "--line",
  "#d5d4ca": "--line-faint",
  "#8a9a3f": "--accomplished",
  "#e6ead0": "--accomplished-wash",
  "#c78a1e": "--held",
  "#fbedcf": "--held-wash",
  "#9ba3a9": "--away",
  "#e9ebec": "--away-wash",
  "#8f3826": "--danger",
  "#f8e6e0": "--danger-wash",
};

/** The ink of a figure as a value of a style, so that it follows day, night and paper. @param {string} colour */
export function ink(colour) {
  const token = PALETTE[colour?.toLowerCase()];
  return token ? `var(${token})` : (colour ?? "none");
}
