/** New project: from an aircraft, a shop and its people to a first forecast, step by step. */

import { mountAirframe } from "../components/airframe.js";
import { aircraftStep } from "../components/new-aircraft.js";
import { begunPanel } from "../components/new-begun.js";
import { moneyStep } from "../components/new-money.js";
import { calendarStep, crewStep } from "../components/new-shop.js";
import { ApiError, get, post } from "../lib/api.js";
import { byId, el, fill } from "../lib/dom.js";
import { mayBegin } from "../lib/entry.js";
import { clearErrors, fieldOf, form, showErrors } from "../lib/forms.js";
import { formatNumber, regionHere, todayHere } from "../lib/format.js";
import { runWithoutProject } from "../lib/sheet.js";
import { many, t, toldIn } from "../lib/text.js";

const KEPT = "ribstitch-new-project";
const STEPS = [
  { title: t`Aircraft`, make: aircraftStep },
  { title: t`Calendar`, onward: t`Next: calendar`, make: calendarStep },
  { title: t`Crew and places`, onward: t`Next: crew and places`, make: crewStep },
  { title: t`Money`, onward: t`Next: money`, make: moneyStep },
];

runWithoutProject(async (sheet) => {
  if (!mayBegin(sheet.person)) {
    const who = sheet.person.entry === "open" ? t`You are looking as the owner. The shop lead and the planner begin projects.` : t`Keepers of the server begin projects.`;
    fill(byId("about"), who);
    return;
  }
  const { rule_books: books, chapters, ...rest } = await get("/new-project");
  const offer = { ...rest, rule_books: toldIn(books, "name", "note"), chapters: toldIn(chapters, "title") };
  const told = { ...beginning(offer), ...kept() };
  if (!offer.kinds.some(({ airframe }) => airframe === told.airframe)) Object.assign(told, ofKind(offer.kinds[0]));
  await showForm(sheet, offer, told);
});

/** What stands in the fields before anybody types. */
function beginning(offer) {
  const region = regionHere();
  const kind = offer.kinds.find(({ airframe }) => airframe === "landplane") ?? offer.kinds[0];
  return {
    step: 0,
    name: "",
    rule_book: usualBook(offer.rule_books, region).id,
    start: todayHere(),
    week: offer.week,
    holidays: offer.countries.includes(region) ? region : null,
    closed: [],
    crew: offer.crew,
    currency: "EUR",
    cards_of: null,
    ...ofKind(kind),
  };
}

/** The rule book that is usual in a country; where none is, the one for the rest. */
function usualBook(books, region) {
  return books.find(({ countries }) => countries.includes(region)) ?? books.find(({ countries }) => !countries.length) ?? books[0];
}

function ofKind({ airframe, zones, surfaces, places }) {
  return { airframe, zones, surfaces, places };
}

async function showForm(sheet, offer, told) {
  let map = await mountMap(told);
  let steps = [];
  const node = form([], () => send());
  const readAll = () => Object.assign(told, ...steps.map(({ read }) => read(node)));
  const keep = () => {
    readAll();
    sessionStorage.setItem(KEPT, JSON.stringify(told));
  };
  const turnTo = (step) => {
    told.step = step;
    steps[step].shown?.();
    for (const section of node.querySelectorAll("[data-step]")) section.hidden = Number(section.dataset.step) !== step;
    document.body.dataset.stepNow = String(step);
    fill(byId("steps"), stepIndex(step, go));
  };
  const go = (step) => {
    clearErrors(node);
    readAll();
    if (step > 0 && isMissing()) return;
    turnTo(step);
    keep();
    node.querySelector(`[data-step="${step}"] h2`).focus();
  };
  const isMissing = () => {
    const missing = missingIn(told);
    if (!missing.length) return false;
    turnTo(0);
    showErrors(node, missing);
    return true;
  };
  const draw = () => {
    steps = STEPS.map(({ make }) => make(offer, told, anotherKind));
    fill(node, STEPS.map((step, index) => stepSection(step, index, steps[index].node, go)));
    turnTo(told.step);
  };
  const anotherKind = async (kind) => {
    readAll();
    Object.assign(told, ofKind(kind));
    draw();
    node.querySelector(`[name="airframe"][value="${kind.airframe}"]`).focus();
    keep();
    map = await mountMap(told);
  };
  const send = async () => {
    readAll();
    if (isMissing()) return;
    const { step, ...body } = told;
    try {
      const begun = await post("/new-project", body);
      sessionStorage.removeItem(KEPT);
      await showBegun(sheet, begun, told);
    } catch (error) {
      if (error instanceof ApiError) openField(node, error.problem.field, turnTo);
      throw error;
    }
  };
  node.addEventListener("input", keep);
  node.addEventListener("change", async () => {
    keep();
    await map.refresh();
  });
  draw();
  fill(byId("told"), node);
}

