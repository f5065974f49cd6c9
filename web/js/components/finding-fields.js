/**
 * The fields of a finding: what is seen and how bad in reach of a thumb, all else under More.
 *
 * What can be chosen comes from the service: grades, treatments, chapters, cards, kinds of outside work.
 */

import { el, fill, freshId } from "../lib/dom.js";
import { field, picks } from "../lib/forms.js";
import { t } from "../lib/text.js";
import { tradeCode, tradeName, USUAL_TRADES } from "../lib/words.js";
import { AUTHENTICITY, gradeWords, RUNGS, SOURCES, unit, units } from "./finding-words.js";

const WIDE = "aircraft";
/** What needs no work of its own. */
const WITHOUT_WORK = ["keep"];
const LEAVES = t`With this card something usually leaves the shop: say for what, or it is planned to stay.`;
const OWN = ["own_low", "own_likely", "own_high"];

/**
 * @param {any} evaluation As the service answers.
 * @param {object} options
 * @param {Record<string, any>} options.finding As in the plan file; may be empty.
 * @param {string} options.asOf
 * @param {string[]} options.usual Chapters that are usual in the zone.
 * @param {boolean} [options.withZone] The zone can be changed here.
 * @param {boolean} [options.isOpen] More stands unfolded.
 */
export function findingFields(evaluation, { finding, asOf, usual, withZone = false, isOpen = false }) {
  const more = el("details.finding-more", { open: isOpen }, el("summary", {}, t`More: treatment, chapter, evidence, decision`));
  const work = workFields(evaluation, finding);
  const chapter = chapterField(evaluation, finding, usual);
  const decided = el(
    "div.fields",
    {},
    nameField(t`Decided by`, "decided_by", finding.decided_by, evaluation.people),
    field({ label: t`Decided on`, name: "decided_on", type: "date", value: finding.decided_on, attributes: { max: asOf } }),
  );
  const treatment = treatmentField(evaluation, finding, () => {
    work.refresh();
    const on = decided.querySelector("[name=decided_on]");
    on.value ||= asOf;
  });
  more.append(
    el(
      "div.stack",
      {},
      withZone ? zoneField(evaluation, finding) : null,
      picks({ label: t`Authenticity`, name: "authenticity", value: finding.authenticity ?? "unknown", options: AUTHENTICITY }),
      chapter.node,
      treatment.node,
      work.node,
      field({ label: t`What the decision rests on`, name: "rung", type: "select", value: finding.rung, options: [["", t`Nothing named yet`], ...RUNGS] }),
      decided,
      field({ label: t`Measurements`, name: "measurements", type: "textarea", value: finding.measurements, attributes: { rows: 2 } }),
      el(
        "div.fields",
        {},
        field({ label: t`Old part or later work is kept`, name: "kept_at", value: finding.kept_at, hint: t`Where; empty: it is not kept.` }),
        checkbox(t`What is kept bears a label`, "labelled", finding.labelled),
      ),
      field({ label: t`Notes`, name: "notes", type: "textarea", value: finding.notes, attributes: { rows: 2 } }),
      el(
        "div.fields",
        {},
        field({ label: t`Short name of the work`, name: "title", value: finding.title }),
        nameField(t`Seen by`, "seen_by", finding.seen_by, evaluation.people),
      ),
      el("p.standing-line", {}, evaluation.standing_line),
    ),
  );
  const node = el("div.finding-fields", {}, seenField(finding.seen, withZone ? null : t`Type or dictate. Enter goes on, Shift+Enter begins a new line.`), gradeField(evaluation.grades, finding.grade), more);
  const form = () => node.closest("form");
  /** What depends on other fields, after values were put back. */
  const refresh = () => {
    treatment.refresh();
    work.refresh();
  };
  return { node, more, refresh, read: () => readFinding(form(), evaluation), problems: () => problemsOf(form(), evaluation) };
}

/* In reach of the thumb. */

function seenField(seen, hint) {
  return field({
    label: t`What do you see?`,
    name: "seen",
    type: "textarea",
    value: seen,
    hint,
    attributes: { class: "finding-seen", rows: 2, autocapitalize: "sentences", enterkeyhint: hint ? "next" : undefined, maxlength: 10_000 },
  });
}

