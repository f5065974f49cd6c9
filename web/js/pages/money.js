/** Money: what it costs in the end, what waits for a yes, when the money is needed, all that is entered. */

import { printCharts, printSheet } from "../components/chart-print.js";
import { editForm } from "../components/editing.js";
import { foldSections, tellFold, unfoldNamed } from "../components/fold.js";
import { beyondWritten, leftOut, moneyAnswer, moneyBrief } from "../components/money-answer.js";
import { askedKind, askedLine } from "../components/money-asked.js";
import { baselineLine, showBaselines } from "../components/money-baselines.js";
import { chapterLine, showChapters } from "../components/money-chapters.js";
import { costKind, costLine } from "../components/money-costs.js";
import { showDecisions } from "../components/money-decisions.js";
import { earnedLine, showEarned } from "../components/money-earned.js";
import { currencyLine, showCurrencies } from "../components/money-exchange.js";
import { budgetKind, fundingKind, hoursKind, hoursLine, rateKind } from "../components/money-kinds.js";
import { LineList } from "../components/money-lines.js";
import { needLine, showNeed } from "../components/money-need.js";
import { showWhy, whyLine } from "../components/money-why.js";
import { askAgain, spreadSlot } from "../components/spread-slot.js";
import { tableLinks } from "../components/table-links.js";
import { allTasks } from "../lib/all-tasks.js";
import { get } from "../lib/api.js";
import { byId, datedText, el, fill } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { runPage } from "../lib/sheet.js";
import { many, t } from "../lib/text.js";

runPage(async (sheet) => {
  printCharts("portrait");
  foldSections();
  const page = new MoneyPage(sheet);
  await page.open();
  unfoldNamed();
});

class MoneyPage {
  /** @param {import("../lib/sheet.js").Sheet} sheet */
  constructor(sheet) {
    this.sheet = sheet;
    this.money = null;
    /** What the simulation found. */
    this.result = null;
    /** The statement of this month: it knows what moved. */
    this.statement = null;
    this.afterwards = () => this.#refresh();
  }

  async open() {
    this.sheet.keepUp(this.afterwards);
    const [tasks, { send_outs: items }] = await Promise.all([allTasks(this.sheet), get(this.sheet.path("/away"))]);
    const named = ({ id, name }) => [id, name];
    this.#makeLists({ tasks: tasks.map(named), items: items.map(named) });
    await this.#show();
    await spreadSlot(this.sheet, byId("spread"), (answer) => this.#told(answer));
  }

  #makeLists(targets) {
    const { sheet, afterwards } = this;
    const list = (id, kind) => new LineList(byId(id), sheet, kind, afterwards);
    const flagsOf = (id) => (this.money?.flags ?? []).filter(({ of }) => of === id).map(({ sentence }) => sentence);
    this.lists = {
      costs: list("costs", costKind(sheet, targets, flagsOf)),
      over_and_above: list("asked", askedKind(sheet, targets, afterwards)),
      hours: list("hours", hoursKind(sheet, targets)),
      funding: list("funding", fundingKind(sheet)),
      budget: list("budget", budgetKind(sheet)),
      exchange_rates: list("rates", rateKind(sheet)),
    };
  }

  /** Everything anew after a change; how sure it is follows. */
  async #refresh() {
    await Promise.all([this.#show(), this.sheet.refreshTitleBlock()]);
    askAgain(this.sheet);
  }

  /** How sure the cost is became known, or is not known any more. */
  async #told({ state, result }) {
    this.result = state === "ready" ? result : null;
    if (state !== "ready") return;
    this.money = await get(this.sheet.path("/money"));
    this.#drawAnswer();
  }

  async #show() {
    const { sheet } = this;
    const names = ["costs", "over-and-above", "hours", "funding", "budget", "exchange-rates"];
    const [money, statement, baselines, project, ...read] = await Promise.all([get(sheet.path("/money")), get(sheet.path("/statement")), get(sheet.path("/baselines")), get(sheet.path()), ...names.map((name) => get(sheet.path(`/${name}`)))]);
    const lists = Object.assign({}, ...read);
    Object.assign(this, { money, statement });
    this.#drawAnswer();
    this.#tellFolds(lists, baselines);
    showWhy(byId("why"), sheet, statement);
    showDecisions(byId("decisions"), sheet, money, this.afterwards);
    showChapters(byId("chapters"), money);
    showCurrencies(byId("currencies"), money);
    showBaselines(byId("baselines"), sheet, { ...baselines, plan_version: money.plan_version }, this.afterwards);
    for (const [name, list] of Object.entries(this.lists)) list.show(lists[name]);
    fill(byId("account"), accountForm(sheet, project, this.afterwards));
    fill(byId("costs-note"), notes(sheet, money, lists.costs));
    await Promise.all([showNeed(sheet, byId("need"), money), showEarned(sheet, byId("earned"), money)]);
  }

  /** What each section holds, in a line beside its name. */
  #tellFolds(lists, { baselines }) {
    const { money, statement } = this;
    tellFold("why-panel", whyLine(statement));
    tellFold("chapters-panel", chapterLine(money));
    tellFold("need-panel", needLine(money));
    tellFold("earned-panel", earnedLine(money));
    tellFold("currencies-panel", currencyLine(money));
    tellFold("costs-panel", costLine(lists.costs, money.flags));
    tellFold("asked-panel", askedLine(lists.over_and_above));
    tellFold("hours-panel", hoursLine(lists.hours));
    tellFold("baselines-panel", baselineLine(baselines, money.currency));
  }

  #drawAnswer() {
    const { money, statement, result, sheet } = this;
    fill(
      byId("answer"),
      moneyAnswer(money, result),
      moneyBrief(money, statement),
      beyondWritten(money),
      leftOut(money),
      el("div.button-row.no-print", {}, el("a.button", { href: sheet.link("statement") }, t`Owner’s statement`), el("button.button", { type: "button", onclick: printSheet }, t`Print this sheet`)),
    );
  }
}

/** What is on the account is a part of the project. */
function accountForm(sheet, project, afterwards) {
  const thing = { kind: "project", key: "", path: sheet.path(), name: t`the account`, version: project.version };
  const fields = el(
    "div.fields",
    {},
    field({ label: t`On the account, ${sheet.project.currency}`, name: "balance", value: project.balance, hint: t`Empty where it is not known.`, attributes: { inputmode: "decimal", maxlength: 24 } }),
    field({ label: t`On which date`, name: "balance_on", type: "date", value: project.balance_on }),
  );
  const node = editForm(sheet, thing, fields, () => readForm(node), afterwards);
  return node;
}

/** What is worth a look, of lines and otherwise, and the lists for whoever keeps the books. */
function notes(sheet, { flags }, lines) {
  const ids = new Set(lines.map(({ id }) => id));
  const count = new Set(flags.map(({ of }) => of).filter((of) => ids.has(of))).size;
  const others = flags.filter(({ of }) => !ids.has(of));
  return [
    count ? el("p", {}, many(count, "One line is worth a look: the reason stands at its end.", "{n} lines are worth a look: the reason stands at its end.")) : null,
    others.length ? el("ul.flags", { role: "list" }, others.map(({ sentence }) => el("li", {}, datedText(sentence)))) : null,
    tableLinks(sheet, ["costs", "payments", "hours"]),
  ];
}
