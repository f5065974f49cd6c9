/**
 * On paper a chart is drawn by day and as wide as the page, whatever the screen was; where it
 * was not drawn yet, its table stands there.
 */

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
