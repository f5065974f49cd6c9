/**
 * The airframe map: a line drawing whose zones show how far the work is.
 *
 * A zone fills with hatch as work is accomplished, carries a second hatch where work is held,
 * stands empty with a broken outline where an item is away, and is drawn with a heavy pen where
 * it sets the finish. Each zone is one button (arrow keys move between them), and the same facts
 * stand in a table behind. A sheet can give the drawing another meaning, see `Meaning`. Where the
 * shop has traced its zones on a drawing of its own, the map is drawn on that.
 */

import { get } from "../lib/api.js";
import { el, fill, svg, when } from "../lib/dom.js";
import { formatNumber, formatShare } from "../lib/format.js";
import { hatchDefs } from "../lib/hatch.js";
import { table } from "../lib/table.js";
import { t } from "../lib/text.js";
import { drawingOf } from "./drawings.js";
import { ownDrawing } from "./own-drawing.js";

const LONGEST_LABEL = 17;
const HATCH_SCALE = 3;
/** The zone that the tables of zones have for the aircraft as a whole. */
const WHOLE = "whole";

/**
 * @typedef {object} Meaning What the drawing tells of a zone.
 * @property {() => Promise<any[]>} read Zones with `id`, `name`, `share_done` (how far they fill),
 *   and perhaps `held`, `away`, `critical`.
 * @property {(zone: any) => string} label Beside the name of the zone.
 * @property {(zone: any) => string} sentence The same for who does not see the drawing.
 * @property {[string, string][]} legend Swatch and word.
 * @property {import("../lib/table.js").Column[]} columns Of the table behind, after the zone.
 */

/** How far the work is. @returns {Meaning} */
function work(sheet) {
  return {
    read: async () => (await get(sheet.path("/airframe"))).zones,
    label: (zone) => (zone.tasks ? formatShare(zone.share_done) : "–"),
    sentence,
    legend: [
      ["accomplished", t`Accomplished`],
      ["held", t`Held`],
      ["away", t`Item away`],
      ["critical", t`Sets the finish`],
    ],
    columns: [
      { label: t`Done`, cell: (zone) => t`${formatNumber(zone.done)} of ${formatNumber(zone.tasks)}`, numeric: true },
      { label: t`Held`, cell: (zone) => (zone.held ? formatNumber(zone.held) : ""), numeric: true },
      { label: t`Away`, cell: awayLines },
    ],
  };
}

/**
 * Draw the map and keep it true.
 *
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {object} [options]
 * @param {string | null} [options.selected] Zone that is chosen.
 * @param {(zone: string | null) => void} [options.onSelect] Default: open Today for that zone.
 * @param {Meaning} [options.meaning] Default: how far the work is.
 * @param {string} [options.airframe] Which drawing that comes with the program; default: the
 *   shop's own, else that of the project.
 * @returns {Promise<{refresh: () => Promise<void>, select: (zone: string | null) => void,
 *   nameOf: (zone: string) => string}>}
 */
export async function mountAirframe(place, sheet, { selected = null, onSelect, meaning = work(sheet), airframe } = {}) {
  const state = { zones: [], selected };
  const choose = (zone) => {
    if (!onSelect) {
      location.href = sheet.link("today", { zone });
      return;
    }
    state.selected = state.selected === zone ? null : zone;
    markSelected(place, state.selected);
    onSelect(state.selected);
  };
  const refresh = async () => {
    const [zones, drawing] = await Promise.all([meaning.read(), airframe ? drawingOf(airframe) : drawingFor(sheet)]);
    state.zones = zones;
    const wasOpen = place.querySelector("details")?.open;
    fill(place, drawMap(drawing, state.zones, meaning, choose, wasOpen));
    if (place.classList.contains("folds")) place.firstChild.prepend(mapFold(place));
    markSelected(place, state.selected);
  };
  await refresh();
  return {
    refresh,
    select(zone) {
      state.selected = zone;
      markSelected(place, zone);
    },
    nameOf: (zone) => state.zones.find(({ id }) => id === zone)?.name ?? zone,
  };
}

