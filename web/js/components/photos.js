/** Photos and documents of a thing: small ones in a row, more to add, each to be looked at large. */

import { ApiError, address, get, post, remove, upload } from "../lib/api.js";
import { whatChanged } from "../lib/changes.js";
import { el, fill, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { many, t } from "../lib/text.js";
import { openPhoto } from "./photo-large.js";

/** Kinds of picture that the service takes. */
export const PICTURES = "image/jpeg,image/png,image/webp";
const TAKEN = `${PICTURES},application/pdf`;
const IS_PICTURE = /^image\//;

/**
 * @typedef {object} Line A photo or a document, as the service lists it.
 * @property {string} key
 * @property {number} version
 * @property {string} sha256
 * @property {string} media_type
 * @property {string} name
 * @property {string} caption
 * @property {string | null} taken_on
 * @property {string} added_on
 * @property {string} by
 */

/**
 * The photos of one thing, with what it takes to add, caption and take away. It fills itself.
 *
 * @param {object} options
 * @param {import("../lib/sheet.js").Sheet} options.sheet
 * @param {Record<string, string>} options.of What they show: `{ finding: "F1" }`, `{ task: "T010" }`.
 * @param {string} [options.title] Above them.
 * @param {(lines: Line[]) => void} [options.onChange] After each change, with those that are there now.
 * @returns {HTMLElement}
 */
export function photos({ sheet, of, title = t`Photos and documents`, onChange = () => {} }) {
  const grid = el("div.photo-grid", { tabindex: "-1" }, el("p.soft", {}, t`Reading…`));
  const said = el("div.photos-told", { role: "status", "aria-live": "polite" });
  const shelf = { sheet, of, grid, said, onChange, lines: [] };
  const node = el("section.photos", { "aria-label": title }, el("h3", {}, title), grid, said, sheet.readOnly ? null : adding(shelf));
  read(shelf).catch((error) => fill(grid, el("p.problem", {}, sentence(error))));
  return node;
}

/**
 * Photos that are only looked at and printed, such as those of a month: read at once, for paper
 * does not wait.
 * @param {import("../lib/sheet.js").Sheet} sheet @param {Line[]} lines @returns {HTMLElement}
 */
export function photoRow(sheet, lines) {
  return el("div.photo-grid", {}, lines.map((line, place) => figure(sheet, line, () => openPhoto({ sheet, lines, place }), "eager")));
}

async function read(shelf) {
  const { evidence } = await get(shelf.sheet.path("/evidence"), { query: shelf.of });
  shelf.lines = evidence;
  fill(shelf.grid, evidence.length ? evidence.map((line, place) => figure(shelf.sheet, line, () => look(shelf, place))) : el("p.soft", {}, t`None yet.`));
}

async function again(shelf) {
  await read(shelf);
  shelf.onChange(shelf.lines);
}

function figure(sheet, line, open, loading = "lazy") {
  const words = line.caption || line.name || line.key;
  const button = el("button.photo-open", { type: "button", onclick: open }, IS_PICTURE.test(line.media_type) ? small(sheet, line, words, loading) : paper(words));
  return el("figure.photo", { "data-key": line.key }, button, el("figcaption", {}, caption(line)));
}

function small(sheet, line, words, loading) {
  const src = address(sheet.path(`/evidence/${encodeURIComponent(line.key)}/thumbnail`), { digest: line.sha256 });
  const picture = el("img", { src, alt: words, loading, decoding: "async" });
  picture.addEventListener("error", () => picture.replaceWith(el("span.photo-gone", {}, t`File is not here: ${words}`)));
  return picture;
}

function paper(words) {
  return el("span.photo-document", {}, el("span.lettering", { "aria-hidden": "true" }, t`PDF`), el("span.unseen", {}, t`Document: ${words}`));
}

function caption(line) {
  const text = line.caption || (IS_PICTURE.test(line.media_type) ? "" : line.name);
  return [text ? el("span.photo-caption", {}, text) : null, el("span.soft", {}, when(line.taken_on ?? line.added_on, "day"))];
}

function look(shelf, place) {
  const { sheet, lines } = shelf;
  openPhoto({ sheet, lines, place, changed: () => saved(shelf), takeAway: sheet.readOnly ? null : (line) => takeAway(shelf, line) });
}

async function saved(shelf) {
  await again(shelf);
  fill(shelf.said, el("p", {}, t`Saved.`));
  shelf.grid.focus({ preventScroll: true });
}

function adding(shelf) {
  const chooser = (text, attributes) => {
    const input = el("input", { type: "file", hidden: true, "aria-label": text, ...attributes });
    const button = el("button.button", { type: "button", onclick: () => input.click() }, text);
    input.addEventListener("change", async () => {
      const files = [...input.files];
      input.value = "";
      await add(shelf, files, button);
    });
    return [button, input];
  };
  return el(
    "div.button-row.no-print",
    {},
    el("span.photo-camera", {}, chooser(t`Take a photo`, { accept: PICTURES, capture: "environment" })),
    chooser(t`Add photos or PDFs`, { accept: TAKEN, multiple: true }),
  );
}

/** Send files one after the other; what is refused is told by name and does not stop the rest. */
async function add(shelf, files, button) {
  const { sheet, of, said } = shelf;
  const added = [];
  const refused = [];
  button.disabled = true;
  try {
    for (const [number, file] of files.entries()) {
      fill(said, el("p", {}, t`Sending ${formatNumber(number + 1)} of ${formatNumber(files.length)}: ${file.name}`));
      try {
        added.push(await upload(sheet.path("/evidence"), file, { query: { ...of, name: file.name } }));
      } catch (error) {
        refused.push(`${file.name}: ${sentence(error)}`);
      }
    }
    if (added.length) await again(shelf);
    fill(said, addedNote(shelf, added), refused.length ? el("ul.photos-refused", {}, refused.map((one) => el("li", {}, one))) : null);
  } catch (error) {
    fill(said, el("p.wrong", {}, sentence(error)));
  } finally {
    button.disabled = false;
  }
}

function addedNote(shelf, added) {
  if (!added.length) return null;
  return note(shelf, many(added.length, "Added. Open it to write what it shows.", "{n} added. Open one to write what it shows."), added);
}

async function takeAway(shelf, line) {
  const done = await remove(shelf.sheet.path(`/evidence/${encodeURIComponent(line.key)}`), { version: line.version });
  await again(shelf);
  fill(shelf.said, note(shelf, t`Taken away: ${line.caption || line.name || line.key}.`, [{ key: line.key, version: done.version }]));
  shelf.grid.focus({ preventScroll: true });
}

/** What was done, and a button that takes it back: beside the photos, for a dialog lies over the page's notice. */
function note(shelf, text, lines) {
  const undo = el("button.button", { type: "button" }, t`Undo`);
  undo.addEventListener("click", async () => {
    undo.disabled = true;
    try {
      for (const { key, version } of lines) await post(shelf.sheet.path("/undo"), { kind: "evidence", key }, { version });
      await again(shelf);
      fill(shelf.said, el("p", {}, t`Taken back.`));
    } catch (error) {
      await again(shelf);
      fill(shelf.said, el("p.wrong", {}, t`Not taken back. ${sentence(error)}`));
    }
    shelf.grid.focus({ preventScroll: true });
  });
  return el("p.photos-note", {}, text, " ", undo);
}

/** The service's sentence; the name of the file stands before it already. */
function sentence(error) {
  if (!(error instanceof ApiError)) throw error;
  return error.isStale ? whatChanged(error) : error.message.replace(/^file: /, "");
}
