/** Evaluation: walking round the aircraft, writing down what is found, and what that makes of the plan. */

import { mountAirframe } from "../components/airframe.js";
import { editForm } from "../components/editing.js";
import { captured, draftsOf, restore, watchTyping } from "../components/finding-draft.js";
import { findingFields } from "../components/finding-fields.js";
import { FindingList } from "../components/finding-list.js";
import { newFinding } from "../components/finding-new.js";
import { planOfFindings } from "../components/finding-plan.js";
import { countFindings, gradeMark, inWords } from "../components/finding-words.js";
import { photos } from "../components/photos.js";
import { takeBack, tellDone } from "../components/undo.js";
import { get, patch } from "../lib/api.js";
import { backward, onward } from "../lib/arrows.js";
import { byId, el, fill } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { runPage } from "../lib/sheet.js";
import { many, t } from "../lib/text.js";

const PAUSE_MS = 150;

const SHOWN = [
  ["", t`All that stand`],
  ["undecided", t`Not decided yet`],
  ["unplanned", t`Decided, no task yet`],
  ["withdrawn", t`Withdrawn`],
];

runPage(async (sheet) => {
  const page = new EvaluationPage(sheet);
  await page.open();
});

class EvaluationPage {
  /** @param {import("../lib/sheet.js").Sheet} sheet */
  constructor(sheet) {
    this.sheet = sheet;
    this.drafts = draftsOf(sheet.project.id);
    this.zone = new URLSearchParams(location.search).get("zone");
    this.evaluation = null;
    this.filter = { shown: "", grade: null, text: "" };
  }

  async open() {
    this.sheet.keepUp(() => this.refresh());
    const { sheet } = this;
    this.evaluation = await this.#read();
    if (this.zone && !this.#zoneOf(this.zone)) this.zone = null;
    byId("to-import").setAttribute("href", sheet.link("import", { table: "findings" }));
    byId("to-report").setAttribute("href", sheet.link("evaluation-report"));
    byId("to-cards").setAttribute("href", sheet.link("method-cards"));
    byId("looking").hidden = !sheet.readOnly;
    fill(byId("standing-line"), this.evaluation.standing_line);
    this.list = new FindingList(byId("list"), {
      evaluation: () => this.evaluation,
      unfold: (line, body) => this.#unfold(line, body),
      startNew: () => this.entry?.focus(),
    });
    this.#drawTools();
    for (const key of Object.keys(this.drafts.all())) if (key !== "new") this.list.opened.add(key);
    if (!sheet.readOnly) this.#offerEntry();
    this.plan = planOfFindings(sheet, byId("plan-body"), {
      evaluation: () => this.evaluation,
      changed: () => this.refresh(),
      goTo: (key) => this.#goTo(key),
    });
    this.#draw();
    this.map = mountAirframe(byId("airframe"), sheet, {
      selected: this.zone,
      onSelect: (zone) => this.walk(zone).then(() => bringIntoSight(byId("walk"))),
      meaning: whatWasFound(() => this.evaluation),
    });
    await this.map;
    const named = decodeURIComponent(location.hash.slice(1));
    if (this.#line(named)) this.#goTo(named);
  }

  /** Go to a zone; null: see every zone. @param {string | null} zone */
  async walk(zone) {
    this.zone = zone;
    history.replaceState(null, "", this.sheet.link("evaluation", { zone }));
    (await this.map).select(zone);
    this.entry?.move();
    this.#draw();
  }

  /** Read everything again after a change; rows that did not change stay as they are. */
  refresh() {
    this.isOld = true;
    this.reading ??= this.#readAgain().finally(() => {
      this.reading = null;
    });
    return this.reading;
  }

