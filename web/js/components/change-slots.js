/** Changes of a what-if case as sentences with slots to fill. */

import { el, fill } from "../lib/dom.js";
import { addDays, formatNumber } from "../lib/format.js";
import { t } from "../lib/text.js";

const WEEKDAYS = [t`Mondays`, t`Tuesdays`, t`Wednesdays`, t`Thursdays`, t`Fridays`, t`Saturdays`, t`Sundays`];
const WEEKDAY_SLOTS = WEEKDAYS.map((name, at) => [String(at), name]);

/**
 * @typedef {object} Lists What the slots offer, as [id, name] pairs.
 * @property {[string, string][]} vendors Vendors with work to do.
 * @property {[string, string][]} allVendors
 * @property {[string, string][]} items Open send-outs.
 * @property {any[]} openItems The same as lines of the Away answer.
 * @property {[string, string][]} itemsHere Send-outs that have not left.
 * @property {[string, string][]} itemsAtVendor Send-outs that have not left their vendor.
 * @property {[string, string][]} tasks Tasks that are not done.
 * @property {Map<string, number>} taskDays Planned days of each of them.
 * @property {Map<string, string>} taskStarts When each of them begins as written.
 * @property {Map<string, string>} taskNames Names of all tasks by id.
 * @property {[string, string][]} startable Tasks that have not begun.
 * @property {[string, string][]} waiting Tasks whose start another task sets.
 * @property {Map<string, [string, string][]>} waits What sets it, by task.
 * @property {[string, string][]} trades Trades with open work, those first that set the finish most.
 * @property {[string, string][]} zones Zones with open work.
 * @property {[string, string][]} risks That are not settled.
 * @property {[string, string][]} calendars
 * @property {[string, string][]} expedites Of which something is left.
 * @property {Map<string, any>} expediteLines All of them as lines of the expedites answer, by id.
 * @property {string} asOf
 * @property {string} finish
 */

