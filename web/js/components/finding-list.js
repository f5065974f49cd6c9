/**
 * The findings as a list that stays quick with a thousand of them.
 *
 * Rows are drawn in pieces and kept: a row is drawn anew only if its finding changed. The form of
 * a row is made when the row is unfolded.
 */

import { el, fill } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { many, t } from "../lib/text.js";
import { cameOfIt, gradeMark, inUnits } from "./finding-words.js";

const FIRST_PIECE = 24;
const PIECE = 60;

export class FindingList {
  /**
   * @param {HTMLElement} place
   * @param {object} page
   * @param {() => any} page.evaluation
   * @param {(line: any, body: HTMLElement) => void} page.unfold Fill the unfolded part of a row.
   * @param {() => void} page.startNew
   */
  constructor(place, page) {
    this.place = place;
    this.page = page;
    /** Rows by key, with what they were drawn from. @type {Map<string, {node: HTMLElement, of: string}>} */
    this.rows = new Map();
    this.opened = new Set();
    this.round = 0;
    place.addEventListener("keydown", (event) => this.#key(event));
  }

  /**
   * Show findings, under the names of their zones where there are several.
   * @param {any[]} lines
   * @param {{byZone: boolean, empty: any}} how
   */
  show(lines, { byZone, empty }) {
    this.round += 1;
    if (!lines.length) {
      fill(this.place, empty);
      return;
    }
    const { zones } = this.page.evaluation();
    const groups = byZone ? grouped(lines, zones) : [{ name: "", lines }];
    const lists = groups.map(({ name, lines: some }) => ({ list: el("ul.findings", { role: "list" }), name, some }));
    fill(
      this.place,
      lists.map(({ list, name, some }) =>
        name ? el("section.finding-zone", {}, el("h3", {}, name, el("span.count", {}, ` ${formatNumber(some.length)}`)), list) : list,
      ),
    );
    this.#draw(lists.flatMap(({ list, some }) => some.map((line) => ({ list, line }))));
  }

  /** Unfold a row and go to it. @param {string} key @param {string} [selector] What is looked at. */
  open(key, selector) {
    this.opened.add(key);
    const row = this.rows.get(key)?.node;
    if (!row?.isConnected) return;
    this.#unfold(row);
    (row.querySelector(selector ?? ".finding-head") ?? row).scrollIntoView({ block: "start" });
  }

  /** Fold a row; it is drawn anew when it is unfolded. @param {string} key */
  close(key) {
    this.opened.delete(key);
    const row = this.rows.get(key)?.node;
    if (!row) return;
    row.querySelector(".finding-body")?.remove();
    row.querySelector(".finding-head").setAttribute("aria-expanded", "false");
  }

  /** Let a row be drawn anew. @param {string} key */
  forget(key) {
    this.rows.delete(key);
  }

  #draw(queue) {
    const { round } = this;
    const piece = (size) => {
      for (const { list, line } of queue.splice(0, size)) list.append(this.#row(line));
    };
    const next = () => {
      if (round !== this.round || !queue.length) return;
      piece(PIECE);
      later(next);
    };
    piece(FIRST_PIECE);
    this.#oneStop();
    later(next);
  }

  #row(line) {
    const of = JSON.stringify(line);
    const known = this.rows.get(line.key);
    if (known?.of === of) return known.node;
    if (known?.node.querySelector(".finding-body")) return this.#newHead(known, line, of);
    const node = el("li.finding", { "data-key": line.key }, this.#head(line));
    this.rows.set(line.key, { node, of });
    if (this.opened.has(line.key)) this.#unfold(node);
    return node;
  }

  /** An unfolded row keeps its form, and what is typed into it. */
  #newHead(row, line, of) {
    const old = row.node.querySelector(".finding-head");
    const head = this.#head(line);
    head.setAttribute("aria-expanded", "true");
    head.setAttribute("tabindex", old.getAttribute("tabindex"));
    old.replaceWith(head);
    row.of = of;
    return row.node;
  }

  #head(line) {
    const { finding } = line;
    const toggle = ({ currentTarget }) => {
      if (currentTarget.getAttribute("aria-expanded") === "true") this.close(line.key);
      else this.#unfold(currentTarget.closest(".finding"));
    };
    return el(
      "button.finding-head",
      { type: "button", "aria-expanded": "false", tabindex: "-1", onclick: toggle },
      gradeMark(finding.grade ?? 0),
      el("span.finding-id", {}, line.key),
      el("span.finding-seen-text", {}, finding.seen),
      el("span.finding-facts", {}, facts(line, this.page.evaluation())),
    );
  }

  #unfold(row) {
    const { key } = row.dataset;
    this.opened.add(key);
    if (row.querySelector(".finding-body")) return;
    row.querySelector(".finding-head").setAttribute("aria-expanded", "true");
    const body = el("div.finding-body");
    row.append(body);
    this.page.unfold(this.page.evaluation().findings.find((line) => line.key === key), body);
  }

  /* One stop for the Tab key; arrow keys go on from there. */

  #oneStop() {
    const heads = this.#heads();
    if (heads.some((head) => head.tabIndex === 0)) return;
    heads[0]?.setAttribute("tabindex", "0");
  }

  #heads() {
    return [...this.place.querySelectorAll(".finding-head")];
  }

  #key(event) {
    if (event.key === "Escape") {
      const row = event.target.closest(".finding");
      if (!row?.querySelector(".finding-body")) return;
      this.close(row.dataset.key);
      row.querySelector(".finding-head").focus();
      return;
    }
    const head = event.target.closest(".finding-head");
    if (!head || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key.toLowerCase() === "n") {
      event.preventDefault();
      this.page.startNew();
      return;
    }
    const heads = this.#heads();
    const at = heads.indexOf(head);
    const to = { ArrowDown: heads[at + 1], ArrowUp: heads[at - 1], Home: heads[0], End: heads.at(-1) }[event.key];
    if (!to) return;
    event.preventDefault();
    head.setAttribute("tabindex", "-1");
    to.setAttribute("tabindex", "0");
    to.focus();
  }
}

function grouped(lines, zones) {
  const by = Map.groupBy(lines, ({ finding }) => finding.zone ?? "");
  const named = zones.map(({ id, name }) => ({ name, lines: by.get(id) ?? [] }));
  return [...named, { name: t`No zone`, lines: by.get("") ?? [] }].filter((one) => one.lines.length);
}

/** What stands under the words of a finding. */
function facts(line, { treatments, cards, kinds, grades }) {
  const { finding, evidence } = line;
  const treatment = treatments.find((one) => one.treatment === finding.treatment);
  const card = cards.find(({ id }) => id === finding.card);
  const kind = kinds.find(({ id }) => id === finding.send_out_kind);
  const part = (text) => (text ? el("span", {}, text) : null);
  return [
    part(grades[finding.grade ?? 0].name),
    finding.dropped ? el("span.stamp.withdrawn", {}, t`withdrawn`) : null,
    treatment ? el("strong", {}, treatment.name) : el("span.stamp.undecided", {}, t`not decided`),
    card ? part(`${card.id}, ${inUnits(finding.quantity ?? 1, card.driver)}`) : null,
    kind ? part(t`leaves: ${kind.name}`) : null,
    evidence ? part(many(evidence, "{n} photo", "{n} photos")) : null,
    part(cameOfIt(line)),
  ];
}

function later(work) {
  if (window.requestIdleCallback) requestIdleCallback(work, { timeout: 200 });
  else setTimeout(work, 16);
}
