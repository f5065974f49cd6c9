/** What the hatches and lines of the figures mean, drawn as the figures draw them. */

import { el, svg } from "../lib/dom.js";
import { t } from "../lib/text.js";

const UPWARD = "M2 14.5 L15 1.5 M8 14.5 L21 1.5 M14 14.5 L27 1.5";
const DOWNWARD = "M2 1.5 L15 14.5 M8 1.5 L21 14.5 M14 1.5 L27 14.5";

const MARKS = {
  done: { title: t`Done`, draw: () => box("mark-done", hatch(UPWARD)) },
  in_work: { title: t`In work`, draw: () => box("mark-work", dots()) },
  held: { title: t`Held`, draw: () => box("mark-held", hatch(DOWNWARD)) },
  not_started: { title: t`Not started`, draw: () => box("mark-open") },
  path: { title: t`Sets the finish`, draw: () => line("mark-path") },
  away: { title: t`Leaves its zone and comes back`, draw: () => line("mark-join") },
  road: { title: t`On the road`, draw: () => [svg("rect", { class: "mark-open", x: 0.5, y: 6, width: 29, height: 4 })] },
  now: { title: t`As-of date`, draw: () => [svg("line", { class: "mark-now", x1: 15, y1: 0, x2: 15, y2: 16 })] },
  milestone: { title: t`Milestone`, draw: () => [svg("path", { class: "mark-flag", d: "M9 3 H21 L15 13 Z" })] },
  quoted: { title: t`As quoted`, draw: () => [svg("path", { class: "mark-quoted", d: "M1 8 H29 M1 4 V12 M12 4 V12 M29 4 V12" })] },
  taper: { title: t`May run on: heavy upright likely, fine one 80\u00a0% by`, draw: taper },
  promised: { title: t`Promised`, draw: () => [svg("path", { class: "mark-promise", d: "M9 13 H21 L15 3 Z" })] },
  likely: { title: t`Likely finish`, draw: () => stair("log-likely") },
  by80: { title: t`80\u00a0% by`, draw: () => stair("log-by80") },
  written: { title: t`As written`, draw: () => stair("log-written") },
  spread: { title: t`8 chances in 10 lie between`, draw: () => box("mark-open", strokes()) },
  hands: { title: t`Hands or room there`, draw: () => [svg("path", { class: "mark-path", d: "M0 4 H12 V11 H20 V4 H30" })] },
  asked: { title: t`Work`, draw: () => box("mark-open", ruled()) },
  nobody: { title: t`Work that finds nobody free`, draw: () => box("mark-open", crossed()) },
  need_by: { title: t`Needed by`, draw: () => [svg("line", { class: "mark-need", x1: 15, y1: 0, x2: 15, y2: 16 })] },
};

/**
 * @param {(keyof MARKS)[]} names
 * @returns {HTMLElement}
 */
export function chartKey(names) {
  return el(
    "ul.key-list",
    { role: "list", "aria-label": t`Key` },
    names.map((name) =>
      el(
        "li",
        {},
        svg("svg", { viewBox: "0 0 30 16", class: "key-mark", "aria-hidden": "true" }, MARKS[name].draw()),
        MARKS[name].title,
      ),
    ),
  );
}

function box(kind, ...inside) {
  return [svg("rect", { class: kind, x: 0.5, y: 1.5, width: 29, height: 13 }), ...inside.flat()];
}

function hatch(path) {
  return svg("path", { class: "mark-hatch", d: path });
}

function strokes() {
  return svg("path", { class: "log-strokes", d: "M5.5 2 V14 M10.5 2 V14 M15.5 2 V14 M20.5 2 V14 M25.5 2 V14" });
}

function stair(kind) {
  return [svg("path", { class: kind, d: "M0 11 H14 V5 H30" })];
}

function dots() {
  return [5, 11, 17, 23].flatMap((x, place) =>
    [place % 2 ? 6 : 4, place % 2 ? 12 : 10].map((y) => svg("circle", { class: "mark-dot", cx: x + 1, cy: y, r: 1.1 })),
  );
}

function ruled() {
  return [svg("path", { class: "log-strokes", d: "M1 5 H29 M1 8 H29 M1 11 H29" })];
}

function crossed() {
  return [svg("path", { class: "log-strokes", d: "M2 2 L14 14 M10 2 L22 14 M18 2 L28 12 M12 2 L2 12 M20 2 L8 14 M28 2 L16 14" })];
}

function taper() {
  const strokes = [8, 12, 16, 20, 24].map((x) => `M${x} 14.5 V${(14.5 - 10 * (1 - (x - 4) / 28)).toFixed(1)}`);
  return [
    svg("path", { class: "mark-strokes", d: strokes.join(" ") }),
    svg("path", { class: "mark-taper", d: "M0 1.5 H4 V14.5 H0 M4 4.5 L29 13 V14.5 H4" }),
    svg("path", { class: "mark-likely", d: "M14 3.5 V14.5" }),
    svg("path", { class: "mark-by80", d: "M23 3.5 V14.5" }),
  ];
}

function line(kind) {
  return [svg("path", { class: kind, d: "M0 12 H12 V4 H30" })];
}
