/**
 * "Pull it in": what an earlier finish costs at least, or what a sum of money buys.
 *
 * The service looks for the cheapest ways while the page goes on; the answer comes first, the
 * curve after it. What was asked last is shown to whoever opens the sheet.
 */

import { ApiError, get, post, remove } from "../lib/api.js";
import { drawChart } from "../lib/chart.js";
import { datedText, el, fill, roundText, unfold, when } from "../lib/dom.js";
import { daysBetween, formatDate, formatDays, formatMoney, formatShare } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { follow } from "../lib/simulation.js";
import { table } from "../lib/table.js";
import { t, told } from "../lib/text.js";
import { expediteEntry, newExpedite } from "./expedite-forms.js";

const FIRST_SUM = 2000;

/** The panel; it follows a search that is under way, whoever began it. */
export class PullInPanel {
  /**
   * @param {HTMLElement} place
   * @param {import("../lib/sheet.js").Sheet} sheet
   * @param {object} options
   * @param {{by: string | null, budget: string | null}} options.asked From the address; changed in place.
   * @param {() => void} options.onChange After each change of `asked`.
   * @param {(name: string, changes: object[]) => void} options.onKeep Keeps an answer as a case.
   * @param {() => Promise<void>} options.afterwards After the list of ways was changed.
   */
  constructor(place, sheet, { asked, onChange, onKeep, afterwards }) {
    Object.assign(this, { sheet, asked, onChange, onKeep, afterwards });
    this.path = sheet.path("/pulling-in");
    this.stop = () => {};
    this.form = el("div.pull-form.no-print");
    this.progress = el("div.spread-state.no-print", { hidden: true });
    this.answer = el("div.pull-answer", { "aria-live": "polite" });
    this.chart = el("div.chart.pull-chart");
    this.ways = el("div.pull-ways.no-print");
    this.shown = "";
    fill(place, this.form, this.progress, el("div.pull-found", {}, this.answer, this.chart), this.ways);
  }

  /**
   * Show the ways that there are, and the answer to what is asked.
   * @param {any[]} expedites Lines of GET expedites.
   * @param {import("./expedite-forms.js").Targets} targets
   * @param {string} wanted The date that is offered first.
   * @returns {Promise<void>} Once the first answer is on the page.
   */
  async show(expedites, targets, wanted) {
    this.stop();
    this.shown = "";
    this.#drawWays(expedites, targets);
    if (!expedites.some((one) => one.gains_days > one.taken_days)) {
      this.#drawNothing(expedites.length > 0);
      return;
    }
    this.#drawForm(wanted);
    const { by, budget } = this.asked;
    if (by || budget) await this.#ask(by ? { by } : { budget });
    else await this.#follow();
  }

