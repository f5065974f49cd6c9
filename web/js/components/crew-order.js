/**
 * Find a better order: how long to look and how steady to stay, how far it is, what came out.
 *
 * What is known so far is drawn as a gauge that closes: one jaw at the date that no order can
 * beat, the other at the best finish found; between them the finish may be anywhere.
 */

import { ApiError, post, remove } from "../lib/api.js";
import { datedText, el, fill, svg, when } from "../lib/dom.js";
import { daysBetween, finishSentence, formatDate, formatDays, formatNumber } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { many, t } from "../lib/text.js";
import { AskedPanel } from "./asked-panel.js";
import { takeBack, tellDone } from "./undo.js";

const WIDTH = 640;
const HEIGHT = 44;
const LINE = 30;
const EDGE = 8;
const STROKE = 5;

const SECONDS = [
  [5, t`5 seconds`],
  [30, t`30 seconds`],
  [120, t`2 minutes`],
];
/** How many days closer the finish must come to be worth one moved start. */
const STEADY = [
  [0, t`Every day counts`, t`Whatever finishes first, however many starts move.`],
  [1, t`Move as little as possible`, t`A start moves where that brings the finish a day closer.`],
];

/** The panel; it follows a search that is under way, whoever began it. */
export class OrderPanel extends AskedPanel {
  /**
   * @param {HTMLElement} place
   * @param {import("../lib/sheet.js").Sheet} sheet
   * @param {() => Promise<any>} afterwards Draws the sheet again after a change.
   */
  constructor(place, sheet, afterwards) {
    super(place, sheet, "/levelling");
    this.afterwards = afterwards;
    this.chosen = { seconds: SECONDS[0][0], keep_days: STEADY[0][0] };
    /** Where the browser remembers what "Leave it" was said to. */
    this.leftKey = `ribstitch-order-left-${this.path}`;
  }