function gradeField(grades, chosen) {
  const choice = ({ grade, name, meaning }) =>
    el(
      "label.grade-pick",
      { title: meaning },
      el("input", { type: "radio", name: "grade", value: grade, checked: grade === chosen }),
      gradeWords({ grade, name }),
    );
  const node = el("fieldset.grades", { "data-field": "grade" }, el("legend.label", {}, t`Condition`), el("div.grade-row", {}, grades.map(choice)));
  node.addEventListener("keydown", (event) => {
    const wanted = node.querySelector(`input[value="${CSS.escape(event.key)}"]`);
    if (!wanted || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    wanted.click();
    wanted.focus();
  });
  return node;
}

/* Under More. */

function zoneField({ zones }, { zone }) {
  return field({ label: t`Zone`, name: "zone", type: "select", value: zone, options: [["", t`No zone`], ...zones.map(({ id, name }) => [id, name])] });
}

function chapterField({ chapters }, { chapter }, usual) {
  const words = (code) => [code, chapters.find((one) => one.chapter === code)?.title].filter(Boolean).join(" ");
  const node = field({
    label: t`Chapter`,
    name: "chapter",
    value: chapter ? words(chapter) : "",
    suggestions: [...new Set([...usual, ...chapters.map((one) => one.chapter)])].map(words),
    hint: t`A number or a word of the system: 28 or fuel.`,
    attributes: { autocomplete: "off" },
  });
  const input = node.querySelector("input");
  const quick = usual.map((code) => {
    const choose = () => {
      input.value = words(code);
      input.dispatchEvent(new Event("input", { bubbles: true }));
    };
    return el("button.button.chapter-quick", { type: "button", onclick: choose }, words(code));
  });
  if (quick.length) input.before(el("div.button-row", { role: "group", "aria-label": t`Usual here` }, quick));
  return { node };
}

function treatmentField({ treatments }, { treatment }, onChoose) {
  const told = el("dl.treatment-told", { "aria-live": "polite" });
  const node = picks({ label: t`Treatment`, name: "treatment", value: treatment ?? "", options: [["", t`Not decided`], ...treatments.map((one) => [one.treatment, one.name])] });
  const refresh = () => {
    const chosen = node.querySelector(":checked")?.value;
    const words = treatments.find((one) => one.treatment === chosen);
    told.hidden = !words;
    if (!words) return;
    const line = (label, text) => el("div", {}, el("dt", {}, label), el("dd", {}, text));
    fill(told, line(t`Usually`, `${words.implies}; ${words.where}`), line(t`Record first`, words.record_first), line(t`Originality`, words.originality));
  };
  node.addEventListener("change", () => {
    refresh();
    if (node.querySelector(":checked").value) onChoose();
  });
  node.append(told);
  refresh();
  return { node, refresh };
}

/** Who carries it out: a card with its quantity, or hours of its own; and whether the item leaves. */
function workFields(evaluation, finding) {
  const card = field({ label: t`Method card`, name: "card", type: "select", attributes: { "aria-describedby": freshId("card-told") } });
  const select = card.querySelector("select");
  const told = el("span.hint", { id: select.getAttribute("aria-describedby") });
  card.append(told);
  const quantity = field({ label: t`Quantity`, name: "quantity", value: finding.quantity ?? "1", attributes: { inputmode: "decimal", autocomplete: "off" } });
  const own = ownHours(finding, evaluation);
  const kinds = evaluation.kinds.map(({ id, name }) => [id, name]);
  const leaves = field({ label: t`The item leaves for`, name: "send_out_kind", type: "select", value: finding.send_out_kind, options: [["", t`It stays here`], ...kinds], hint: LEAVES });
  const leavesTold = leaves.querySelector(".hint");
  const source = field({ label: t`What comes back`, name: "source", type: "select", value: finding.source ?? "overhaul", options: SOURCES });
  const node = el("div.stack.finding-work", {}, el("div.card-row", {}, card, quantity), own, el("div.fields", {}, leaves, source));
  let wanted = finding.card ?? "";
  const refresh = () => {
    const form = node.closest("form");
    const treatment = form ? captureRadio(form, "treatment") : (finding.treatment ?? "");
    wanted = select.options.length ? select.value : wanted;
    fill(select, cardOptions(evaluation, treatment, wanted));
    select.value = wanted;
    show();
  };
  const show = () => {
    const treatment = captureRadio(node.closest("form"), "treatment") || finding.treatment;
    const chosen = evaluation.cards.find(({ id }) => id === select.value);
    quantity.hidden = !chosen;
    quantity.querySelector("label").textContent = chosen ? t`How many: ${units(chosen.driver)}` : t`Quantity`;
    fill(told, chosen ? [chosen.evidence ? t`It wants to see: ${chosen.evidence}.` : "", " ", chosen.from_memory ? t`Its hours are from memory: put in your own.` : ""] : evaluation.cards.length ? "" : t`This plan has no method cards yet: they come with the plan file.`);
    own.hidden = Boolean(chosen) || WITHOUT_WORK.includes(treatment);
    source.hidden = !leaves.querySelector("select").value;
    leavesTold.hidden = !chosen?.leaves || !source.hidden;
  };
  select.addEventListener("change", show);
  leaves.addEventListener("change", show);
  queueMicrotask(refresh);
  return { node, refresh };
}

/** Cards that fit come first: those used before for the same treatment, then those that usually do. */
function cardOptions({ cards, treatments, findings }, treatment, chosen) {
  const used = findings.filter(({ finding }) => finding.treatment === treatment && finding.card).map(({ finding }) => finding.card);
  const usual = new Set([...used, ...(treatments.find((one) => one.treatment === treatment)?.cards ?? [])]);
  const offered = cards.filter(({ id, retired }) => !retired || id === chosen);
  const option = ({ id, name, driver }) => el("option", { value: id }, t`${id} ${name}, by the ${unit(driver)}`);
  const fit = offered.filter(({ id }) => treatment && usual.has(id));
  const rest = offered.filter((one) => !fit.includes(one));
  const group = (label, list) => (list.length ? el("optgroup", { label }, list.map(option)) : null);
  return [
    el("option", { value: "" }, t`None: hours of its own`),
    group(t`Fit the treatment`, fit),
    group(fit.length ? t`Others` : t`Cards`, rest.filter(({ driver }) => driver !== WIDE)),
    group(t`For the whole aircraft`, rest.filter(({ driver }) => driver === WIDE)),
  ].filter(Boolean);
}

function ownHours({ own_hours: hours, own_trade: trade }, { trades }) {
  const names = [...new Set([...trades.map(tradeName), ...USUAL_TRADES])];
  const number = (label, name, place) => field({ label, name, value: hours?.[place], attributes: { inputmode: "decimal", autocomplete: "off" } });
  return el(
    "fieldset.own-hours",
    { "data-field": "own_hours" },
    el("legend.label", {}, t`Person-hours, where no card fits`),
    el(
      "div.own-row",
      {},
      number(t`At least`, OWN[0], 0),
      number(t`Likely`, OWN[1], 1),
      number(t`At most`, OWN[2], 2),
      field({ label: t`Trade`, name: "own_trade", value: trade ? tradeName(trade) : "", suggestions: names }),
    ),
  );
}

/* Small parts. */

function checkbox(label, name, isOn) {
  return el("div.field", { "data-field": name }, el("label.check", {}, el("input", { type: "checkbox", name, checked: isOn }), label));
}

function nameField(label, name, value, people) {
  return field({ label, name, value, suggestions: people, attributes: { autocomplete: "off" } });
}

function captureRadio(form, name) {
  return form?.querySelector(`[name="${name}"]:checked`)?.value ?? "";
}

/* What was typed. */

/** The finding as in the plan file; what was left out is empty. */
function readFinding(form, evaluation) {
  const text = (name) => form.elements[name]?.value.trim() ?? "";
  const card = text("card") || null;
  const hours = OWN.map((name) => decimal(text(name)));
  const isOwn = !card && hours.some(Boolean);
  const grade = captureRadio(form, "grade");
  const body = {
    seen: text("seen"),
    grade: grade === "" ? null : Number(grade),
    authenticity: captureRadio(form, "authenticity"),
    chapter: chapterCode(text("chapter"), evaluation),
    treatment: captureRadio(form, "treatment") || null,
    card,
    quantity: card ? decimal(text("quantity")) : "1",
    own_hours: isOwn ? hours : null,
    own_trade: isOwn ? tradeCode(text("own_trade")) : null,
    send_out_kind: text("send_out_kind") || null,
    source: text("send_out_kind") ? text("source") : "overhaul",
    rung: text("rung") || null,
    decided_on: text("decided_on") || null,
    labelled: form.elements.labelled.checked,
  };
  for (const name of ["decided_by", "measurements", "kept_at", "notes", "title", "seen_by"]) body[name] = text(name);
  if (form.elements.zone) body.zone = text("zone") || null;
  return body;
}

function problemsOf(form, evaluation) {
  const { seen, grade, chapter, own_hours: hours, own_trade: trade } = readFinding(form, evaluation);
  return [
    seen ? null : { field: "seen", message: t`What do you see? A few words are enough.` },
    grade === null ? { field: "grade", message: t`Condition: choose one of the six.` } : null,
    chapter && chapter.length > 80 ? { field: "chapter", message: t`Chapter: choose one, such as 55.` } : null,
    hours && !hours.every(Boolean) ? { field: "own_hours", message: t`Person-hours: give all three.` } : null,
    hours && !trade ? { field: "own_trade", message: t`Trade: who works these hours?` } : null,
  ].filter(Boolean);
}

/** "28 Fuel", "28", "fuel" are chapter 28; a code of the shop's own stays as it is. */
function chapterCode(text, { chapters }) {
  if (!text) return null;
  const [first] = text.split(/\s/);
  if (chapters.some(({ chapter }) => chapter === first)) return first;
  const wanted = text.toLowerCase();
  const found = chapters.filter(({ title }) => title.toLowerCase().includes(wanted));
  return found.length === 1 ? found[0].chapter : text;
}

function decimal(text) {
  return text.replace(",", ".") || null;
}
