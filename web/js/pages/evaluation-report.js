/** The evaluation as a bound report: title, findings zone by zone with photos, originality ledger. */

import { hoursText } from "../components/card-history.js";
import { showLedger } from "../components/originality.js";
import { AUTHENTICITY, cameOfIt, count, gradeMark, gradeWords, inUnits, RUNGS, SOURCES, wordFor } from "../components/finding-words.js";
import { photoRow } from "../components/photos.js";
import { tableLinks } from "../components/table-links.js";
import { get } from "../lib/api.js";
import { backward } from "../lib/arrows.js";
import { byId, el, fill, when } from "../lib/dom.js";
import { formatDate, formatNumber } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { tradeName } from "../lib/words.js";

runPage(async (sheet) => {
  const [evaluation, ledger, project, records] = await Promise.all([
    get(sheet.path("/evaluation")),
    get(sheet.path("/originality")),
    get(sheet.path()),
    get(sheet.path("/records")),
  ]);
  const { evidence } = evaluation.findings.some((line) => line.evidence) ? await get(sheet.path("/evidence")) : { evidence: [] };
  const report = { sheet, evaluation, project, records, photos: Map.groupBy(evidence, ({ finding }) => finding) };
  document.title = `Evaluation report, ${project.name || project.aircraft}`;
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
    el("a.button", { href: sheet.link("evaluation") }, backward("Evaluation")),
    el("button.button.strong", { type: "button", onclick: printing("all") }, "Print the report"),
    el("button.button", { type: "button", onclick: printing("ledger") }, "Print the ledger alone"),
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
      line("Aircraft", project.aircraft),
      line("Serial", project.serial),
      line("Project", project.name),
      line("Restored to", project.restored_to),
      line("Rule book", records.rule_books.find(({ id }) => id === records.rule_book)?.name),
      line("As of", when(project.as_of)),
      line("Seen and decided by", people.join(", ")),
    ),
    el(
      "div.report-sums",
      {},
      el("section", {}, el("h2", {}, "By condition"), el("ul", { role: "list" }, evaluation.grades.map((words) => el("li", {}, gradeWords(words), el("b", {}, formatNumber(byGrade[words.grade])))))),
      el("section", {}, el("h2", {}, "By treatment"), el("ul", { role: "list" }, treatments(evaluation), undecided ? el("li", {}, "Not decided yet", el("b", {}, formatNumber(undecided))) : null)),
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
  const all = [...zones, { id: "", name: "No zone" }].filter(({ id }) => standing.has(id));
  if (!all.length) return el("p.empty-state", {}, "Nothing is written down yet.");
  return all.map((zone) => zoneTable(zone, standing.get(zone.id), report));
}

function zoneTable({ name }, lines, report) {
  const { serial, aircraft, as_of: asOf } = report.project;
  const running = [serial || aircraft, formatDate(asOf)].filter(Boolean).join(", ");
  const heads = ["What was found", "Condition and form", "What is decided"].map((text) => el("th", { scope: "col" }, text));
  return el(
    "div.table-scroll",
    { role: "region", "aria-label": name, tabindex: "0" },
    el(
      "table.table.report-zone",
      {},
      el("colgroup", {}, el("col.report-what"), el("col"), el("col")),
      el("thead", {}, el("tr.report-running", {}, el("th", { scope: "colgroup", colspan: 3 }, el("span.report-zone-name", {}, name, el("span.soft", {}, ` ${count(lines.length, "finding")}`)), el("span.soft", {}, running))), el("tr", {}, heads)),
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
      el("div.report-grade", {}, gradeMark(finding.grade ?? 0), el("b", {}, grades[finding.grade ?? 0].name)),
      part("Form", wordFor(AUTHENTICITY, finding.authenticity ?? "unknown")),
      part("Rests on", wordFor(RUNGS, finding.rung)),
      part("Chapter", [finding.chapter, chapter].filter(Boolean).join(" ")),
    ),
    el("td", {}, decision(line, report.evaluation, part)),
  );
}

function notes({ measurements, notes: text, seen_by: who, seen_on: on }, part) {
  return el("div.report-notes", {}, part("Measured", measurements), part("Notes", text), who || on ? el("div.soft", {}, ["Seen", who && ` by ${who}`, on && [" on ", when(on)]]) : null);
}

function decision(line, { treatments: words, cards, kinds }, part) {
  const { finding } = line;
  const treatment = words.find((one) => one.treatment === finding.treatment);
  if (!treatment) return el("span.stamp.undecided", {}, "not decided");
  const card = cards.find(({ id }) => id === finding.card);
  const kind = kinds.find(({ id }) => id === finding.send_out_kind);
  const hours = finding.own_hours && hoursText(finding.own_hours);
  return [
    el("b", {}, treatment.name),
    part("Card", card && `${card.id} ${card.name}, ${inUnits(finding.quantity ?? 1, card.driver)}`),
    part("Person-hours", hours && `${hours}, ${tradeName(finding.own_trade)}`),
    part("Leaves for", kind && `${kind.name}; ${wordFor(SOURCES, finding.source ?? "overhaul").toLowerCase()}`),
    part("Kept", finding.kept_at && `${finding.kept_at}, ${finding.labelled ? "labelled" : "no label"}`),
    part("Decided", finding.decided_by || finding.decided_on ? [finding.decided_by, finding.decided_by && finding.decided_on ? ", " : null, finding.decided_on ? when(finding.decided_on) : null] : null),
    part("In the plan", cameOfIt(line)),
  ];
}