/** On a phone a map that stands before the work is one line, until it is asked for. */
function mapFold(place) {
  const button = el("button.button.map-fold", { type: "button" });
  const show = (isOpen) => {
    place.classList.toggle("unfolded", isOpen);
    button.setAttribute("aria-expanded", String(isOpen));
    button.textContent = isOpen ? t`Hide the airframe` : t`Choose a zone on the airframe`;
  };
  button.addEventListener("click", () => show(!place.classList.contains("unfolded")));
  show(place.classList.contains("unfolded"));
  return button;
}

/** The shop's own drawing; where it has none, the one that comes with the program. */
async function drawingFor(sheet) {
  const { drawings } = await get(sheet.path("/drawings"));
  return ownDrawing(sheet, drawings) ?? drawingOf(sheet.project.airframe);
}

function drawMap(drawing, zones, meaning, choose, tableOpen) {
  if (!drawing) return zoneList(zones, meaning, choose);
  const focusable = new Set();
  const figures = Object.entries(drawing.views).map(([name, view]) => drawView(drawing.name, view, name, zones, meaning, choose, focusable));
  const map = el("div.airframe", {}, figures);
  map.addEventListener("keydown", (event) => moveBetween(map, event));
  const behind = el(
    "details.behind",
    { open: tableOpen },
    el("summary", {}, t`Zones as a table`),
    zoneTable(zones, meaning, choose),
  );
  const below = focusable.size ? [legend(meaning), noOneZone(zones), drawing.isOwn ? untraced(zones, focusable, choose) : null] : unplaced(zones);
  return el("div.sticky", {}, map, below, el("div.map-tools", {}, moreViews(drawing, figures.slice(1)), behind));
}

/** On a phone the first view stands alone, until somebody asks for the rest. */
function moreViews({ isOwn }, figures) {
  if (!figures.length) return null;
  for (const figure of figures) figure.classList.add("view-more");
  const [show, hide] = isOwn ? [t`The other drawings`, t`Hide the other drawings`] : [t`View from above`, t`Hide the view from above`];
  const button = el("button.button.plan-toggle", { type: "button", "aria-expanded": "false" }, show);
  button.addEventListener("click", () => {
    const shown = button.getAttribute("aria-expanded") === "false";
    for (const figure of figures) figure.classList.toggle("unfolded", shown);
    button.setAttribute("aria-expanded", String(shown));
    button.textContent = shown ? hide : show;
  });
  return button;
}

/** Zones that nobody has traced on the shop's own drawing yet. */
function untraced(zones, traced, choose) {
  const rest = zones.filter(({ id }) => !traced.has(id));
  if (!rest.length) return null;
  return el("div.untraced", {}, el("span.soft", {}, t`Not on the drawing`), rest.map((zone) => zoneButton(zone, choose)));
}

function drawView(aircraft, view, name, zones, meaning, choose, focusable) {
  const [x, y, width, height] = view.viewBox;
  const defs = hatchDefs(HATCH_SCALE);
  const root = svg(
    "svg",
    {
      viewBox: view.viewBox.join(" "),
      width,
      height,
      role: "group",
      "aria-label": `${aircraft}, ${view.title.toLowerCase()}`,
    },
    defs,
  );
  if (view.picture) root.append(drawPicture(view.picture));
  const labels = svg("g", { class: "labels", "aria-hidden": "true" });
  for (const [id, shape] of Object.entries(view.zones)) {
    const zone = zones.find((one) => one.id === id);
    const isFirst = Boolean(zone) && !focusable.has(id);
    if (isFirst) focusable.add(id);
    defs.append(...clips(name, id, shape, zone));
    root.append(drawZone(name, id, shape, zone, meaning, isFirst, focusable.size === 1, choose));
    if (zone && shape.label) labels.append(drawLabel(zone, meaning, shape.label));
  }
  if (view.lines) root.append(drawLines(view, name));
  root.append(labels, viewTitle(view.title, x + width / 2, y + height));
  return el(view.picture ? "figure.view.view-own" : "figure.view", {}, root);
}

/**
 * The picture under the zones. By night it is shown as its negative, as white lines on a dark
 * board: what lies over it takes the difference to the paper's colour.
 * @param {{href: string, width: number, height: number}} picture
 */