  #drawNothing(isAllTaken) {
    const what = this.sheet.readOnly ? t`The shop lead or the planner can enter them here.` : t`Enter the first below: what is done, how many days it takes off, and its price.`;
    fill(this.form, el("p.empty-state", {}, isAllTaken ? t`All there is has been taken. Enter another way below.` : t`No way to pull it in is known yet: overtime, a second shift, an expedite fee, air freight, an exchange unit. ${what}`));
    for (const place of [this.answer, this.chart]) fill(place);
    this.progress.hidden = true;
  }

  #drawForm(wanted) {
    const { currency } = this.sheet.project;
    const by = el("input.slot.day", { type: "date", id: "pull-by", required: true, value: this.asked.by ?? wanted });
    const sum = el("input.slot.money", { type: "number", id: "pull-sum", min: 0, step: 1, max: 1e9, required: true, inputmode: "decimal", value: this.asked.budget ?? FIRST_SUM });
    fill(
      this.form,
      question(t`To be finished by ${[el("label.unseen", { for: by.id }, t`Finish by`), by]}`, t`What does it take?`, () => this.#askFor(by, { by: by.value, budget: null })),
      question(t`With ${currency} ${[el("label.unseen", { for: sum.id }, t`Sum in ${currency}`), sum]} to spend`, t`How early is that?`, () => this.#askFor(sum, { by: null, budget: sum.value })),
    );
  }

  async #askFor(input, asked) {
    if (!input.reportValidity()) return;
    Object.assign(this.asked, asked);
    this.onChange();
    await this.#ask(asked.by ? { by: asked.by } : { budget: asked.budget });
  }

  async #ask(body) {
    this.stop();
    fill(this.answer);
    try {
      await post(this.path, body);
      this.shown = "";
      await this.#follow();
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.#tellProblem(error.message);
    }
  }

  /** Draw each answer until nothing runs any more. */
  #follow() {
    return new Promise((resolve) => {
      this.stop = follow(this.path, (answer, error) => {
        const drawn = answer ? this.#draw(answer) : this.#fail(error);
        drawn.catch(sayProblem).finally(resolve);
      });
    });
  }

  async #fail(error) {
    if (!(error instanceof ApiError)) throw error;
    this.#tellProblem(error.message);
  }

  async #draw({ state, progress, reason, result }) {
    this.#drawProgress(state, progress);
    if (state === "failed") {
      this.#tellProblem(reason);
      return;
    }
    const now = JSON.stringify(result && [result.by, result.budget, result.answer, result.refusal, result.curve.length]);
    if (now === this.shown) return;
    this.shown = now;
    fill(this.answer, result ? this.#answered(result) : resting(state));
    if (result?.answer?.taken.length) this.#drawLikely(result.answer).catch(sayProblem);
    if (result?.curve.length) await this.#drawCurve(result);
    else if (!result) fill(this.chart);
  }

  #tellProblem(message) {
    this.progress.hidden = true;
    fill(this.answer, el("p.problem", { role: "alert" }, datedText(message)));
    fill(this.chart);
  }

  /** The bar stays in place between two answers, so that the button keeps the focus. */
  #drawProgress(state, share) {
    this.progress.hidden = state !== "running";
    if (state !== "running") {
      fill(this.progress);
      return;
    }
    let bar = this.progress.querySelector("progress");
    if (!bar) {
      bar = el("progress", { max: 1, "aria-label": t`Looking for the cheapest ways` });
      const cancel = el("button.button", { type: "button", onclick: () => remove(this.path).catch(sayProblem) }, t`Stop here`);
      fill(this.progress, el("p", {}, t`Looking for the cheapest ways: ${el("span.share")} done.`), bar, cancel);
    }
    bar.value = share;
    fill(this.progress.querySelector(".share"), formatShare(share));
  }

  #answered({ answer, refusal, currency, planned_finish: planned }) {
    if (refusal) return el("p.pull-refusal", {}, roundText(sentence(told(refusal))));
    if (!answer) return el("p.soft", {}, t`Name a date or a sum above; the curve shows what each finish costs at least.`);
    const sooner = daysBetween(answer.finish, planned);
    const keep = el("button.button.strong", { type: "button" }, t`Keep as a case`);
    keep.addEventListener("click", () => this.onKeep(t`By ${formatDate(answer.finish)}`, changesOf(answer)));
    return [
      el("p.pull-sentence", {}, roundText(answer.sentence)),
      answer.taken.length
        ? [
            el("p", {}, t`That is ${formatDays(sooner)} sooner than the plan as written (${when(planned)}).`),
            el("p.pull-likely"),
            takenTable(answer, currency),
            el("div.button-row.no-print", {}, keep),
          ]
        : null,
    ];
  }

  /** All dates of an answer are as written; how sure the finish then is comes a moment later. */
  async #drawLikely(answer) {
    const place = this.answer.querySelector(".pull-likely");
    fill(place, el("span.soft", {}, t`Working out how sure that is …`));
    const { plan, cases } = await post(this.sheet.path("/cases"), { cases: [{ name: "", changes: changesOf(answer) }] });
    const { finish } = cases[0].uncertainty;
    const likely = el("strong", {}, when(finish.p50));
    fill(place, t`If it does not all go as written: likely ${likely} (the plan: ${when(plan.uncertainty.finish.p50)}), 80\u00a0% by ${when(finish.p80)}.`);
  }

  async #drawCurve({ curve, currency, earliest_finish: earliest, all_cost: all }) {
    const dearest = curve.at(-1);
    const label = t`What each finish costs at least, from the plan as written to ${formatDate(earliest)} for ${formatMoney(dearest.cost, currency)}. The table below says the same.`;
    await drawChart(this.chart, { path: this.sheet.path("/charts/cost-curve"), label, table: curveTable(curve, currency, all) });
  }

  #drawWays(expedites, targets) {
    const open = new Set([...this.ways.querySelectorAll("details[open]")].map((node) => node.dataset.key ?? "list"));
    const entries = expedites.map((one) => expediteEntry(this.sheet, one, targets, this.afterwards));
    if (!this.sheet.readOnly) entries.push(newExpedite(this.sheet, expedites, targets, this.afterwards));
    for (const node of entries) if (open.has(node.dataset.key)) unfold(node);
    const count = expedites.length;
    const list = el("details.ways", {}, el("summary", {}, t`Days to buy`, el("span.soft", {}, ` ${count || t`none yet`}`)), el("div.things", {}, entries));
    list.open = open.has("list") || !count;
    fill(this.ways, entries.length ? list : null);
  }
}