  /** What was changed while it was being read is read once more, before it is drawn. */
  async #readAgain() {
    while (this.isOld) {
      this.isOld = false;
      const evaluation = await this.#read();
      if (this.isOld) continue;
      this.evaluation = evaluation;
      this.#draw();
      const map = await this.map;
      await Promise.all([map.refresh(), this.sheet.refreshTitleBlock(), this.plan.refresh()]);
    }
  }

  async #read() {
    return inWords(await get(this.sheet.path("/evaluation")));
  }

  #zoneOf(id) {
    return this.evaluation.zones.find((zone) => zone.id === id);
  }

  #line(key) {
    return this.evaluation.findings.find((line) => line.key === key);
  }

  #offerEntry() {
    byId("entry").hidden = false;
    this.entry = newFinding(this.sheet, byId("new"), {
      evaluation: () => this.evaluation,
      zone: () => this.zone,
      drafts: this.drafts,
      written: (line) => {
        this.#take(line);
        this.refresh().catch(sayProblem);
      },
      takenBack: () => this.refresh(),
      photograph: (key) => this.#goTo(key, ".finding-photos"),
    });
  }

  /** Show a finding that was just written down; the rest is read behind. */
  #take({ key, version, ...finding }) {
    const { findings } = this.evaluation;
    findings.push({ key, version, finding, evidence: 0, tasks: 0, begun: 0, done: 0 });
    this.#drawList();
  }

  /* What is shown. */

  #draw() {
    const { evaluation } = this;
    fill(byId("summary"), summary(evaluation));
    this.#drawWalk();
    this.#drawTally();
    this.#drawList();
  }

  #drawWalk() {
    const { zones } = this.evaluation;
    const walk = byId("walk");
    walk.hidden = !zones.length;
    const at = zones.findIndex(({ id }) => id === this.zone);
    const turn = (by, text, label) => {
      const to = zones[at < 0 ? (by > 0 ? 0 : zones.length - 1) : at + by];
      return el("button.button", { type: "button", "aria-label": `${label}${to ? `: ${to.name}` : ""}`, disabled: !to, onclick: () => this.walk(to.id) }, text);
    };
    const option = ({ id, name, findings }) => el("option", { value: id, selected: id === this.zone }, `${name} (${formatNumber(findings)})`);
    const choose = el("select", { id: "zone", onchange: ({ target }) => this.walk(target.value || null) }, el("option", { value: "" }, t`Every zone`), zones.map(option));
    const picker = el("label.walk-zone", { for: "zone" }, el("span", {}, t`Zone`), choose);
    fill(walk, turn(-1, backward(), t`Zone before`), picker, turn(1, onward(), t`Next zone`), el("p.walk-told.soft", {}, this.#told(zones[at])));
    fill(byId("entry-zone"), zones[at]?.name ?? "");
  }

  #told(zone) {
    if (!zone) return t`Choose a zone here or on the map to write down what is there.`;
    const parts = [
      zone.bays && !zone.is_open ? many(Number(zone.bays), "{n} bay to open up", "{n} bays to open up") : "",
      zone.is_open === false ? t`not opened up yet` : "",
      zone.is_open ? t`opened up` : "",
      zone.findings ? t`${formatNumber(zone.decided)} of ${formatNumber(zone.findings)} decided` : t`nothing found yet`,
    ].filter(Boolean);
    return `${parts.join("; ")}.`;
  }

  #drawTools() {
    const search = el("input", { id: "find", type: "search", autocomplete: "off" });
    let timer = 0;
    search.addEventListener("input", () => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        this.filter.text = search.value.trim().toLowerCase();
        this.#drawList();
      }, PAUSE_MS);
    });
    const shown = el("select", { id: "shown", onchange: ({ target }) => this.#choose({ shown: target.value }) }, SHOWN.map(([value, text]) => el("option", { value }, text)));
    fill(
      byId("found-tools"),
      el("div.tally", { id: "tally", role: "group", "aria-label": t`Condition` }),
      el("div.filters", {}, el("label.filter", { for: "shown" }, el("span", {}, t`Show`), shown), el("label.filter", { for: "find" }, el("span", {}, t`Search`), search)),
    );
  }

  #drawTally() {
    const { grades } = this.evaluation;
    const counts = this.zone ? this.#zoneOf(this.zone).by_grade : this.evaluation.by_grade;
    const button = ({ grade, name }) =>
      el(
        "button.tally-grade",
        {
          type: "button",
          "aria-pressed": String(this.filter.grade === grade),
          onclick: () => this.#choose({ grade: this.filter.grade === grade ? null : grade }),
        },
        gradeMark(grade),
        el("b", {}, formatNumber(counts[grade])),
        el("span", {}, name),
      );
    const focused = [...byId("tally").children].indexOf(document.activeElement);
    fill(byId("tally"), grades.map(button));
    byId("tally").children[focused]?.focus();
  }

  #choose(change) {
    Object.assign(this.filter, change);
    this.#drawTally();
    this.#drawList();
  }

  #drawList() {
    const lines = this.evaluation.findings.filter((line) => this.#isShown(line)).reverse();
    fill(byId("found-count"), formatNumber(lines.length));
    this.list.show(lines, { byZone: !this.zone, empty: el("p.empty-state", {}, this.#nothing()) });
  }

  #isShown(line) {
    const { finding } = line;
    const { shown, grade, text } = this.filter;
    if (this.zone && finding.zone !== this.zone) return false;
    if (Boolean(finding.dropped) !== (shown === "withdrawn")) return false;
    if (shown === "undecided" && finding.treatment) return false;
    if (shown === "unplanned" && !isUnplanned(line)) return false;
    if (grade !== null && (finding.grade ?? 0) !== grade) return false;
    return !text || `${line.key} ${finding.seen} ${finding.title ?? ""} ${finding.notes ?? ""}`.toLowerCase().includes(text);
  }

  #nothing() {
    const { zones, findings } = this.evaluation;
    const { shown, grade, text } = this.filter;
    if (!zones.length) return t`This plan names no zones yet: they come with the plan file, see ${el("a", { href: `${this.sheet.link("settings")}#plan-file` }, t`Settings`)}.`;
    if (shown || grade !== null || text) return t`No finding is like that here.`;
    if (findings.length) return t`Nothing is written down here yet.`;
    return this.sheet.readOnly ? t`Nothing is written down yet.` : t`Begin at the nose and walk round. Write down what you see before anything is moved.`;
  }

  async #goTo(key, selector) {
    const line = this.#line(key);
    if (!line) return;
    Object.assign(this.filter, { shown: line.finding.dropped ? "withdrawn" : "", grade: null, text: "" });
    byId("shown").value = this.filter.shown;
    byId("find").value = "";
    await this.walk(line.finding.zone ?? null);
    this.list.open(key, selector);
  }

  /* One finding, unfolded. */

  #unfold(line, body) {
    const { sheet, evaluation, drafts } = this;
    const { key } = line;
    const usual = this.#zoneOf(line.finding.zone)?.chapters ?? [];
    const fields = findingFields(evaluation, { finding: line.finding, asOf: sheet.project.as_of, usual, withZone: true, isOpen: true });
    const thing = { kind: "finding", key, path: sheet.path(`/findings/${encodeURIComponent(key)}`), name: key, version: line.version };
    const afterwards = async () => {
      drafts.set(key, undefined);
      this.list.close(key);
      this.list.forget(key);
      await this.refresh();
    };
    const node = editForm(sheet, thing, fields.node, fields.read, afterwards);
    node.classList.add("finding-form");
    node.setAttribute("aria-label", t`Finding ${key}`);
    fill(body, this.#photos(line), node, sheet.readOnly ? null : this.#actions(line, thing, afterwards));
    queueMicrotask(() => this.#keepTyping(node, fields, thing));
  }

  #keepTyping(node, fields, thing) {
    const { drafts } = this;
    const before = captured(node);
    watchTyping(node, (values) => drafts.set(thing.key, Object.keys(values).length ? { values, version: thing.version } : undefined));
    const draft = drafts.all()[thing.key];
    if (!draft) return;
    thing.version = draft.version;
    restore(node, { ...before, ...draft.values });
    fields.refresh();
  }

  #photos({ key }) {
    const refresh = () => this.refresh().catch(sayProblem);
    return el("div.finding-photos", {}, photos({ sheet: this.sheet, of: { finding: key }, onChange: refresh }));
  }

  #actions({ finding, key }, thing, afterwards) {
    const withdraw = async ({ currentTarget }) => {
      currentTarget.disabled = true;
      try {
        const done = await patch(thing.path, { dropped: !finding.dropped }, { version: thing.version });
        await afterwards();
        tellDone(finding.dropped ? t`Stands again: ${key}.` : t`Withdrawn: ${key}. It stays on record.`, done, () =>
          takeBack(this.sheet, { ...thing, version: done.version }, afterwards),
        );
      } catch (error) {
        currentTarget.disabled = false;
        sayProblem(error);
      }
    };
    return el(
      "div.button-row",
      {},
      el("button.button", { type: "button", onclick: () => this.entry.copy(finding) }, t`Another one like it`),
      el("button.button.plain", { type: "button", onclick: withdraw }, finding.dropped ? t`Let it stand again` : t`Withdraw`),
    );
  }
}

