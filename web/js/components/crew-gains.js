/** What one more hand, one more day a week or one more place would gain, worked out when asked for. */

import { post, remove } from "../lib/api.js";
import { datedText, el, fill, when } from "../lib/dom.js";
import { formatNumber, formatShare } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { t, told } from "../lib/text.js";
import { tradeName } from "../lib/words.js";
import { AskedPanel } from "./asked-panel.js";
import { daysLine } from "./days-line.js";

const KINDS = { person: t`One more hand`, day: t`One more day a week`, place: t`One more place` };
const SHOWN = 6;

/** The panel; it follows what is worked out, whoever began it. */
export class GainsPanel extends AskedPanel {
  /**
   * @param {HTMLElement} place
   * @param {import("../lib/sheet.js").Sheet} sheet
   * @param {(best: any) => void} onKnown Told what gains most, or null while that is not known.
   */
  constructor(place, sheet, onKnown) {
    super(place, sheet, "/one-more");
    this.onKnown = onKnown;
  }

  draw(answer) {
    this.onKnown(answer.state === "ready" && answer.result ? best(answer.result.gains) : null);
    if (answer.state === "running") this.#drawRunning(answer);
    else if (answer.state === "ready" && answer.result) this.#drawResult(answer.result);
    else this.#drawAsk(answer);
  }

  #drawAsk({ state, reason = "" }) {
    const words = {
      outdated: t`The plan was changed since this was worked out.`,
      cancelled: t`That was stopped before it was worked out.`,
      failed: [t`It could not be worked out.`, " ", told(reason)],
    };
    const text = t`Finds the best order anew with one more person of each trade, one more day a week, or one more of a place, and says by how many days the finish comes closer. It takes a minute or so; the sheet stays usable.`;
    const ask = el("button.button.strong", { type: "button", "data-action": "ask", onclick: () => this.#ask() }, t`Work it out`);
    fill(
      this.body,
      words[state] ? el("p.empty-state", {}, words[state]) : null,
      this.sheet.readOnly ? el("p.empty-state", {}, t`Not worked out yet. The shop lead or the planner can ask for it.`) : [el("p.no-print", {}, text), el("p.no-print", {}, ask), el("p.print-only", {}, t`Not worked out yet.`)],
    );
  }

  #drawRunning({ progress }) {
    this.isAwaited = true;
    if (!this.body.querySelector("progress")) {
      const stop = el("button.button", { type: "button", "data-action": "stop", onclick: () => this.#send(() => remove(this.path)) }, t`Stop`);
      fill(
        this.body,
        el("div.spread-state.no-print", {}, el("p", {}, t`Working out what each would gain: ${el("span.share")} done.`), el("progress", { max: 1, "aria-label": t`Working out what one more would gain` }), this.sheet.readOnly ? null : stop),
      );
      fill(this.told, t`Working out what one more would gain.`);
    }
    this.body.querySelector("progress").value = progress;
    fill(this.body.querySelector(".share"), formatShare(progress));
  }

  #ask() {
    this.isAwaited = true;
    return this.#send(() => post(this.path, {}));
  }

  async #send(work) {
    try {
      await work();
      await this.open();
      this.body.querySelector("[data-action]")?.focus({ preventScroll: true });
    } catch (error) {
      sayProblem(error);
    }
  }

  #drawResult({ base_finish: base, gains }) {
    const sorted = [...gains].sort((a, b) => b.gain_days - a.gain_days);
    const telling = sorted.filter(({ gain_days: days }) => days > 0);
    const top = telling.slice(0, SHOWN);
    const hasFocus = this.body.contains(document.activeElement);
    fill(
      this.body,
      el("p", {}, t`Against the best order that was found for the crew as it is, finish ${when(base)} as written. One thing at a time: the days do not add up.`),
      top.length
        ? el("ol.gains", { role: "list" }, top.map((one) => item(one, top[0].gain_days)))
        : el("p", {}, el("b", {}, gains.length ? t`None of these would bring the finish closer by a day.` : t`No open work asks for people or a place.`)),
      gains.length ? behind(sorted) : null,
      this.sheet.readOnly ? null : el("p.no-print", {}, el("button.button", { type: "button", "data-action": "ask", onclick: () => this.#ask() }, t`Work it out again`)),
    );
    if (this.isAwaited) fill(this.told, top.length ? datedText(top[0].sentence) : t`None would bring the finish closer.`);
    this.isAwaited = false;
    if (hasFocus) this.body.querySelector("[data-action]")?.focus({ preventScroll: true });
  }
}

/** What gains most; null where nothing gains a day. */
function best(gains) {
  const [first] = gains.filter(({ gain_days: days }) => days > 0).sort((a, b) => b.gain_days - a.gain_days);
  return first ?? null;
}

function item(gain, longest) {
  return el("li", {}, el("p.gain-kind", {}, `${KINDS[gain.kind] ?? gain.kind}, ${sureness(gain)}`), el("p.gain-sentence", {}, datedText(gain.sentence)), daysLine(gain.gain_days, longest));
}

/** A trade, a weekday on a calendar, or a place. */
function nameOf({ name, trade, calendar }) {
  if (trade) return tradeName(trade);
  return calendar ? told(name) : name;
}

/** Whether the days are exactly that; else more or fewer may come out of a longer search. */
function sureness({ proven }) {
  return proven ? t`proven` : t`as far as was found`;
}

function behind(gains) {
  return el(
    "details.behind",
    {},
    el("summary", {}, t`All of them as a table`),
    table({
      caption: t`What one more would gain`,
      rows: gains,
      columns: [
        { label: t`Whom or what`, cell: nameOf, heading: true, sort: nameOf },
        { label: t`What is added`, cell: (one) => KINDS[one.kind] ?? one.kind, sort: (one) => one.kind },
        { label: t`Finish`, cell: (one) => when(one.finish), sort: (one) => one.finish },
        { label: t`Days gained`, cell: (one) => formatNumber(one.gain_days), sort: (one) => one.gain_days, numeric: true },
        { label: t`How sure`, cell: sureness, sort: (one) => Number(one.proven) },
      ],
    }),
  );
}
