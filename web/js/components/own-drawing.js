/** A shop's own drawings as views of the airframe map: a picture, with the zones traced on it. */

import { address } from "../lib/api.js";
import { t } from "../lib/text.js";

/** Units across a picture, as on the drawings that come with the program. */
const ACROSS = 1000;
const ROOM_FOR_TITLE = 60;

/**
 * @typedef {object} Drawing As the service lists it.
 * @property {string} key
 * @property {number} version
 * @property {string} sha256
 * @property {number} width
 * @property {number} height
 * @property {string} name
 * @property {boolean} shown
 * @property {{zone: string, corners: [number, number][]}[]} outlines
 */

/**
 * Those that the map is drawn on: shown, with a zone at least. None: null, and the map takes the
 * drawing that comes with the program.
 * @param {import("../lib/sheet.js").Sheet} sheet @param {Drawing[]} drawings
 */
export function ownDrawing(sheet, drawings) {
  const shown = drawings.filter((one) => one.shown && one.outlines.length);
  if (!shown.length) return null;
  const views = Object.fromEntries(shown.map((one, place) => [`own-${place}`, viewOf(sheet, one)]));
  return { name: sheet.project.aircraft || t`Own drawing`, isOwn: true, views };
}

/** The picture of a drawing, as it lies on the map. @param {import("../lib/sheet.js").Sheet} sheet @param {Drawing} drawing */
export function pictureOf(sheet, drawing) {
  const href = address(sheet.path(`/drawings/${encodeURIComponent(drawing.key)}/file`), { digest: drawing.sha256 });
  return { href, width: ACROSS, height: Math.round((ACROSS * drawing.height) / drawing.width) };
}

/** @param {[number, number][]} corners Shares of width and height. @param {{width: number, height: number}} size */
export function pathOf(corners, { width, height }) {
  return `M${corners.map(([x, y]) => `${round(x * width)} ${round(y * height)}`).join(" L")} Z`;
}

function viewOf(sheet, drawing) {
  const picture = pictureOf(sheet, drawing);
  const shapes = drawing.outlines.map(({ zone, corners }, place) => [zone, shapeOf(corners, picture, place)]);
  return {
    title: drawing.name || t`Own drawing`,
    viewBox: [0, 0, ACROSS, picture.height + ROOM_FOR_TITLE],
    picture,
    zones: Object.fromEntries(shapes.sort(([, one], [, other]) => areaOf(other) - areaOf(one))),
  };
}

/** Large zones lie below small ones, so that each can be touched. */
function areaOf({ fill: { box } }) {
  return box[2] * box[3];
}

function shapeOf(corners, picture, place) {
  const xs = corners.map(([x]) => x * picture.width);
  const ys = corners.map(([, y]) => y * picture.height);
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  const box = [left, top, Math.max(...xs) - left, Math.max(...ys) - top].map(round);
  return { d: pathOf(corners, picture), fill: { box, from: "bottom" }, mark: place };
}

function round(value) {
  return Math.round(value * 10) / 10;
}
