/**
 * "If something comes late": a vendor or an item, a slider of days, the finish at once.
 *
 * The whole late curve is fetched once for each choice; moving the slider asks nobody. How sure
 * the new finish is comes a moment later, from whoever compares the case with the plan.
 */

import { get } from "../lib/api.js";
import { drawChart } from "../lib/chart.js";
import { el, fill, when } from "../lib/dom.js";
import { addDays, daysBetween, formatDate, formatDays, formatMoved, formatNumber } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";
import { inCourses } from "./courses.js";

export const MOST_DAYS = 180;
/** Share of the days up to which words stand to the right of a mark. */
const ROOM_FOR_WORDS = 0.7;
/** Room above the 80 % date. [days] */
const ROOM_ABOVE = 14;

/**
 * @param {HTMLElement} place
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {object} options
 * @param {import("./change-slots.js").Lists} options.lists
 * @param {{who: string, days: number}} options.state `who` is "vendor:V01" or "send_out:S03"; changed in place.
 * @param {() => void} options.onChange After each change of `state`.
 * @param {HTMLElement[]} options.actions Buttons under the answer.
 * @returns {Promise<(uncertainty: any, planned?: {p50: string}) => void>} Call it with how sure the
 *   finish is in this case and in the plan, or with null where that cannot be said.
 */
export async function latePanel(place, sheet, { lists, state, onChange, actions }) {
  if (!lists.vendors.length) {
    fill(place, el("p.empty-state", {}, t`Nothing is away and nothing has to go, so nobody can be late.`));
    return () => {};
  }
  const view = { sheet, state, lists, curve: null, canvas: null, uncertainty: undefined };
  const who = el("select", { id: "who" }, group(t`All open items of`, "vendor", lists.vendors, state), group(t`One item`, "send_out", lists.items, state));
  const slider = el("input", { id: "days", type: "range", min: 0, max: MOST_DAYS, step: 1, value: state.days });
  const number = el("input", { id: "days-number", type: "number", min: 0, max: MOST_DAYS, step: 1, value: state.days, inputmode: "numeric" });
  view.answer = el("output.late-answer", { for: "who days days-number", "aria-live": "polite" });
  view.chart = el("div.chart");
  const move = (input, other) => () => {
    if (!input.checkValidity() || input.value === "") return;
    state.days = Number(input.value);
    other.value = input.value;
    view.uncertainty = undefined;
    show(view);
    onChange();
  };
  slider.addEventListener("input", move(slider, number));
  number.addEventListener("input", move(number, slider));
  who.addEventListener("change", async () => {
    state.who = who.value;
    view.uncertainty = undefined;
    await choose(view).catch(sayProblem);
    onChange();
  });
  fill(
    place,
    el(
      "form.late-form",
      { "data-asks": "", onsubmit: (event) => event.preventDefault() },
      el("div.field", {}, el("label", { for: "who" }, t`What is late`), who),
      el("div.field.late-days", {}, el("label", { for: "days-number" }, t`Working days late`), number),
      el("div.field.late-slider", {}, el("label.unseen", { for: "days" }, t`Working days late, as a slider`), slider),
    ),
    el("div.late-told", {}, view.answer, el("div.button-row.no-print", {}, actions)),
    view.chart,
  );
  await choose(view);
  return (uncertainty, planned) => {
    view.uncertainty = uncertainty && { ...uncertainty, planned };
    show(view);
  };
}

function group(label, kind, entries, state) {
  const options = entries.map(([id, name]) =>
    el("option", { value: `${kind}:${id}`, selected: state.who === `${kind}:${id}` }, name),
  );
  return el("optgroup", { label }, options);
}

/** What the chosen vendor or item is called in a request. @param {string} who */
export function whoQuery(who) {
  const at = who.indexOf(":");
  return { [who.slice(0, at)]: who.slice(at + 1) };
}

async function choose(view) {
  const query = { ...whoQuery(view.state.who), days: MOST_DAYS };
  view.curve = await get(view.sheet.path("/late-curve"), { query });
  view.canvas = await drawChart(view.chart, {
    path: view.sheet.path("/charts/late-curve"),
    query,
    label: t`The finish as written against days late, with the likely and the 80 % finish at the days chosen. The table below says the same.`,
    table: curveTable(view.curve),
    onDrawn: () => mark(view),
  });
  show(view);
}

