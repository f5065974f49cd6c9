/** Settings: project, zones, drawings, calendars, vendors, crew, places, expedites, plan health, change log, plan file, tables. */

import { mountAirframe } from "../components/airframe.js";
import { calendarAddresses } from "../components/calendar-addresses.js";
import { calendarEntry, newCalendar } from "../components/calendar-form.js";
import { showChangeLog } from "../components/change-log.js";
import { crewEntry, newCrew } from "../components/crew-form.js";
import { drawingEntry, newDrawing } from "../components/drawing-form.js";
import { DRAWN } from "../components/drawings.js";
import { editForm } from "../components/editing.js";
import { expediteEntry, newExpedite } from "../components/expedite-forms.js";
import { newPlace, placeEntry } from "../components/place-form.js";
import { printHealth, showHealth } from "../components/plan-health.js";
import { showPeople } from "../components/project-people.js";
import { tableLinks } from "../components/table-links.js";
import { newVendor, vendorEntry } from "../components/vendor-form.js";
import { freePlaces, newZone, zoneEntry, zonesOnMap } from "../components/zone-form.js";
import { allTasks } from "../lib/all-tasks.js";
import { address, get } from "../lib/api.js";
import { bringInForm } from "../lib/bring-in.js";
import { byId, el, fill, unfold } from "../lib/dom.js";
import { mayBegin } from "../lib/entry.js";
import { field, readForm } from "../lib/forms.js";
import { formatDate, todayHere } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { t } from "../lib/text.js";
import { slug } from "../lib/words.js";

const SEQUENCE = [
  ["wait", t`The rest waits for what should have come first`],
  ["carry_on", t`Work once begun goes on`],
];

runPage(async (sheet) => {
  const refresh = () => Promise.all([refreshAll(sheet), sheet.map?.refresh()]);
  sheet.keepUp(() => Promise.all([refresh(), sheet.refreshTitleBlock()]));
  planFile(sheet);
  byId("to-cards").setAttribute("href", sheet.link("method-cards"));
  fill(byId("tables"), tableLinks(sheet, ["tasks", "links", "send-outs", "vendors", "crew", "costs", "payments", "hours"]));
  fill(byId("calendar-addresses"), calendarAddresses(sheet));
  byId("to-import").setAttribute("href", sheet.link("import"));
  fill(byId("health-print"), printHealth(byId("health")));
  const map = mountAirframe(byId("airframe"), sheet);
  await Promise.all([refresh(), peopleOf(sheet), map]);
  sheet.map = await map;
  if (new URLSearchParams(location.search).has("takes")) requestAnimationFrame(unfoldNewVendor);
  else if (location.hash) document.querySelector(location.hash)?.scrollIntoView();
});

/** Where people sign in, the planner says who they are. */
async function peopleOf(sheet) {
  const { entry, role } = sheet.person;
  if (entry === "open" || role !== "planner") return;
  await showPeople(byId("people"), sheet);
  byId("people").hidden = false;
  document.querySelector('a[href="#people"]').parentElement.hidden = false;
}

/** Once the sheet is shown: nothing takes the focus before. */
function unfoldNewVendor() {
  const entry = document.querySelector("#vendors details.thing[data-key=new]");
  if (!entry) return;
  unfold(entry);
  entry.scrollIntoView();
  entry.querySelector("input").focus({ preventScroll: true });
}

/** What was just added is there to be traced. */
function unfoldDrawing(key) {
  const entry = document.querySelector(`#drawings [data-key="${CSS.escape(key)}"]`);
  unfold(entry);
  entry.querySelector("[data-trace]")?.focus();
}

async function refreshAll(sheet) {
  const afterwards = async () => {
    await Promise.all([refreshAll(sheet), sheet.map.refresh()]);
    await sheet.refreshTitleBlock();
  };
  const plan = await readPlan(sheet);
  fill(byId("project-form"), projectForm(sheet, plan.project, afterwards));
  showThings(sheet, plan, afterwards);
  showHealth(byId("health"), sheet, plan.health, plan.project, afterwards);
  await showChangeLog(byId("changes-list"), sheet, afterwards);
}

async function readPlan(sheet) {
  const [project, health, tasks, { send_outs: items }, ...lists] = await Promise.all([
    get(sheet.path()),
    get(sheet.path("/health")),
    allTasks(sheet),
    get(sheet.path("/away")),
    ...["zones", "drawings", "calendars", "vendors", "kinds", "crew", "places", "expedites"].map((name) => get(sheet.path(`/${name}`))),
  ]);
  const things = Object.assign({}, ...lists);
  const onMap = zonesOnMap(sheet, project.airframe, things.drawings);
  return { project, health, tasks, items, onMap, free: await freePlaces(project, onMap, things.zones), ...things };
}

