/**
 * Lists of money that are entered: searched and sorted as a whole, each line opened in a detail
 * sheet where it is read and changed.
 */

import { el, fill } from "../lib/dom.js";
import { openDialog } from "../lib/dialog.js";
import { t } from "../lib/text.js";
import { addForm, editForm } from "./editing.js";
import { longTable } from "./long-table.js";

/** A list of fewer is taken in at a glance. */
const SEARCHED = 10;

/**
 * @typedef {object} LineKind One kind of line and its words.
 * @property {string} kind As in the change log.
 * @property {string} path "/costs"
 * @property {string} caption
 * @property {string} nothing Said where there is none.
 * @property {string} addText Of the button that adds one.
 * @property {(one: any) => string} called
 * @property {(one: any) => any} [under] Small words under the name.
 * @property {import("../lib/table.js").Column[]} columns Besides the name.
 * @property {(one: any) => string} text What a search looks through.
 * @property {(one: any) => {fields: any, typed: (node: HTMLFormElement) => any}} form
 * @property {Record<string, string>} needs What must be filled, and what to say if not.
 * @property {(rows: any[]) => any} fresh A new one, with its id where it needs one.
 * @property {(one: any) => any} [more] Read, below the form.
 * @property {(one: any) => boolean} [isFixed] It can be read only.
 */

export class LineList {
  /**
   * @param {HTMLElement} place
   * @param {import("../lib/sheet.js").Sheet} sheet
   * @param {LineKind} kind
   * @param {() => Promise<any>} afterwards Called after each change.
   */
  constructor(place, sheet, kind, afterwards) {
    Object.assign(this, { place, sheet, kind, afterwards });
    this.rows = [];
    this.list = longTable({
      caption: kind.caption,
      columns: [{ label: t`Name`, cell: (one) => this.#name(one), heading: true, sort: (one) => kind.called(one).toLocaleLowerCase() }, ...kind.columns],
      text: kind.text,
    });
    this.body = el("div");
    const add = sheet.readOnly ? null : el("div.button-row.no-print", {}, el("button.button", { type: "button", onclick: () => this.#openNew() }, kind.addText));
    fill(place, el("div.stack", {}, this.body, add));
  }

  /** @param {any[]} rows */
  show(rows) {
    this.rows = rows;
    if (!rows.length) fill(this.body, el("p.empty-state", {}, this.kind.nothing));
    else if (!this.body.contains(this.list.node)) fill(this.body, this.list.node);
    this.list.node.querySelector(".search").hidden = rows.length < SEARCHED;
    this.list.showRows(rows);
  }

  #name(one) {
    const under = this.kind.under?.(one);
    return [el("button.link", { type: "button", onclick: () => this.#open(one) }, this.kind.called(one)), under ? el("span.under", {}, under) : null];
  }

  #open(one) {
    const { sheet, kind } = this;
    const thing = { kind: kind.kind, key: one.key, path: sheet.path(`${kind.path}/${encodeURIComponent(one.key)}`), name: kind.called(one), version: one.version, canGo: true };
    const more = kind.more?.(one);
    const { fields, typed } = kind.form(one);
    const isFixed = kind.isFixed?.(one) ?? false;
    const node = isFixed ? null : editForm(sheet, thing, fields, typed, () => this.#close(dialog));
    const dialog = openDialog({ title: kind.called(one), content: [node, more], wide: true });
  }

  #openNew() {
    const { sheet, kind } = this;
    const fresh = kind.fresh(this.rows);
    const { fields, typed } = kind.form(fresh);
    const what = { kind: kind.kind, path: kind.path, text: kind.addText, needs: kind.needs, called: kind.called };
    const node = addForm(sheet, what, fields, () => ({ ...(fresh.id ? { id: fresh.id } : {}), ...typed(node) }), () => this.#close(dialog));
    const dialog = openDialog({ title: kind.addText, content: node, wide: true });
  }

  async #close(dialog) {
    if (dialog.open) dialog.close();
    await this.afterwards();
  }
}
