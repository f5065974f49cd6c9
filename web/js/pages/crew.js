/** Crew: the finish that people and places allow, who waits for whom, a better order, the week. */

import { chartKey } from "../components/chart-key.js";
import { printCharts } from "../components/chart-print.js";
import { asksForSomebody, crewAnswer } from "../components/crew-answer.js";
import { GainsPanel } from "../components/crew-gains.js";
import { showLoad } from "../components/crew-load.js";
import { OrderPanel } from "../components/crew-order.js";
import { showWaits } from "../components/crew-waits.js";
import { WeekPanel } from "../components/crew-week.js";
import { answerFor, askAgain, spreadSlot, UNKNOWN } from "../components/spread-slot.js";
import { get } from "../lib/api.js";
import { byId, el, fill } from "../lib/dom.js";
import { runPage } from "../lib/sheet.js";
import { t } from "../lib/text.js";

/** What stands only where open work asks for people or a place. */
const WORKING = ["jump", "load-panel", "waits-panel", "order-panel", "gains-panel"];

runPage(async (sheet) => {
  printCharts("portrait");
  fill(byId("load-key"), chartKey(["asked", "hands", "nobody", "now"]));
  const page = new CrewPage(sheet);
  await page.open();
});

class CrewPage {
  /** @param {import("../lib/sheet.js").Sheet} sheet */
  constructor(sheet) {
    this.sheet = sheet;
    this.load = null;
    /** What the simulation last answered. */
    this.answer = null;
    /** What one more would gain most; null while that is not known. */
    this.gain = null;
    this.afterwards = () => this.#refresh();
    this.order = new OrderPanel(byId("order"), sheet, this.afterwards);
    this.gains = new GainsPanel(byId("gains"), sheet, (gain) => this.#gained(gain));
    this.week = new WeekPanel(byId("week-plan"), sheet);
  }

  async open() {
    this.sheet.keepUp(this.afterwards);
    await this.#show();
    await Promise.all([spreadSlot(this.sheet, byId("spread"), (answer) => this.#told(answer)), this.order.open(), this.gains.open()]);
    if (this.answer) return;
    this.answer = UNKNOWN;
    this.#drawAnswer();
  }

  /** Everything anew after a change; how sure the dates are follows. */
  async #refresh() {
    await Promise.all([this.#show(), this.sheet.refreshTitleBlock(), this.order.open(), this.gains.open()]);
    askAgain(this.sheet);
    return this.load;
  }

  #told(answer) {
    this.answer = answer;
    this.#drawAnswer();
  }

  #gained(gain) {
    if (gain?.sentence === this.gain?.sentence) return;
    this.gain = gain;
    this.#drawAnswer();
  }

  async #show() {
    const [load, { crew_links: links }] = await Promise.all([get(this.sheet.path("/crew-load")), get(this.sheet.path("/crew-links"))]);
    this.load = load;
    this.#drawAnswer();
    const isAsked = asksForSomebody(load);
    for (const id of WORKING) byId(id).hidden = !isAsked;
    if (isAsked) showWaits(byId("waits"), this.sheet, { load, links, afterwards: this.afterwards });
    await Promise.all([isAsked && showLoad(this.sheet, byId("load"), byId("trades"), load), this.week.open(load.as_of)]);
  }

  #drawAnswer() {
    fill(byId("answer"), crewAnswer(this.load, answerFor(this.answer, this.load.plan_version), this.gain), this.#advice());
  }

  /** Where there is nothing to reckon with: what is missing, and where it is entered. */
  #advice() {
    if (asksForSomebody(this.load)) return null;
    const settings = el("a", { href: this.sheet.link("settings") }, t`Settings`);
    return el("p.empty-state", {}, t`Say in the plan which trade each task takes and how many people, and who is there when: then this sheet says whether they are enough. Calendars and people stand on ${settings}.`);
  }
}