  draw(answer) {
    const { state } = answer;
    if (state === "running") this.#drawRunning(answer);
    else if (state === "ready" && answer.best && !this.#isLeft(answer)) this.#drawResult(answer);
    else this.#drawForm(answer);
  }

  #drawForm(answer) {
    const { readOnly } = this.sheet;
    if (readOnly) {
      fill(this.body, el("p.empty-state", {}, t`The shop lead or the planner can look for a better order here.`));
      return;
    }
    const said = el("summary");
    const sayChosen = () => fill(said, t`How to look: ${nameOf(SECONDS, this.chosen.seconds)}; ${nameOf(STEADY, this.chosen.keep_days).toLowerCase()}`);
    sayChosen();
    const node = el(
      "form.order-form",
      {},
      el("button.button.strong", { type: "submit" }, t`Look for a better order`),
      el(
        "details.behind.order-how",
        { open: this.body.querySelector(".order-how")?.open },
        said,
        el("div.order-choices", {}, choice("seconds", t`How long to look`, SECONDS, this.chosen), choice("keep_days", t`How steady`, STEADY, this.chosen)),
      ),
    );
    node.addEventListener("change", () => {
      this.chosen = chosenIn(node);
      sayChosen();
    });
    node.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#start(node);
    });
    fill(this.body, el("p", {}, t`Puts the open work into another order, so that people and places are asked for no more than there are, and looks for the earliest finish. Nothing changes until you take the order.`), before(answer, this.sheet), this.#left(answer), node);
  }

  #isLeft(answer) {
    return localStorage.getItem(this.leftKey) === fingerprint(answer);
  }

  /** The order that was left, and the way back to it; nothing where none was. */
  #left(answer) {
    if (answer.state !== "ready" || !answer.best) return null;
    const again = () => {
      localStorage.removeItem(this.leftKey);
      this.draw(answer);
      this.body.querySelector("[data-action]")?.focus({ preventScroll: true });
    };
    return el("p.empty-state", {}, t`The last order that was found is left aside: finish as written ${when(finishOf(answer.best))}.`, " ", el("button.button.plain", { type: "button", onclick: again }, t`Show it again`));
  }

  #start(node) {
    this.chosen = chosenIn(node);
    node.querySelector("button").disabled = true;
    localStorage.removeItem(this.leftKey);
    this.isAwaited = true;
    this.#send(() => post(this.path, this.chosen));
  }

  /** Send, follow what comes of it, and keep the focus in the panel. */
  async #send(work) {
    try {
      await work();
      await this.open();
      this.body.querySelector("[data-action]")?.focus({ preventScroll: true });
    } catch (error) {
      sayProblem(error);
      await this.open();
    }
  }

  /** What is not text stays in place between two answers, so that the button keeps the focus. */
  #drawRunning(answer) {
    this.isAwaited = true;
    if (!this.body.querySelector(".order-running")) {
      const stop = el("button.button", { type: "button", "data-action": "stop", onclick: () => this.#send(() => remove(this.path)) }, t`Stop here, keep the best`);
      fill(
        this.body,
        el(
          "div.order-running",
          {},
          el("p.order-best"),
          el("div.order-gauge"),
          el("div.order-progress", {}, el("progress", { max: 1, "aria-label": t`Looking for a better order` }), this.sheet.readOnly ? null : stop),
        ),
      );
    }
    this.body.querySelector("progress").value = answer.progress;
    const sentence = soFar(answer);
    const shown = this.body.querySelector(".order-best");
    if (shown.textContent === sentence) return;
    fill(shown, sentence);
    fill(this.told, sentence);
    fill(this.body.querySelector(".order-gauge"), gauge(answer));
  }

  #drawResult(answer) {
    const sentence = result(answer);
    const take = el("button.button.strong", { type: "button", "data-action": "take" }, t`Take this order`);
    take.addEventListener("click", () => this.#take(answer, take));
    const leave = () => {
      localStorage.setItem(this.leftKey, fingerprint(answer));
      this.draw(answer);
      this.body.querySelector("[type=submit]").focus({ preventScroll: true });
    };
    const hasFocus = this.body.contains(document.activeElement);
    fill(
      this.body,
      el("p.order-best", {}, sentence),
      gauge(answer),
      answer.history.length > 1 ? how(answer) : null,
      el("div.button-row", {}, this.sheet.readOnly ? null : isWorthIt(answer) && take, this.sheet.readOnly ? null : el("button.button", { type: "button", "data-action": "leave", onclick: leave }, isWorthIt(answer) ? t`Leave it` : t`Look again`)),
    );
    if (this.isAwaited) fill(this.told, sentence);
    this.isAwaited = false;
    if (hasFocus) this.body.querySelector("[data-action]")?.focus({ preventScroll: true });
  }

  async #take(answer, button) {
    button.disabled = true;
    try {
      const done = await post(this.sheet.path("/levelling/adopt"), { plan_version: answer.plan_version });
      await this.afterwards();
      const { kind, key } = done;
      tellDone(taken(done), done, () => takeBack(this.sheet, { kind, key, name: t`the order of the crew`, version: undefined }, this.afterwards));
    } catch (error) {
      button.disabled = false;
      if (error instanceof ApiError) await this.afterwards();
      sayProblem(error);
    }
  }
}

/** "41 crew links set, 12 taken away", and what became of the finish. */
function taken({ added, taken_away: gone, finish }) {
  const links = many(added, "{n} crew link", "{n} crew links");
  return `${t`The order is taken: ${links} set, ${formatNumber(gone)} taken away.`} ${finishSentence(finish)}`;
}

function fingerprint({ plan_version: version, best }) {
  return `${version} ${best.finish} ${best.moved_starts}`;
}

function chosenIn(form) {
  const data = new FormData(form);
  return { seconds: Number(data.get("seconds")), keep_days: Number(data.get("keep_days")) };
}

function nameOf(options, chosen) {
  return options.find(([value]) => value === chosen)[1];
}

function choice(name, legend, options, chosen) {
  return el(
    "fieldset.order-choice",
    {},
    el("legend", {}, legend),
    options.map(([value, text, hint]) =>
      el("label.check", {}, el("input", { type: "radio", name, value: String(value), checked: chosen[name] === value }), el("span", {}, text, hint ? el("span.hint", {}, hint) : null)),
    ),
  );
}

/** What became of the search before, in a sentence; nothing where there was none. */
function before({ state, reason = "" }, sheet) {
  const words = {
    outdated: t`The plan was changed since the last search, so what it found does not fit any more. Look again.`,
    cancelled: t`The last search was stopped before it had found an order.`,
    failed: [t`No order could be found.`, " ", datedText(reason), " ", t`People, calendars and places stand on ${el("a", { href: sheet.link("settings") }, t`Settings`)}.`],
  };
  return words[state] ? el("p.empty-state", {}, words[state]) : null;
}