/** Each kind of change: how it is offered and among what, its first values, its sentence, and what is to know of it. */
export const KINDS = {
  vendor_late: {
    title: t`A vendor is late`,
    group: t`Items that are away`,
    needs: "vendors",
    fresh: ({ vendors }) => ({ vendor: vendors[0][0], days: 30 }),
    sentence: (slot, { vendors }) =>
      t`${slot.choice("vendor", t`Vendor`, vendors)} is late by ${slot.number("days", t`Days late`, 0)} vendor days, with all open items.`,
  },
  send_out_late: {
    title: t`One item is late`,
    group: t`Items that are away`,
    needs: "items",
    fresh: ({ items }) => ({ send_out: items[0][0], days: 30 }),
    sentence: (slot, { items }) =>
      t`${slot.choice("send_out", t`Item`, items)} is late by ${slot.number("days", t`Days late`, 0)} days.`,
  },
  vendor_swapped: {
    title: t`An item goes to another vendor`,
    group: t`Items that are away`,
    needs: "itemsHere",
    fresh: ({ itemsHere, allVendors }) => ({ send_out: itemsHere[0][0], vendor: allVendors[0][0], lead_days: 30 }),
    sentence: (slot, { itemsHere, allVendors }) =>
      t`${slot.choice("send_out", t`Item`, itemsHere)} goes to ${slot.choice("vendor", t`Other vendor`, allVendors)} who takes ${slot.number("lead_days", t`Days of work`, 1)} days.`,
  },
  bought_as_exchange: {
    title: t`Buy an exchange unit`,
    group: t`Items that are away`,
    needs: "itemsAtVendor",
    fresh: ({ itemsAtVendor }) => ({ send_out: itemsAtVendor[0][0], lead_days: 20 }),
    sentence: (slot, { itemsAtVendor }) =>
      t`Instead of waiting for ${slot.choice("send_out", t`Item`, itemsAtVendor)}, buy an exchange unit that leaves its vendor in ${slot.number("lead_days", t`Days from the order`, 1)} days.`,
  },
  task_takes: {
    title: t`A task takes other days`,
    group: t`Work`,
    needs: "tasks",
    fresh: ({ tasks, taskDays }) => ({ task: tasks[0][0], days: taskDays.get(tasks[0][0]) }),
    sentence: (slot, { tasks }) =>
      t`${slot.choice("task", t`Task`, tasks)} takes ${slot.number("days", t`Days in all`, 0.1, 0.1)} days in all.`,
    /** Another task comes with days of its own. */
    rechosen: (change, { taskDays }) => {
      change.days = taskDays.get(change.task);
    },
  },
  task_not_before: {
    title: t`A task does not start before a date`,
    group: t`Work`,
    needs: "startable",
    fresh: ({ startable, taskStarts }) => ({ task: startable[0][0], on: taskStarts.get(startable[0][0]) }),
    sentence: (slot, { startable }) =>
      t`${slot.choice("task", t`Task`, startable)} does not start before ${slot.date("on", t`Not before`)}.`,
    rechosen: (change, { taskStarts }) => {
      change.on = taskStarts.get(change.task) ?? change.on;
    },
  },
  wait_dropped: {
    title: t`A task does not wait for another`,
    group: t`Work`,
    needs: "waiting",
    fresh: ({ waiting, waits }) => ({ task: waiting[0][0], before: waits.get(waiting[0][0])[0][0] }),
    sentence: (slot, { waiting, waits, taskNames }, { task, before }) => {
      const known = waits.get(task) ?? [];
      const isNamed = known.some(([id]) => id === before) || !taskNames.has(before);
      const offered = isNamed ? known : [[before, taskNames.get(before)], ...known];
      return t`${slot.choice("task", t`Task`, waiting)} does not wait for ${slot.choice("before", t`What it waits for`, offered)}.`;
    },
    hint: t`What sets its start is offered; not to wait for anything else would move nothing.`,
    rechosen: (change, { waits }) => {
      const known = waits.get(change.task) ?? [];
      if (!known.some(([id]) => id === change.before)) change.before = known[0]?.[0] ?? change.before;
    },
  },
  risk_settled: {
    title: t`A risk strikes, or does not`,
    group: t`Work`,
    needs: "risks",
    fresh: ({ risks }) => ({ risk: risks[0][0], strikes: true }),
    sentence: (slot, { risks }) =>
      t`${slot.choice("risk", t`Risk`, risks)} ${slot.choice("strikes", t`Whether it strikes`, [["true", t`strikes`], ["false", t`does not strike`]])}.`,
  },
  zone_slower: {
    title: t`Work in a zone takes longer`,
    group: t`Work`,
    needs: "zones",
    fresh: ({ zones }) => ({ zone: zones[0][0], percent: 20 }),
    sentence: (slot, { zones }) =>
      t`All work in ${slot.choice("zone", t`Zone`, zones)} takes ${slot.number("percent", t`Percent longer`, -90, 1, 900)} % longer.`,
  },
  trade_slower: {
    title: t`Work of a trade takes longer`,
    group: t`People`,
    needs: "trades",
    fresh: ({ trades }) => ({ trade: trades[0][0], percent: 20 }),
    sentence: (slot, { trades }) =>
      t`All work of ${slot.choice("trade", t`Trade`, trades)} takes ${slot.number("percent", t`Percent longer`, -90, 1, 900)} % longer.`,
  },
  one_more_hand: {
    title: t`One more hand`,
    group: t`People`,
    needs: "trades",
    fresh: ({ trades, asOf }) => ({ trade: trades[0][0], first: addDays(asOf, 28) }),
    sentence: (slot, { trades }) => t`One more hand for ${slot.choice("trade", t`Trade`, trades)} from ${slot.date("first", t`From`)}.`,
  },
  trade_away: {
    title: t`A trade is away`,
    group: t`People`,
    needs: "trades",
    fresh: ({ trades, asOf }) => ({ trade: trades[0][0], first: addDays(asOf, 28), last: addDays(asOf, 41) }),
    sentence: (slot, { trades }) =>
      t`${slot.choice("trade", t`Trade`, trades)} is away from ${slot.date("first", t`From`)} to ${slot.date("last", t`To`)}.`,
  },
  trade_days: {
    title: t`A trade works one more weekday`,
    group: t`People`,
    needs: "trades",
    fresh: ({ trades, asOf, finish }) => ({ trade: trades[0][0], weekday: 5, first: asOf, last: finish }),
    sentence: (slot, { trades }) =>
      t`${slot.choice("trade", t`Trade`, trades)} works full ${slot.choice("weekday", t`Weekday`, WEEKDAY_SLOTS)} from ${slot.date("first", t`From`)} to ${slot.date("last", t`To`)}.`,
  },
  extra_days: {
    title: t`A calendar works one more weekday`,
    group: t`People`,
    needs: "calendars",
    fresh: ({ calendars, dayHours, asOf, finish }) => ({ calendar: calendars[0][0], weekday: 5, first: asOf, last: finish, hours: dayHours[calendars[0][0]] }),
    sentence: (slot, { calendars }) =>
      t`${slot.choice("calendar", t`Calendar`, calendars)} works on ${slot.choice("weekday", t`Weekday`, WEEKDAY_SLOTS)}, ${slot.number("hours", t`Hours`, 0.1, 0.1, 24)} hours, from ${slot.date("first", t`From`)} to ${slot.date("last", t`To`)}.`,
  },
  task_dropped: {
    title: t`Leave a task out`,
    group: t`Work`,
    needs: "tasks",
    fresh: ({ tasks }) => ({ task: tasks[0][0] }),
    sentence: (slot, { tasks }) => t`Leave out ${slot.choice("task", t`Task`, tasks)}.`,
  },
  expedite_taken: {
    title: t`Pull something in`,
    group: t`Work`,
    needs: "expedites",
    fresh: ({ expedites, expediteLines }) => ({ expedite: expedites[0][0], days: daysLeft(expediteLines.get(expedites[0][0])) }),
    sentence: (slot, { expedites, expediteLines }, { expedite }) => {
      const one = expediteLines.get(expedite);
      const days = one?.by_the_day ? slot.number("days", t`Days taken`, 1, 1, daysLeft(one)) : formatNumber(one ? daysLeft(one) : 0);
      const way = slot.choice("expedite", t`Way to pull it in`, expedites);
      return one ? t`Take ${way}, ${days} days.` : t`Take ${way}.`;
    },
    /** Another expedite comes with days of its own. */
    rechosen: (change, { expediteLines }) => {
      change.days = daysLeft(expediteLines.get(change.expedite));
    },
  },
};