function question(words, button, onAsk) {
  const node = el("form.pull-question", { novalidate: true }, el("span.slots", {}, words), el("button.button", { type: "submit" }, button));
  node.addEventListener("submit", (event) => {
    event.preventDefault();
    onAsk();
  });
  return node;
}

/** What is taken, as changes of a case. */
function changesOf({ taken }) {
  return taken.map(({ expedite, days }) => ({ kind: "expedite_taken", expedite, days }));
}

/** What stands there while there is no answer. */
function resting(state) {
  if (state === "running") return null;
  const texts = {
    cancelled: t`It was stopped before anything was found.`,
    outdated: t`The plan was changed since this was last asked. Ask again above.`,
  };
  return el("p.soft", {}, texts[state] ?? t`Name a date or a sum: the cheapest ways to get there stand here, and what every other finish costs.`);
}

function takenTable({ taken, cost }, currency) {
  return table({
    caption: t`What is taken`,
    hideCaption: true,
    rows: [...taken, { name: t`Together`, cost, isSum: true }],
    columns: [
      { label: t`What is taken`, cell: ({ name }) => name, heading: true },
      { label: t`Days`, cell: ({ days, isSum }) => (isSum ? "" : formatDays(days)), numeric: true },
      { label: t`Cost`, cell: (row) => formatMoney(row.cost, currency), numeric: true },
    ],
  });
}

/** The table behind the curve: each row is the least cost to be finished by its date. */
function curveTable(curve, currency, all) {
  const [planned] = curve;
  return table({
    caption: t`What each finish costs at least; all ways together cost ${formatMoney(all, currency)}`,
    rows: curve,
    columns: [
      { label: t`Finish as written`, cell: ({ finish }) => when(finish), heading: true, sort: ({ finish }) => finish },
      { label: t`Sooner by`, cell: ({ finish }) => formatDays(daysBetween(finish, planned.finish)), numeric: true, sort: ({ finish }) => daysBetween(finish, planned.finish) },
      { label: t`Costs at least`, cell: ({ cost }) => formatMoney(cost, currency), numeric: true, sort: ({ cost }) => Number(cost) },
      { label: t`What is taken`, cell: ({ taken }) => taken.map(({ name, days }) => `${name} (${formatDays(days)})`).join("; ") || t`nothing` },
      { label: t`Proven`, cell: ({ proven, gap }) => (proven ? t`nothing is cheaper` : t`may be ${formatMoney(gap, currency)} cheaper`) },
    ],
  });
}

/** A reason as a sentence. */
function sentence(text) {
  const begun = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.!?]$/.test(begun) ? begun : `${begun}.`;
}
