/** The frame of a chart: a drawing with a name, and the same values in a table behind it. */

import { el, fill } from "./dom.js";
import { t } from "./text.js";

/**
 * @param {HTMLElement} place Keeps the drawing it has, and whether its table is open.
 * @param {{label: string, table: Node, tableTitle?: string}} parts
 * @returns {HTMLElement} Where it is drawn.
 */
export function chartFrame(place, { label, table, tableTitle = t`The same as a table` }) {
  const known = place.querySelector(".chart-canvas");
  const canvas = known ?? el("div.chart-canvas", { role: "img" });
  canvas.setAttribute("aria-label", label);
  const behind = el("details.behind", {}, el("summary", {}, tableTitle), table);
  behind.open = Boolean(place.querySelector("details.behind")?.open);
  if (known) place.querySelector("details.behind").replaceWith(behind);
  else fill(place, canvas, behind);
  return canvas;
}