/** Where the map stands above the sheet, one goes on below it. */
function bringIntoSight(node) {
  if (node.getBoundingClientRect().top > innerHeight / 2) node.scrollIntoView({ block: "start" });
}

function isUnplanned({ finding, tasks }) {
  return Boolean(finding.treatment && (finding.card || finding.own_hours || finding.send_out_kind) && !tasks);
}

function summary({ by_grade: byGrade, undecided, findings }) {
  const standing = byGrade.reduce((sum, one) => sum + one, 0);
  if (!standing) return findings.length ? t`No finding stands.` : t`Nothing is written down yet.`;
  const parts = [
    countFindings(standing),
    byGrade[0] ? t`${formatNumber(byGrade[0])} not seen yet` : "",
    byGrade[4] + byGrade[5] ? t`${formatNumber(byGrade[4] + byGrade[5])} beyond limits, missing or wrong` : "",
    undecided ? t`${formatNumber(undecided)} not decided` : t`all decided`,
  ].filter(Boolean);
  return `${parts.join(", ")}.`;
}

/** On this sheet a zone fills with what is decided. @returns {import("../components/airframe.js").Meaning} */
function whatWasFound(evaluation) {
  return {
    read: async () => evaluation().zones.map((zone) => ({ ...zone, share_done: zone.findings ? zone.decided / zone.findings : 0 })),
    label: ({ findings }) => (findings ? formatNumber(findings) : "–"),
    sentence: ({ name, findings, decided }) => (findings ? t`${name}: ${countFindings(findings)}, ${formatNumber(decided)} decided` : t`${name}: nothing found yet`),
    legend: [["accomplished", t`Decided, of what was found`]],
    columns: [
      { label: t`Found`, cell: ({ findings }) => formatNumber(findings), numeric: true },
      { label: t`Decided`, cell: ({ decided }) => formatNumber(decided), numeric: true },
    ],
  };
}