/** The finish of the plan with this order; while it is looked for, the levelled one. */
function finishOf({ forecast, finish }) {
  return forecast ?? finish;
}

function soFar({ best, limits }) {
  if (!best) return t`Looking for the first order that the crew can keep …`;
  return t`Best so far: finish as written ${formatDate(best.finish)}, ${against(best.finish, limits.finish_now)}. Proven: not before ${formatDate(best.bound)}.`;
}

function result({ best, limits }) {
  const finish = finishOf(best);
  const proven = isProven(best) ? t`proven: no order is faster` : t`proven: no order finishes before ${formatDate(best.bound)}`;
  const starts = best.moved_starts ? many(best.moved_starts, "{n} start moves", "{n} starts move") : t`no start moves`;
  return t`Finish as written ${formatDate(finish)}, ${against(finish, limits.finish_now)}; ${proven}; ${starts}.`;
}

function isProven(best) {
  return best.bound >= finishOf(best);
}

/** Taking an order that moves nothing would do nothing. */
function isWorthIt({ best }) {
  return best.moved_starts > 0;
}

/** Later than now is where now nobody asks whether there are hands for it. */
function against(finish, now) {
  const days = daysBetween(now, finish);
  if (!days) return t`the same as now`;
  return days < 0 ? t`${formatDays(-days)} sooner` : t`${formatDays(days)} later, but what the crew can keep`;
}

function gauge({ best, limits }) {
  if (!best) return null;
  const found = finishOf(best);
  const dates = [best.bound, found, limits.finish_now].sort();
  const [first, last] = [dates[0], dates.at(-1)];
  const span = daysBetween(first, last);
  if (!span) return null;
  const x = (iso) => EDGE + (daysBetween(first, iso) / span) * (WIDTH - 2 * EDGE);
  const [bound, finish, now] = [x(best.bound), x(found), x(limits.finish_now)];
  let strokes = "";
  for (let at = bound + STROKE; at < finish - 1; at += STROKE) strokes += `M${at} ${LINE - 6} v12 `;
  return el(
    "figure.jaws",
    { "aria-hidden": "true" },
    svg(
      "svg",
      { viewBox: `0 0 ${WIDTH} ${HEIGHT}` },
      svg("path", { class: "jaws-rail", d: `M${EDGE} ${LINE} H${WIDTH - EDGE}` }),
      finish - bound > 1 ? svg("rect", { class: "jaws-open", x: bound, y: LINE - 6, width: finish - bound, height: 12 }) : [],
      strokes ? svg("path", { class: "jaws-strokes", d: strokes.trim() }) : [],
      svg("path", { class: "jaw", d: `M${bound} ${LINE + 12} V6 l-7 9` }),
      svg("path", { class: "jaw best", d: `M${finish} ${LINE + 12} V6 l7 9` }),
      svg("path", { class: "jaws-now", d: `M${now} ${LINE - 10} V${LINE + 12}` }),
    ),
    el("figcaption", {}, marks(best, found, limits.finish_now)),
  );
}

/** The dates under their marks, as far apart as these: those that come together are said once. */
function marks(best, found, now) {
  const named = isProven(best)
    ? [[t`best, and none is faster ${when(found)}`, found]]
    : [[t`not before ${when(best.bound)}`, best.bound], [t`best ${when(found)}`, found]];
  named.push([t`now ${when(now)}`, now]);
  named.sort(([, a], [, b]) => a.localeCompare(b));
  return named.flatMap(([text, iso], place) => [place ? gap(named[place - 1][1], iso) : null, el("span", {}, text)]);
}

function gap(from, to) {
  const space = el("span.jaws-gap");
  space.style.flexGrow = String(daysBetween(from, to));
  return space;
}

/** How the search went, for whoever wants to know. */
function how({ history }) {
  const after = (seconds) => (seconds < 0.05 ? t`at once` : t`after ${formatNumber(seconds)} s`);
  const line = ({ seconds, finish, bound }) => el("li", {}, t`${after(seconds)}: finish ${when(finish)}, not before ${when(bound)}`);
  return el("details.behind", {}, el("summary", {}, t`How the search went`), el("ol", {}, history.map(line)));
}
