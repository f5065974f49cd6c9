/**
 * On paper a chart is drawn by day and as wide as the page, whatever the screen was. What is folded
 * is drawn before the sheet is printed, by its own button or by the keys of the browser; from the
 * browser's menu there is no time for that, and its table stands there.
 */

import { drawFolded } from "../lib/chart.js";

/** Widths of an A4 page between its margins. [CSS pixels] */
const WIDTHS = { portrait: 690, landscape: 1000 };

/**
 * Get charts ready whenever the sheet is printed, and put them back afterwards.
 * @param {keyof WIDTHS} way How the page lies.
 */
export function printCharts(way) {
  const root = document.documentElement;
  let light;
  let opened = [];
  const charts = () => document.querySelectorAll(".chart-canvas.js-plotly-plot");
  const redraw = () => document.dispatchEvent(new CustomEvent("lightchange"));
  addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() !== "p" || !(event.ctrlKey || event.metaKey) || event.shiftKey || event.altKey) return;
    event.preventDefault();
    printSheet();
  });
  addEventListener("beforeprint", () => {
    light = root.dataset.light;
    root.dataset.light = "day";
    redraw();
    opened = [...document.querySelectorAll(".chart-canvas:empty + .behind:not([open])")];
    for (const behind of opened) behind.open = true;
    for (const chart of charts()) window.Plotly.relayout(chart, { width: WIDTHS[way] });
  });
  addEventListener("afterprint", () => {
    for (const behind of opened) behind.open = false;
    if (light) root.dataset.light = light;
    else delete root.dataset.light;
    redraw();
  });
}

/** Print the sheet with all that goes on paper. */
export async function printSheet() {
  await drawFolded();
  print();
}