/** How much of an expedite can still be taken. [days] */
function daysLeft({ gains_days: gains, taken_days: taken }) {
  return gains - taken;
}

const NUMBERS = new Set(["days", "lead_days", "hours", "weekday", "percent"]);
const YES_OR_NO = new Set(["strikes"]);

/**
 * The sentence of a change, with its slots.
 * @param {Record<string, any>} change Changed in place.
 * @param {Lists} lists
 * @param {() => void} onChange
 */
export function changeSentence(change, lists, onChange) {
  const { sentence, hint, rechosen } = KINDS[change.kind];
  const node = el("span.slots");
  const note = hint ? el("span.soft.no-print", {}, " ", hint) : null;
  const draw = () => fill(node, sentence(slots(change, onChange, rechoose), lists, change), note);
  const rechoose = (name) => {
    if (!rechosen) return;
    rechosen(change, lists);
    draw();
    node.querySelector(`select[name="${name}"]`)?.focus();
  };
  draw();
  return node;
}

/** What is typed or chosen, as the service takes it. */
function read(name, value) {
  if (YES_OR_NO.has(name)) return value === "true";
  return NUMBERS.has(name) ? Number(value) : value;
}

function slots(change, onChange, rechoose) {
  const store = (name, input) => () => {
    const isGood = input.checkValidity();
    input.setAttribute("aria-invalid", String(!isGood));
    input.title = isGood ? "" : input.validationMessage;
    if (!isGood) return;
    change[name] = read(name, input.value);
    if (input.tagName === "SELECT") rechoose(name);
    onChange();
  };
  const listening = (name, input) => {
    input.addEventListener("change", store(name, input));
    return input;
  };
  return {
    choice(name, label, known) {
      const value = String(change[name]);
      const isKnown = known.some(([id]) => id === value);
      const entries = isKnown ? known : [[value, t`${value} (not in the plan now)`], ...known];
      const options = entries.map(([id, text]) =>
        el("option", { value: id, selected: id === value }, text),
      );
      return listening(name, el("select.slot", { name, "aria-label": label }, options));
    },
    number(name, label, min, step = 1, max = 3660) {
      const attributes = { type: "number", "aria-label": label, min, max, step, required: true, value: change[name] };
      return listening(name, el("input.slot.short", { ...attributes, inputmode: "decimal" }));
    },
    date(name, label) {
      return listening(name, el("input.slot.day", { type: "date", "aria-label": label, required: true, value: change[name] }));
    },
  };
}