/** Say what the days do, and mark them on the stair. */
function show(view) {
  const { state, lists, curve, answer, uncertainty } = view;
  const { days } = state;
  const finish = curve.finish[days];
  const moved = curve.moved_days[days];
  fill(
    answer,
    likelyFinish(uncertainty),
    el("span.late-finish", {}, el("span.soft", {}, t`If everything else goes as written:`), " ", when(finish, "long"), "."),
    el(
      "span.late-moved",
      { "data-moved": moved },
      movedSentence(moved, curve.finish[0]),
      " ",
      room(Math.floor(curve.grace_days), days),
    ),
    lateItems(state.who, lists).map((item) => el("span.late-item", {}, itemSentence(item))),
  );
  mark(view);
}

function movedSentence(moved, planned) {
  if (!moved) return t`The finish does not move.`;
  const days = formatDays(Math.abs(moved));
  return moved > 0 ? t`${days} later than planned (${formatDate(planned)}).` : t`${days} sooner than planned (${formatDate(planned)}).`;
}

/** The likely finish and how sure it is: undefined while that is computed, null where unknown. */
function likelyFinish(uncertainty) {
  if (uncertainty === null) return null;
  const { finish } = uncertainty ?? {};
  return [
    el("span.soft", {}, t`The finish would likely be`),
    el("span.late-likely", {}, finish ? when(finish.p50, "long") : "…"),
    el("span.late-by80", {}, finish ? [likelyMoved(uncertainty), " ", t`80\u00a0% by ${when(finish.p80, "long")}.`] : t`being computed`),
  ];
}

function likelyMoved({ finish, planned, moved: by }) {
  const days = daysBetween(planned.p50, finish.p50);
  return days ? t`${formatMoved(days)} than without the delay.` : t`The same as without the delay; later ${inCourses(by.later.probability)}.`;
}

/** How much of the grace the days have used up. */
function room(free, days) {
  if (free <= 0) return t`No day late is free.`;
  if (free >= MOST_DAYS) return t`Even ${formatDays(MOST_DAYS)} late cost nothing.`;
  if (days > free) return many(free, "The first day late costs nothing; these are {0} more.", "The first {n} days late cost nothing; these are {0} more.", formatNumber(days - free));
  if (days === free) return many(free, "The first day late costs nothing; none would be left.", "The first {n} days late cost nothing; none would be left.");
  return many(free, "The first day late costs nothing; {0} would still be left.", "The first {n} days late cost nothing; {0} would still be left.", formatNumber(free - days));
}

function lateItems(who, lists) {
  const { vendor, send_out: id } = whoQuery(who);
  return lists.openItems.filter((item) => item.id === id || item.vendor === vendor);
}

/** Why there is room, or none: when the item is expected, and when it is needed. */
function itemSentence({ name, expected_back: back, need_by: needed }) {
  return t`${name}: as planned it is back on ${when(back)}, and the work needs it by ${when(needed)}.`;
}

/**
 * Mark the days on the stair, and over them the likely finish and the 80 % one, once they are
 * known; the sheet grows where it has to. All in one step: the library draws once.
 */
function mark({ canvas, state: { days }, curve, uncertainty }) {
  if (!canvas) return;
  const [written, finish] = [curve.finish[days], uncertainty?.finish];
  const { low } = canvas.layout.meta;
  const at = (sought) => canvas.data.findIndex(({ name }) => name === sought);
  const dates = finish ? [finish.p50, finish.p80] : [];
  const there = dates.map(() => days);
  const side = days > MOST_DAYS * ROOM_FOR_WORDS ? "left" : "right";
  const high = String(canvas.layout.yaxis.range[1]).slice(0, 10);
  const isHigh = finish && addDays(finish.p80, ROOM_ABOVE) > high;
  window.Plotly.update(
    canvas,
    {
      x: [[days, days, -1], there, there],
      y: [[low, written, written], dates, dates],
      textposition: `middle ${side}`,
    },
    isHigh ? { "yaxis.range": [low, addDays(finish.p80, ROOM_ABOVE)] } : {},
    ["position", "spread", "levels"].map(at),
  );
}

/** Only the days on which the finish changes: each row holds until the next. */
function curveTable({ days, finish, moved_days: moved }) {
  const rows = days
    .filter((day) => day === 0 || finish[day] !== finish[day - 1])
    .map((day) => ({ day, finish: finish[day], moved: moved[day] }));
  return table({
    caption: t`From so many days late on, the finish as written is`,
    rows,
    columns: [
      { label: t`Days late`, cell: (row) => formatNumber(row.day), numeric: true, heading: true },
      { label: t`Finish as written`, cell: (row) => when(row.finish) },
      { label: t`Moved`, cell: (row) => (row.moved ? formatDays(row.moved) : t`not at all`), numeric: true },
    ],
  });
}
