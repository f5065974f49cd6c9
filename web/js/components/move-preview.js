/** What an edit would move, told while it is typed: the service calculates it, nothing is kept. */

import { ApiError, post } from "../lib/api.js";
import { whatChanged } from "../lib/changes.js";
import { datedText, el, fill, when } from "../lib/dom.js";
import { finishSentence, formatDays, formatNumber } from "../lib/format.js";
import { later } from "../lib/later.js";
import { many, t } from "../lib/text.js";
import { daysLine } from "./days-line.js";

const PAUSE_MS = 60;

export class MovePreview {
  /**
   * @param {object} page
   * @param {() => {path: string, body: any, version: number} | null} page.asked null: nothing differs.
   * @param {(error: ApiError) => string} page.reason Why it cannot be, in the words of the form.
   */
  constructor({ asked, reason }) {
    this.asked = asked;
    this.reason = reason;
    this.told = el("div", { role: "status", "aria-live": "polite" });
    this.list = el("div");
    this.node = el("section.move-preview", { "aria-label": t`What would move`, hidden: true }, this.told, this.list);
    this.soon = later(PAUSE_MS, () => this.#look());
  }

  /** What is typed has changed. */
  look() {
    this.stop?.abort();
    if (this.asked()) this.soon();
    else this.clear();
  }

  clear() {
    this.soon.cancel();
    this.stop?.abort();
    this.node.hidden = true;
    fill(this.told);
    fill(this.list);
  }

  async #look() {
    const asked = this.asked();
    if (!asked) return this.clear();
    this.stop = new AbortController();
    const { signal } = this.stop;
    try {
      const told = await post(asked.path, asked.body, { version: asked.version, signal });
      if (!signal.aborted) this.#draw(sentences(told), moves(told), "plain");
    } catch (error) {
      if (signal.aborted) return;
      if (!(error instanceof ApiError)) throw error;
      this.#draw([datedText(error.isStale ? whatChanged(error) : this.reason(error))], null, "problem");
    }
  }

  #draw(lines, list, tone) {
    const wasOpen = this.list.querySelector("details")?.open;
    this.node.dataset.tone = tone;
    this.node.hidden = false;
    fill(this.told, lines.map((line, place) => el(place ? "p" : "p.move-first", {}, line)));
    fill(this.list, list);
    if (list && wasOpen) list.open = true;
  }
}

/** @param {any} told As the service answers. @returns {string[]} */
function sentences({ finish, moved, newly_on_path: on, no_longer_on_path: off, newly_missed: missed }) {
  const deadlines = missed.map(({ id, name, missed_days: days }) => t`${name || id} would miss its deadline by ${formatDays(days)}.`);
  const path = [on.count && t`Newly sets the finish: ${named(on)}.`, off.count && t`No longer sets it: ${named(off)}.`];
  return [`${finishSentence(finish)} ${counted(moved)}`, ...deadlines, path.filter(Boolean).join(" ")].filter(Boolean);
}

function counted({ count, later: late }) {
  if (!count) return t`Nothing else moves.`;
  const sooner = count - late;
  const ways = [late && t`${formatNumber(late)} later`, sooner && t`${formatNumber(sooner)} sooner`].filter(Boolean).join(", ");
  return many(count, "{n} end moves: {0}.", "{n} ends move: {0}.", ways);
}

/** The first few of several, and how many more. */
function named({ count, first }) {
  const shown = first.slice(0, 3).map(({ id, name }) => name || id);
  const rest = count - shown.length;
  return rest > 0 ? t`${shown.join(", ")} and ${formatNumber(rest)} more` : shown.join(", ");
}

function moves({ moved: { count, largest } }) {
  if (!largest.length) return null;
  const longest = Math.max(...largest.map(({ moved_days: days }) => Math.abs(days)));
  const line = ({ id, name, before, after, moved_days: moved }) => {
    const days = formatDays(Math.abs(moved));
    const text = moved > 0 ? t`${days} later` : t`${days} sooner`;
    return el("li", {}, el("span", {}, name || id), daysLine(Math.abs(moved), longest, { text, label: text }), el("span.soft", {}, t`${when(before)} to ${when(after)}`));
  };
  const rest = count - largest.length;
  return el("details", {}, el("summary", {}, t`What moves most`), el("ol.move-list", {}, largest.map(line)), rest > 0 ? el("p.soft", {}, t`${formatNumber(rest)} more move by less, or as much.`) : null);
}
