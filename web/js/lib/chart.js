/**
 * Charts: figures come from the service as Plotly JSON and are drawn here.
 *
 * The library is loaded only where a chart is drawn: for one in sight at once, for one further
 * down when the sheet has nothing else to do, for one in a fold when it unfolds. The table behind
 * is there from the start. The service draws with the day colours of
 * tokens.css; they are exchanged here for the tokens in force, so that a figure follows the
 * night variant, and its words for the reader's. Each chart has a name and a table behind it.
 */

import { get } from "./api.js";
import { chartFrame } from "./chart-frame.js";
import { el, fill } from "./dom.js";
import { PALETTE } from "./figure-colours.js";
import { worded } from "./figure-words.js";
import { formatDate, separators } from "./format.js";
import { t } from "./text.js";

const LIBRARY = "/assets/vendor/plotly-basic-4.1.1.min.js";
const LIBRARY_STYLES = "/assets/css/plotly.css";

/** The months along an axis, as the pages write them. */
const shortMonths = Array.from({ length: 12 }, (_, month) =>
  formatDate(`2026-${String(month + 1).padStart(2, "0")}-01`, "monthAlone"),
);

const CONFIG = {
  displayModeBar: false,
  responsive: true,
  locale: "reader",
  locales: { reader: { format: { shortMonths, decimal: separators.decimal, thousands: separators.group } } },
};

/** How long a chart out of sight waits for the rest of the sheet. [ms] */
const IDLE_MS = 300;

let library = null;
/** The last figure that each canvas was asked to show. */
const wanted = new WeakMap();
/** By canvas: how to draw what was folded away when it was told. */
const folded = new Map();

/**
 * Draw a figure from the service, or again with new values.
 *
 * @param {HTMLElement} place Emptied and filled.
 * @param {object} options
 * @param {string} [options.path] Endpoint, "/projects/1/charts/away"; or give `figure`.
 * @param {Record<string, any>} [options.query]
 * @param {{data: any[], layout: any}} [options.figure]
 * @param {string} options.label What the chart shows, for those who cannot see it.
 * @param {Node} options.table The same values as a table.
 * @param {string} [options.tableTitle]
 * @param {(canvas: any) => void} [options.onDrawn] Marks something on it, whenever it was drawn anew.
 * @param {AbortSignal} [options.signal]
 * @returns {Promise<any>} The drawn element of the library: it has `.on("plotly_click", ...)`;
 *   null where the library did not come, and the table stands alone, or where the chart is
 *   folded away and will be drawn once it is not.
 */
export async function drawChart(place, options) {
  const figure = worded(options.figure ?? (await get(options.path, options)));
  const canvas = chartFrame(place, options);
  if (figure.layout.height) canvas.style.height = `${figure.layout.height}px`;
  wanted.set(canvas, figure);
  const draw = () => drawn(place, canvas, options);
  const fold = place.closest("details:not([open])");
  if (!fold) {
    await untilNearOrIdle(place);
    return draw();
  }
  if (!folded.has(canvas)) fold.addEventListener("toggle", () => folded.get(canvas)(), { once: true });
  folded.set(canvas, draw);
  return null;
}

/** Draw what is folded away as well: before the sheet is printed, which unfolds what goes on paper. */
export async function drawFolded() {
  const printed = [...folded].filter(([canvas]) => canvas.isConnected && !canvas.closest(".no-print"));
  await Promise.all(printed.map(([, draw]) => draw()));
}

/** Draw the figure that is wanted last. */
async function drawn(place, canvas, { table, onDrawn = () => {} }) {
  const plotly = await load().catch(() => null);
  if (!plotly) {
    fill(place, el("p.problem", { role: "alert" }, t`The drawing could not be loaded. The table shows the same.`), table);
    return null;
  }
  const redraw = async () => {
    const { data, layout } = recoloured(wanted.get(canvas));
    await plotly.react(canvas, data, dressedLayout(layout), CONFIG);
    onDrawn(canvas);
  };
  await redraw();
  redrawWhenLightChanges(canvas, redraw);
  return canvas;
}

/** Until a chart is in sight or nearly, or the page has nothing else to do. */
function untilNearOrIdle(place) {
  if (library) return undefined;
  const idle = window.requestIdleCallback ?? ((act) => setTimeout(act, IDLE_MS));
  return new Promise((resolve) => {
    const watch = new IntersectionObserver((seen) => {
      if (!seen.some(({ isIntersecting }) => isIntersecting)) return;
      watch.disconnect();
      resolve();
    }, { rootMargin: "25%" });
    watch.observe(place);
    setTimeout(() => idle(resolve, { timeout: IDLE_MS }), IDLE_MS);
  });
}

function dressedLayout(layout) {
  const style = getComputedStyle(document.documentElement);
  return {
    ...layout,
    paper_bgcolor: "rgba(0,0,0,0)",
    plot_bgcolor: "rgba(0,0,0,0)",
    font: {
      family: style.getPropertyValue("--reading"),
      size: 14,
      ...layout.font,
      color: resolved("--text"),
    },
  };
}

function recoloured(value) {
  if (typeof value === "string") return resolved(PALETTE[value.toLowerCase()]) ?? value;
  if (Array.isArray(value)) return value.map(recoloured);
  if (value && typeof value === "object") {
    return Object.fromEntries(Object.entries(value).map(([key, part]) => [key, recoloured(part)]));
  }
  return value;
}

/**
 * The colour that a token has now. `light-dark()` is only settled on a real property; forced
 * colours would make every one of them the colour of text.
 */
function resolved(token) {
  if (!token) return undefined;
  const probe = el("span", { hidden: true });
  probe.style.color = `var(${token})`;
  probe.style.forcedColorAdjust = "none";
  document.body.append(probe);
  const colour = getComputedStyle(probe).color;
  probe.remove();
  return colour;
}

function load() {
  library ??= loadLibrary().catch((error) => {
    library = null;
    throw error;
  });
  return library;
}

/**
 * Under our content policy the library may not add style elements. The rules it needs go into
 * a sheet of our own that stands under the id it looks for, and must be there first; a style
 * element of its map part, which we do not draw, would only be refused in the log.
 */
async function loadLibrary() {
  const styles = el("link", { id: "plotly.js-style-global", rel: "stylesheet", href: LIBRARY_STYLES });
  await loaded(styles);
  const append = document.head.appendChild;
  document.head.appendChild = (node) =>
    node instanceof HTMLStyleElement ? node : append.call(document.head, node);
  try {
    await loaded(el("script", { src: LIBRARY }), append);
  } finally {
    delete document.head.appendChild;
  }
  return window.Plotly;
}

function loaded(node, append = document.head.appendChild) {
  return new Promise((resolve, reject) => {
    node.addEventListener("load", resolve);
    node.addEventListener("error", () => {
      node.remove();
      reject(new Error(`${node.src ?? node.href} could not be loaded.`));
    });
    append.call(document.head, node);
  });
}

const lightListeners = new WeakMap();

function redrawWhenLightChanges(canvas, draw) {
  const isNew = !lightListeners.has(canvas);
  lightListeners.set(canvas, draw);
  if (!isNew) return;
  const redraw = () => {
    if (canvas.isConnected) lightListeners.get(canvas)();
  };
  for (const look of ["(prefers-color-scheme: dark)", "(forced-colors: active)"]) {
    matchMedia(look).addEventListener("change", redraw);
  }
  document.addEventListener("lightchange", redraw);
}