export function drawPicture({ href, width, height }) {
  const size = { x: 0, y: 0, width, height };
  return svg("g", { class: "picture", "aria-hidden": "true" }, svg("image", { href, ...size }), svg("rect", { class: "negative", ...size }), svg("rect", { class: "board", ...size }), svg("rect", { class: "edge", ...size }));
}

/** The zones of an aircraft that no drawing shows. */
function zoneList(zones, meaning, choose) {
  const text = t`No drawing shows this kind of aircraft: the list leads to its zones. A drawing is chosen in Settings.`;
  return el("div.sticky", {}, el("p.soft", {}, text), zoneTable(zones, meaning, choose));
}

function clips(view, id, shape, zone) {
  const mark = shape.mark ?? id;
  const outline = svg("clipPath", { id: `clip-${view}-${mark}` }, svg("path", { d: shape.d }));
  const [x, y, width, height] = shape.fill.box;
  const share = zone?.share_done ?? 0;
  const part = {
    bottom: [x, y + height * (1 - share), width, height * share],
    top: [x, y, width, height * share],
    left: [x, y, width * share, height],
  }[shape.fill.from];
  const [px, py, w, h] = part;
  const level = svg("clipPath", { id: `level-${view}-${mark}` }, svg("rect", { x: px, y: py, width: w, height: h }));
  return [outline, level];
}

function drawZone(view, id, shape, zone, meaning, isFirst, isVeryFirst, choose) {
  const { d } = shape;
  const level = `url(#level-${view}-${shape.mark ?? id})`;
  const classes = ["zone"];
  if (zone?.critical) classes.push("critical");
  if (zone?.away?.length) classes.push("away");
  if (zone?.held) classes.push("held");
  const group = svg(
    "g",
    { class: classes.join(" "), "data-zone": zone && id, ...(isFirst ? buttonRole(zone, meaning, isVeryFirst) : { "aria-hidden": "true" }) },
    zone && svg("title", {}, meaning.sentence(zone)),
    svg("path", { class: "hit", d }),
    svg("path", { class: "paper", d }),
    zone?.held ? svg("path", { d, fill: "url(#hatch-held)" }) : null,
    zone && svg("path", { class: "wash", d, "clip-path": level }),
    zone && svg("path", { d, fill: "url(#hatch-accomplished)", "clip-path": level }),
    svg("path", { class: "outline", d }),
    svg("path", { class: "choice", d }),
  );
  if (zone) {
    group.addEventListener("click", () => choose(id));
    group.addEventListener("pointerenter", () => point(group, id, true));
    group.addEventListener("pointerleave", () => point(group, id, false));
  }
  return group;
}

function buttonRole(zone, meaning, isVeryFirst) {
  return {
    role: "button",
    tabindex: isVeryFirst ? "0" : "-1",
    "aria-pressed": "false",
    "aria-label": meaning.sentence(zone),
  };
}

function drawLines(view, name) {
  const { contour, fine, datum, ribs = [] } = view.lines;
  return svg(
    "g",
    { class: "drafting", "aria-hidden": "true" },
    ribs.map(({ clip, d }) => svg("path", { class: "rib", d, "clip-path": `url(#clip-${name}-${clip})` })),
    svg("path", { class: "fine", d: fine.join(" ") }),
    svg("path", { class: "contour", d: contour.join(" ") }),
    svg("path", { class: "datum", d: datum.join(" ") }),
    svg("path", { class: "contour", d: view.marks.join(" ") }),
  );
}

function drawLabel(zone, meaning, { at: [x, y], to, anchor = "start" }) {
  const name = shortened(zone.name || zone.id);
  const share = meaning.label(zone);
  const width = (name.length + share.length + 1) * 18;
  const startX = anchor === "end" ? x - width : x;
  const leader = to && `M${to[0]} ${to[1]} L${nearest(to[0], startX, width)} ${to[1] > y ? y + 12 : y - 36}`;
  return svg(
    "g",
    { class: "label", "data-label": zone.id },
    to && svg("path", { class: "leader", d: leader }),
    to && svg("circle", { class: "leader-end", cx: to[0], cy: to[1], r: 6 }),
    svg("text", { x, y, "text-anchor": anchor }, name, " ", svg("tspan", { class: "share" }, share)),
  );
}