function showThings(sheet, plan, afterwards) {
  const { zones, calendars, vendors, crew, places, expedites, project } = plan;
  const hands = { crew, calendars, project, afterwards };
  const targets = { tasks: plan.tasks.filter(isOpen).map(named), items: plan.items.filter(({ accepted }) => !accepted).map(named) };
  list(sheet, "zones", zones, {
    entry: (one) => zoneEntry(sheet, one, plan.onMap, afterwards),
    another: () => newZone(sheet, { zones, places: plan.free }, afterwards),
    nothing: t`No zone yet. Findings and tasks lie in regions of the airframe: they stand here.`,
  });
  list(sheet, "drawings", plan.drawings, {
    entry: (one) => drawingEntry(sheet, one, zones, afterwards),
    another: () => newDrawing(sheet, async (key) => {
      await afterwards();
      if (key) unfoldDrawing(key);
    }),
    nothing: t`No drawing of the shop’s own: the map has the one chosen under Project.`,
  });
  list(sheet, "calendars", calendars, {
    entry: (one) => calendarEntry(sheet, one, afterwards),
    another: () => newCalendar(sheet, calendars, afterwards),
    nothing: t`The plan has no calendar of its own: work is Monday to Friday, 8 hours.`,
  });
  list(sheet, "vendors", vendors, {
    entry: (one) => vendorEntry(sheet, one, plan, afterwards),
    another: () => newVendor(sheet, plan, wantedKind(vendors), afterwards),
    nothing: t`No vendor yet. A whole list of them can come ${el("a", { href: sheet.link("import", { table: "vendors" }) }, t`with a table`)}.`,
  });
  list(sheet, "crew", crew, {
    entry: (one) => crewEntry(sheet, one, hands),
    another: () => newCrew(sheet, hands),
    nothing: t`No crew yet: the plan counts hands for everything.`,
  });
  list(sheet, "places", places, {
    entry: (one) => placeEntry(sheet, one, afterwards),
    another: () => newPlace(sheet, places, afterwards),
    nothing: t`No place yet. A bay, a jig or a booth that only so many tasks can use at once belongs here.`,
  });
  list(sheet, "expedites", expedites, {
    entry: (one) => expediteEntry(sheet, one, targets, afterwards),
    another: () => newExpedite(sheet, expedites, targets, afterwards),
    nothing: t`Nothing yet. Overtime, a fee to go first, air freight: what could be bought, and what it costs.`,
  });
}

/** The kind of send-out for which another sheet wants a vendor, as long as none takes it. */
function wantedKind(vendors) {
  const wanted = new URLSearchParams(location.search).get("takes");
  return vendors.some(({ kinds }) => kinds.includes(wanted)) ? null : wanted;
}

function isOpen({ state }) {
  return state !== "done" && state !== "dropped";
}

function named({ id, name }) {
  return [id, name ? `${name} (${id})` : id];
}

/** Entries of a list, and perhaps a form for another one; what was unfolded stays so. */
function list(sheet, id, things, { entry, another, nothing }) {
  const place = byId(`${id}-list`);
  const open = new Set([...place.querySelectorAll("details.thing[open]")].map((node) => node.dataset.key));
  const entries = things.map(entry);
  const adding = another && !sheet.readOnly ? another() : null;
  for (const node of [...entries, adding].filter(Boolean)) if (open.has(node.dataset.key)) unfold(node);
  fill(place, entries.length ? entries : el("p.empty-state", {}, nothing), adding);
  fill(byId(`${id}-count`), String(things.length));
}

function projectForm(sheet, project, afterwards) {
  const fields = [
    el(
      "div.fields",
      {},
      field({ label: t`Project`, name: "name", value: project.name }),
      field({ label: t`Aircraft`, name: "aircraft", value: project.aircraft }),
      field({ label: t`Serial`, name: "serial", value: project.serial }),
      field({ label: t`Restored to`, name: "restored_to", value: project.restored_to, hint: t`The date that it will show.` }),
      field({ label: t`Drawing`, name: "airframe", type: "select", value: project.airframe, options: [["", t`none: a list of the zones`], ...DRAWN] }),
      field({
        label: t`As of`,
        name: "as_of",
        type: "date",
        value: project.as_of,
        hint: t`The date the status is true for. Today is ${formatDate(todayHere())}.`,
        attributes: { required: true },
      }),
      field({
        label: t`Target finish`,
        name: "target_finish",
        type: "date",
        value: project.target_finish,
        hint: t`The date the owner wishes for. It moves nothing.`,
      }),
      field({
        label: t`When work began out of sequence`,
        name: "out_of_sequence",
        type: "select",
        value: project.out_of_sequence,
        options: SEQUENCE,
        hint: t`Sometimes a task is begun before another that should be finished first. Either its rest waits for that other one, or it goes on regardless.`,
      }),
    ),
  ];
  const thing = { kind: "project", key: "", path: sheet.path(), name: t`the project`, version: project.version };
  const typed = (node) => {
    const { name, aircraft, serial, restored_to, airframe, ...rest } = readForm(node);
    const texts = { name, aircraft, serial, restored_to, airframe };
    return { ...Object.fromEntries(Object.entries(texts).map(([key, text]) => [key, text ?? ""])), ...rest };
  };
  return editForm(sheet, thing, fields, typed, afterwards);
}

function planFile(sheet) {
  const download = byId("download");
  download.setAttribute("href", address(sheet.path("/plan-file")));
  download.setAttribute("download", `${fileName(sheet.project)}.plan.json`);
  if (!mayBegin(sheet.person)) return;
  fill(byId("another"), el("a.button", { href: "/new-project" }, t`Begin another project`));
  fill(byId("take-in"), bringInForm());
}

function fileName({ name, serial }) {
  return slug(`${name} ${serial}`) || "plan";
}
