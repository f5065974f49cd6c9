/** A panel about something that is worked out beside the requests, once somebody has asked for it. */

import { ApiError } from "../lib/api.js";
import { el, fill } from "../lib/dom.js";
import { follow } from "../lib/simulation.js";
import { t } from "../lib/text.js";

/** It follows what is worked out, whoever began it; who extends it says how each answer is drawn. */
export class AskedPanel {
  /**
   * @param {HTMLElement} place
   * @param {import("../lib/sheet.js").Sheet} sheet
   * @param {string} endpoint Of the project: "/levelling".
   */
  constructor(place, sheet, endpoint) {
    this.sheet = sheet;
    this.path = sheet.path(endpoint);
    this.stop = () => {};
    /** Whether somebody waits to be told what comes of it. */
    this.isAwaited = false;
    this.body = el("div");
    this.told = el("p.unseen", { role: "status" });
    fill(place, this.body, this.told);
  }

  /** Ask how it stands, and again until it has ended. @returns {Promise<void>} Once it is drawn. */
  open() {
    this.stop();
    return new Promise((resolve) => {
      this.stop = follow(this.path, (answer, error) => {
        if (answer) this.draw(answer);
        else this.#fail(error);
        resolve();
      });
    });
  }

  #fail(error) {
    if (!(error instanceof ApiError)) throw error;
    fill(this.body, el("div.problem", { role: "alert" }, el("p", {}, error.message), el("button.button", { type: "button", onclick: () => this.open() }, t`Try again`)));
  }
}