function nearest(x, start, width) {
  return Math.min(Math.max(x, start + 20), start + Math.min(width, 120));
}

function shortened(name) {
  return name.length > LONGEST_LABEL ? `${name.slice(0, LONGEST_LABEL - 1).trimEnd()}…` : name;
}

function viewTitle(text, x, y) {
  return svg(
    "text",
    { class: "view-title", x, y: y - 6, "text-anchor": "middle", "aria-hidden": "true" },
    text,
  );
}

/** What the zone shows, in one sentence. */
function sentence(zone) {
  const share = zone.tasks ? t`${formatShare(zone.share_done)} accomplished` : t`no work planned`;
  const parts = [t`${zone.name || zone.id}: ${share}`];
  if (zone.in_work) parts.push(t`${formatNumber(zone.in_work)} in work`);
  if (zone.held) parts.push(t`${formatNumber(zone.held)} held`);
  for (const item of zone.away) parts.push(t`${item.name} away at ${item.vendor}`);
  if (zone.critical) parts.push(t`sets the finish`);
  return parts.join(", ");
}

/** Why the drawing stays empty. */
function unplaced(zones) {
  const text = zones.length ? t`The zones of this plan are not on this drawing. The table names them.` : t`This plan names no zones.`;
  return el("p.soft", {}, text);
}

function legend(meaning) {
  const entry = ([name, text]) => el("li", {}, el(`span.swatch.${name}`, { "aria-hidden": "true" }), text);
  return el("ul.legend", { role: "list", "aria-label": t`How the map is drawn` }, meaning.legend.map(entry));
}

/** The zone of what is all over the aircraft: its share is no total of the others. */
function noOneZone(zones) {
  const zone = zones.find(({ id }) => id === WHOLE);
  return zone ? el("p.soft.no-one-zone", {}, t`${zone.name || zone.id}: what belongs to no one zone.`) : null;
}

function zoneTable(zones, meaning, choose) {
  const name = (zone) => zoneButton(zone, choose);
  return table({
    caption: t`Zones of the airframe`,
    hideCaption: true,
    rows: zones,
    empty: t`This project has no zones yet.`,
    columns: [{ label: t`Zone`, cell: name, heading: true }, ...meaning.columns],
  });
}

function zoneButton(zone, choose) {
  return el(
    "button.zone-name",
    { type: "button", "data-zone-row": zone.id, "aria-pressed": "false", onclick: () => choose(zone.id) },
    zone.name || zone.id,
  );
}

function awayLines(zone) {
  return zone.away.map((item) =>
    el("div", {}, item.name, item.need_by && [", ", el("small", {}, t`need by ${when(item.need_by)}`)]),
  );
}

function markSelected(place, selected) {
  for (const node of place.querySelectorAll("[data-zone], [data-zone-row]")) {
    const isChosen = (node.dataset.zone ?? node.dataset.zoneRow) === selected;
    node.classList.toggle("selected", isChosen);
    if (node.hasAttribute("aria-pressed")) node.setAttribute("aria-pressed", String(isChosen));
  }
}

function point(group, id, isOver) {
  const map = group.closest(".airframe");
  for (const node of map.querySelectorAll(`[data-zone="${CSS.escape(id)}"]`)) {
    node.classList.toggle("pointed", isOver);
  }
}

function moveBetween(map, event) {
  const current = event.target.closest('[role="button"]');
  if (!current) return;
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    current.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    return;
  }
  const all = [...map.querySelectorAll('[role="button"]')].filter((node) => node.getClientRects().length);
  const at = all.indexOf(current);
  const next = {
    ArrowRight: all[(at + 1) % all.length],
    ArrowDown: all[(at + 1) % all.length],
    ArrowLeft: all[(at - 1 + all.length) % all.length],
    ArrowUp: all[(at - 1 + all.length) % all.length],
    Home: all[0],
    End: all.at(-1),
  }[event.key];
  if (!next) return;
  event.preventDefault();
  current.setAttribute("tabindex", "-1");
  next.setAttribute("tabindex", "0");
  next.focus();
}
