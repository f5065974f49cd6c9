/** The evaluation as a bound report: title, findings zone by zone with photos, originality ledger. */

import { hoursText } from "../components/card-history.js";
import { showLedger } from "../components/originality.js";
import { AUTHENTICITY, cameOfIt, countFindings, gradeMark, gradeWords, inUnits, inWords, keptWords, RUNGS, SOURCES, wordFor } from "../components/finding-words.js";
import { photoRow } from "../components/photos.js";
import { tableLinks } from "../components/table-links.js";
import { get } from "../lib/api.js";
import { backward } from "../lib/arrows.js";
import { byId, el, fill, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { t, told } from "../lib/text.js";
import { tradeName } from "../lib/words.js";

runPage(async (sheet) => {
  const [answer, ledger, project, records] = await Promise.all([
    get(sheet.path("/evaluation")),
    get(sheet.path("/originality")),
    get(sheet.path()),
    get(sheet.path("/records")),
  ]);
  const evaluation = inWords(answer);
  const { evidence } = evaluation.findings.some((line) => line.evidence) ? await get(sheet.path("/evidence")) : { evidence: [] };
  const report = { sheet, evaluation, project, records, photos: Map.groupBy(evidence, ({ finding }) => finding) };
  document.title = t`Evaluation report, ${project.name || project.aircraft}`;
  drawTurn(sheet);
  fill(byId("title"), titlePage(report));
  fill(byId("zones"), zonesOf(report));
  showLedger(byId("ledger"), ledger);
  fill(byId("standing-line"), evaluation.standing_line);
  fill(byId("tables"), tableLinks(sheet, ["findings", "originality"]));
  if (location.hash) queueMicrotask(() => document.getElementById(location.hash.slice(1))?.scrollIntoView());
});

function drawTurn(sheet) {
  const printing = (part) => () => {
    document.body.dataset.part = part;
    print();
    delete document.body.dataset.part;
  };
  fill(
    byId("turn"),
    el("a.button", { href: sheet.link("evaluation") }, backward(t`Evaluation`)),
    el("button.button.strong", { type: "button", onclick: printing("all") }, t`Print the report`),
    el("button.button", { type: "button", onclick: printing("ledger") }, t`Print the ledger alone`),
  );
}

/* The title page. */

function titlePage({ evaluation, project, records }) {
  const line = (label, value) => (value ? [el("dt", {}, label), el("dd", {}, value)] : null);
  const { by_grade: byGrade, people, undecided } = evaluation;
  return [
    el(
      "dl.report-facts",
      {},
      line(t`Aircraft`, project.aircraft),
      line(t`Serial`, project.serial),
      line(t`Project`, project.name),
      line(t`Restored to`, project.restored_to),
      line(t`Rule book`, told(records.rule_books.find(({ id }) => id === records.rule_book)?.name ?? "")),
      line(t`As of`, when(project.as_of)),
      line(t`Seen and decided by`, people.join(", ")),
    ),
    el(
      "div.report-sums",
      {},
      el("section", {}, el("h2", {}, t`By condition`), el("ul", { role: "list" }, evaluation.grades.map((words) => el("li", {}, gradeWords(words), el("b", {}, formatNumber(byGrade[words.grade])))))),
      el("section", {}, el("h2", {}, t`By treatment`), el("ul", { role: "list" }, treatments(evaluation), undecided ? el("li", {}, t`Not decided yet`, el("b", {}, formatNumber(undecided))) : null)),
    ),
  ];
}

function treatments({ treatments: words, by_treatment: counts }) {
  return words.filter(({ treatment }) => counts[treatment]).map(({ treatment, name }) => el("li", {}, name, el("b", {}, formatNumber(counts[treatment]))));
}

/* Findings, zone by zone; the head of each table stands on every page that it needs. */

function zonesOf(report) {
  const { findings, zones } = report.evaluation;
  const standing = Map.groupBy(findings.filter(({ finding }) => !finding.dropped), ({ finding }) => finding.zone ?? "");
  const all = [...zones, { id: "", name: t`No zone` }].filter(({ id }) => standing.has(id));
  if (!all.length) return el("p.empty-state", {}, t`Nothing is written down yet.`);
  return all.map((zone) => zoneTable(zone, standing.get(zone.id), report));
}

function zoneTable({ name }, lines, report) {
  const { serial, aircraft, as_of: asOf } = report.project;
  const running = [serial || aircraft, serial || aircraft ? ", " : "", when(asOf)];
  const heads = [t`What was found`, t`Condition and form`, t`What is decided`].map((text) => el("th", { scope: "col" }, text));
  return el(
    "div.table-scroll",
    { role: "region", "aria-label": name, tabindex: "0" },
    el(
      "table.table.report-zone",
      {},
      el("colgroup", {}, el("col.report-what"), el("col.report-state"), el("col")),
      el("thead", {}, el("tr.report-running", {}, el("th", { scope: "colgroup", colspan: 3 }, el("span.report-zone-name", {}, name, el("span.soft", {}, ` ${countFindings(lines.length)}`)), el("span.soft", {}, running))), el("tr", {}, heads)),
      el("tbody", {}, lines.map((line) => row(line, report))),
    ),
  );
}

function row(line, report) {
  const { finding, key } = line;
  const { grades, chapters } = report.evaluation;
  const chapter = chapters.find((one) => one.chapter === finding.chapter)?.title;
  const pictures = report.photos.get(key);
  const part = (label, text) => (text ? el("div", {}, el("span.soft", {}, `${label}: `), text) : null);
  return el(
    "tr",
    { id: key },
    el("th", { scope: "row" }, el("span.finding-id", {}, key), " ", finding.seen, notes(finding, part), pictures && photoRow(report.sheet, pictures)),
    el(
      "td",
      {},
      el("div.report-grade", {}, gradeMark(finding.grade ?? 0), el("b", {}, `${finding.grade ?? 0} ${grades[finding.grade ?? 0].name}`)),
      part(t`Form`, wordFor(AUTHENTICITY, finding.authenticity ?? "unknown")),
      part(t`Rests on`, wordFor(RUNGS, finding.rung)),
      part(t`Chapter`, [finding.chapter, chapter].filter(Boolean).join(" ")),
    ),
    el("td", {}, decision(line, report.evaluation, part)),
  );
}

function notes({ measurements, notes: text, seen_by: who, seen_on: on }, part) {
  return el("div.report-notes", {}, part(t`Measured`, measurements), part(t`Notes`, text), who || on ? el("div.soft", {}, seen(who, on)) : null);
}

function seen(who, on) {
  if (!on) return t`Seen by ${who}`;
  return who ? t`Seen by ${who} on ${when(on)}` : t`Seen on ${when(on)}`;
}

function decision(line, { treatments: words, cards, kinds }, part) {
  const { finding } = line;
  const treatment = words.find((one) => one.treatment === finding.treatment);
  if (!treatment) return el("span.stamp.undecided", {}, t`not decided`);
  const card = cards.find(({ id }) => id === finding.card);
  const kind = kinds.find(({ id }) => id === finding.send_out_kind);
  const hours = finding.own_hours && hoursText(finding.own_hours);
  return [
    el("b", {}, treatment.name),
    part(t`Card`, card && [card.id, " ", card.name, ", ", inUnits(finding.quantity ?? 1, card.driver)]),
    part(t`Person-hours`, hours && `${hours}, ${tradeName(finding.own_trade)}`),
    part(t`Leaves for`, kind?.name),
    part(t`What comes back`, kind && wordFor(SOURCES, finding.source ?? "overhaul")),
    part(t`Kept`, keptWords(finding)),
    part(t`Decided`, finding.decided_by || finding.decided_on ? [finding.decided_by, finding.decided_by && finding.decided_on ? ", " : null, finding.decided_on ? when(finding.decided_on) : null] : null),
    part(t`In the plan`, cameOfIt(line)),
  ];
}