/** The map of what is chosen; a touch on a zone leads to its line. */
async function mountMap(told) {
  const meaning = {
    read: async () => told.zones.map((zone) => ({ ...zone, share_done: 0 })),
    label: ({ bays }) => bayText(bays),
    sentence: ({ name, bays }) => [name, bayText(bays)].filter(Boolean).join(", "),
    legend: [],
    columns: [{ label: t`Bays`, cell: ({ bays }) => (bays ? formatNumber(bays) : ""), numeric: true }],
  };
  const onSelect = (zone) => document.querySelector(`[data-zone-id="${CSS.escape(zone ?? "")}"] [name='zone-name']`)?.focus();
  return mountAirframe(byId("airframe"), { project: {} }, { meaning, onSelect, airframe: told.airframe });
}

function bayText(bays) {
  return bays ? many(bays, "{n} bay", "{n} bays") : "";
}

function stepSection({ title }, index, content, go) {
  const id = `step-${index}`;
  const next = STEPS[index + 1];
  const back = el("button.button", { type: "button", onclick: () => go(index - 1) }, t`Back`);
  const onward = next
    ? el("button.button.strong", { type: "button", onclick: () => go(index + 1) }, next.onward)
    : el("button.button.strong", { type: "submit" }, t`Begin the project`);
  return el(
    "section.panel.stack",
    { "data-step": index, "aria-labelledby": id, hidden: true },
    el("h2", { id, tabindex: "-1" }, title),
    content,
    el("div.button-row", {}, index ? back : null, onward),
  );
}

function stepIndex(step, go) {
  const entry = ({ title }, index) =>
    el("li", {}, el("button.step", { type: "button", "aria-current": index === step ? "step" : null, onclick: () => go(index) }, el("span.sheet-number", { "aria-hidden": "true" }, index + 1), title));
  return el("ol", { role: "list" }, STEPS.map(entry));
}

/** What the first step must know before the others make sense. */
function missingIn({ name }) {
  return name ? [] : [{ field: "name", message: t`The project needs a name` }];
}

/** Turn to the step that holds a field, so that a refusal stands beside it. */
function openField(node, name, turnTo) {
  const known = fieldOf(node, name);
  if (!known) return;
  const place = node.querySelector(`[data-field="${CSS.escape(known)}"]`);
  const unfolded = place.closest("details");
  if (unfolded) unfolded.open = true;
  turnTo(Number(place.closest("[data-step]").dataset.step));
}

async function showBegun(sheet, begun, told) {
  byId("steps").remove();
  byId("about").remove();
  delete document.body.dataset.stepNow;
  fill(byId("told"), begunPanel(begun, told));
  byId("begun-title").focus();
  await sheet.showTitleBlock(`/projects/${begun.id}`);
}

/** What was typed before the page was left or loaded again. */
function kept() {
  return JSON.parse(sessionStorage.getItem(KEPT) ?? "{}");
}
