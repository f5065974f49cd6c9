/** Hatches for drawings: the same three everywhere. Fill with `url(#hatch-accomplished)`. */

import { svg } from "./dom.js";

/** Definitions to put into the root of a drawing. @param {number} [scale] Units to a pixel or so. */
export function hatchDefs(scale = 1) {
  const hatch = (name, spacing, turn, ...marks) =>
    svg(
      "pattern",
      {
        id: `hatch-${name}`,
        width: spacing * scale,
        height: spacing * scale,
        patternUnits: "userSpaceOnUse",
        patternTransform: `rotate(${turn})`,
      },
      marks,
    );
  const stroke = (name, x, width) =>
    svg("rect", { class: `hatch-${name}`, x: x * scale, y: 0, width: width * scale, height: 40 * scale });
  return svg(
    "defs",
    {},
    hatch("accomplished", 5, 45, stroke("accomplished", 0, 1.3)),
    hatch("held", 9, -45, stroke("held", 0, 2), stroke("held", 3.4, 0.8)),
  );
}
