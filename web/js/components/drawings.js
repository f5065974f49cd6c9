/** Which line drawing shows a kind of airframe. */

import { amphibian } from "./amphibian.js";
import { biplane } from "./biplane.js";
import { landplane } from "./landplane.js";

const DRAWINGS = { amphibian, landplane, biplane };

/** Kinds of airframe with a drawing, and how they are called. @type {[string, string][]} */
export const DRAWN = Object.entries(DRAWINGS).map(([airframe, { name }]) => [airframe, name]);

/** The ids of the zones that a drawing shows. @param {string | undefined} airframe @returns {string[]} */
export function zonesDrawn(airframe) {
  const views = Object.values(drawingOf(airframe)?.views ?? {});
  return [...new Set(views.flatMap(({ zones }) => Object.keys(zones)))];
}

/** @param {string | undefined} airframe @returns {typeof amphibian | null} None for another kind. */
export function drawingOf(airframe) {
  return DRAWINGS[airframe] ?? null;
}
