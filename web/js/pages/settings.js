/** Settings: the project, calendars, vendors, crew, plan health, the change log, the plan file. */

import { mountAirframe } from "../components/airframe.js";
import { calendarEntry } from "../components/calendar-form.js";
import { showChangeLog } from "../components/change-log.js";
import { editForm } from "../components/editing.js";
import { crewEntry, vendorEntry } from "../components/people-forms.js";
import { printHealth, showHealth } from "../components/plan-health.js";
import { address, get } from "../lib/api.js";
import { bringInForm } from "../lib/bring-in.js";
import { byId, el, fill } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatDate, todayHere } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";

const SEQUENCE = [
  ["wait", "The rest waits for what should have come first"],
  ["carry_on", "Work once begun goes on"],
];

runPage(async (sheet) => {
  const refresh = () => refreshAll(sheet);
  planFile(sheet);
  fill(byId("health-print"), printHealth(byId("health")));
  await Promise.all([refresh(), mountAirframe(byId("airframe"), sheet)]);
  if (location.hash) document.querySelector(location.hash)?.scrollIntoView();
});

async function refreshAll(sheet) {
  const afterwards = async () => {
    await refreshAll(sheet);
    await sheet.refreshTitleBlock();
  };
  const [project, { calendars }, { vendors }, { crew }, health] = await Promise.all([
    get(sheet.path()),
    get(sheet.path("/calendars")),
    get(sheet.path("/vendors")),
    get(sheet.path("/crew")),
    get(sheet.path("/health")),
  ]);
  fill(byId("project-form"), projectForm(sheet, project, afterwards));
  list("calendars", calendars, (one) => calendarEntry(sheet, one, afterwards), "The plan has no calendar of its own: work is Monday to Friday, 8 hours.");
  list("vendors", vendors, (one) => vendorEntry(sheet, one, calendars, afterwards), "No vendor yet. They come with the plan file.");
  list("crew", crew, (one) => crewEntry(sheet, one, calendars, afterwards), "No crew yet. It comes with the plan file.");
  showHealth(byId("health"), sheet, health, project, afterwards);
  await showChangeLog(byId("changes-list"), sheet, afterwards);
}

/** Entries of a list; what was unfolded stays so. */
function list(id, things, entry, nothing) {
  const place = byId(`${id}-list`);
  const open = new Set([...place.querySelectorAll("details.thing[open]")].map((node) => node.dataset.key));
  const entries = things.map(entry);
  for (const node of entries) node.open = open.has(node.dataset.key);
  fill(place, entries.length ? entries : el("p.empty-state", {}, nothing));
  fill(byId(`${id}-count`), String(things.length));
}

function projectForm(sheet, project, afterwards) {
  const fields = [
    el(
      "div.fields",
      {},
      field({ label: "Project", name: "name", value: project.name }),
      field({ label: "Aircraft", name: "aircraft", value: project.aircraft }),
      field({ label: "Serial", name: "serial", value: project.serial }),
      field({
        label: "As of",
        name: "as_of",
        type: "date",
        value: project.as_of,
        hint: `The date the status is true for. Today is ${formatDate(todayHere())}.`,
        attributes: { required: true },
      }),
      field({
        label: "Target finish",
        name: "target_finish",
        type: "date",
        value: project.target_finish,
        hint: "The date the owner wishes for. It moves nothing.",
      }),
      field({
        label: "When work began out of sequence",
        name: "out_of_sequence",
        type: "select",
        value: project.out_of_sequence,
        options: SEQUENCE,
        hint: "Sometimes a task is begun before another that should be finished first. Either its rest waits for that other one, or it goes on regardless.",
      }),
    ),
  ];
  const thing = { kind: "project", key: "", path: sheet.path(), name: "the project", version: project.version };
  const typed = () => {
    const { name, aircraft, serial, ...rest } = readForm(node);
    return { name: name ?? "", aircraft: aircraft ?? "", serial: serial ?? "", ...rest };
  };
  const node = editForm(sheet, thing, fields, typed, afterwards);
  return node;
}

function planFile(sheet) {
  const download = byId("download");
  download.setAttribute("href", address(sheet.path("/plan-file")));
  download.setAttribute("download", `${fileName(sheet.project)}.plan.json`);
  if (!sheet.readOnly) fill(byId("take-in"), bringInForm());
}

function fileName({ name, serial }) {
  return `${name} ${serial}`.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "") || "plan";
}
