/** Changes of a what-if case as sentences with slots to fill. */

import { el, fill } from "../lib/dom.js";
import { addDays, formatNumber } from "../lib/format.js";

const WEEKDAYS = ["Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays"];
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

/** Each kind of change: how it is offered and among what, its first values, and its sentence. */
export const KINDS = {
  vendor_late: {
    title: "A vendor is late",
    group: "Items that are away",
    needs: "vendors",
    fresh: ({ vendors }) => ({ vendor: vendors[0][0], days: 30 }),
    sentence: (slot, { vendors }) => [
      slot.choice("vendor", "Vendor", vendors), " is late by ", slot.number("days", "Days late", 0), " vendor days, with all open items.",
    ],
  },
  send_out_late: {
    title: "One item is late",
    group: "Items that are away",
    needs: "items",
    fresh: ({ items }) => ({ send_out: items[0][0], days: 30 }),
    sentence: (slot, { items }) => [
      slot.choice("send_out", "Item", items), " is late by ", slot.number("days", "Days late", 0), " days.",
    ],
  },
  vendor_swapped: {
    title: "An item goes to another vendor",
    group: "Items that are away",
    needs: "itemsHere",
    fresh: ({ itemsHere, allVendors }) => ({ send_out: itemsHere[0][0], vendor: allVendors[0][0], lead_days: 30 }),
    sentence: (slot, { itemsHere, allVendors }) => [
      slot.choice("send_out", "Item", itemsHere), " goes to ", slot.choice("vendor", "Other vendor", allVendors),
      " who takes ", slot.number("lead_days", "Days of work", 1), " days.",
    ],
  },
  bought_as_exchange: {
    title: "Buy an exchange unit",
    group: "Items that are away",
    needs: "itemsAtVendor",
    fresh: ({ itemsAtVendor }) => ({ send_out: itemsAtVendor[0][0], lead_days: 20 }),
    sentence: (slot, { itemsAtVendor }) => [
      "Instead of waiting for ", slot.choice("send_out", "Item", itemsAtVendor), ", buy an exchange unit that leaves its vendor in ",
      slot.number("lead_days", "Days from the order", 1), " days.",
    ],
  },
  task_takes: {
    title: "A task takes other days",
    group: "Work",
    needs: "tasks",
    fresh: ({ tasks, taskDays }) => ({ task: tasks[0][0], days: taskDays.get(tasks[0][0]) }),
    sentence: (slot, { tasks }) => [
      slot.choice("task", "Task", tasks), " takes ", slot.number("days", "Days in all", 0.1, 0.1), " days in all.",
    ],
    /** Another task comes with days of its own. */
    rechosen: (change, { taskDays }) => {
      change.days = taskDays.get(change.task);
    },
  },
  task_not_before: {
    title: "A task does not start before a date",
    group: "Work",
    needs: "startable",
    fresh: ({ startable, taskStarts }) => ({ task: startable[0][0], on: taskStarts.get(startable[0][0]) }),
    sentence: (slot, { startable }) => [
      slot.choice("task", "Task", startable), " does not start before ", slot.date("on", "Not before"), ".",
    ],
    rechosen: (change, { taskStarts }) => {
      change.on = taskStarts.get(change.task) ?? change.on;
    },
  },
  wait_dropped: {
    title: "A task does not wait for another",
    group: "Work",
    needs: "waiting",
    fresh: ({ waiting, waits }) => ({ task: waiting[0][0], before: waits.get(waiting[0][0])[0][0] }),
    sentence: (slot, { waiting, waits, taskNames }, { task, before }) => {
      const known = waits.get(task) ?? [];
      const isNamed = known.some(([id]) => id === before) || !taskNames.has(before);
      const offered = isNamed ? known : [[before, taskNames.get(before)], ...known];
      return [slot.choice("task", "Task", waiting), " does not wait for ", slot.choice("before", "What it waits for", offered), "."];
    },
    rechosen: (change, { waits }) => {
      const known = waits.get(change.task) ?? [];
      if (!known.some(([id]) => id === change.before)) change.before = known[0]?.[0] ?? change.before;
    },
  },
  risk_settled: {
    title: "A risk strikes, or does not",
    group: "Work",
    needs: "risks",
    fresh: ({ risks }) => ({ risk: risks[0][0], strikes: true }),
    sentence: (slot, { risks }) => [
      slot.choice("risk", "Risk", risks), " ", slot.choice("strikes", "Whether it strikes", [["true", "strikes"], ["false", "does not strike"]]), ".",
    ],
  },
  zone_slower: {
    title: "Work in a zone takes longer",
    group: "Work",
    needs: "zones",
    fresh: ({ zones }) => ({ zone: zones[0][0], percent: 20 }),
    sentence: (slot, { zones }) => [
      "All work in ", slot.choice("zone", "Zone", zones), " takes ", slot.number("percent", "Percent longer", -90, 1, 900), " % longer.",
    ],
  },
  trade_slower: {
    title: "Work of a trade takes longer",
    group: "People",
    needs: "trades",
    fresh: ({ trades }) => ({ trade: trades[0][0], percent: 20 }),
    sentence: (slot, { trades }) => [
      "All work of ", slot.choice("trade", "Trade", trades), " takes ", slot.number("percent", "Percent longer", -90, 1, 900), " % longer.",
    ],
  },
  one_more_hand: {
    title: "One more hand",
    group: "People",
    needs: "trades",
    fresh: ({ trades, asOf }) => ({ trade: trades[0][0], first: addDays(asOf, 28) }),
    sentence: (slot, { trades }) => ["One more hand for ", slot.choice("trade", "Trade", trades), " from ", slot.date("first", "From"), "."],
  },
  trade_away: {
    title: "A trade is away",
    group: "People",
    needs: "trades",
    fresh: ({ trades, asOf }) => ({ trade: trades[0][0], first: addDays(asOf, 28), last: addDays(asOf, 41) }),
    sentence: (slot, { trades }) => [
      slot.choice("trade", "Trade", trades), " is away from ", slot.date("first", "From"), " to ", slot.date("last", "To"), ".",
    ],
  },
  trade_days: {
    title: "A trade works one more weekday",
    group: "People",
    needs: "trades",
    fresh: ({ trades, asOf, finish }) => ({ trade: trades[0][0], weekday: 5, first: asOf, last: finish }),
    sentence: (slot, { trades }) => [
      slot.choice("trade", "Trade", trades), " works full ", slot.choice("weekday", "Weekday", WEEKDAY_SLOTS),
      " from ", slot.date("first", "From"), " to ", slot.date("last", "To"), ".",
    ],
  },
  extra_days: {
    title: "A calendar works one more weekday",
    group: "People",
    needs: "calendars",
    fresh: ({ calendars, dayHours, asOf, finish }) => ({ calendar: calendars[0][0], weekday: 5, first: asOf, last: finish, hours: dayHours[calendars[0][0]] }),
    sentence: (slot, { calendars }) => [
      slot.choice("calendar", "Calendar", calendars), " works on ",
      slot.choice("weekday", "Weekday", WEEKDAY_SLOTS), ", ",
      slot.number("hours", "Hours", 0.1, 0.1, 24), " hours, from ", slot.date("first", "From"), " to ", slot.date("last", "To"), ".",
    ],
  },
  task_dropped: {
    title: "Leave a task out",
    group: "Work",
    needs: "tasks",
    fresh: ({ tasks }) => ({ task: tasks[0][0] }),
    sentence: (slot, { tasks }) => ["Leave out ", slot.choice("task", "Task", tasks), "."],
  },
  expedite_taken: {
    title: "Pull something in",
    group: "Work",
    needs: "expedites",
    fresh: ({ expedites, expediteLines }) => ({ expedite: expedites[0][0], days: daysLeft(expediteLines.get(expedites[0][0])) }),
    sentence: (slot, { expedites, expediteLines }, { expedite }) => {
      const one = expediteLines.get(expedite);
      const days = one?.by_the_day ? slot.number("days", "Days taken", 1, 1, daysLeft(one)) : formatNumber(one ? daysLeft(one) : 0);
      return ["Take ", slot.choice("expedite", "Way to pull it in", expedites), one ? [", ", days, " days."] : "."];
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
  const { sentence, rechosen } = KINDS[change.kind];
  const node = el("span.slots");
  const draw = () => fill(node, sentence(slots(change, onChange, rechoose), lists, change));
  const rechoose = (label) => {
    if (!rechosen) return;
    rechosen(change, lists);
    draw();
    [...node.querySelectorAll("select")].find((one) => one.getAttribute("aria-label") === label)?.focus();
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
    if (input.tagName === "SELECT") rechoose(input.getAttribute("aria-label"));
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
      const entries = isKnown ? known : [[value, `${value} (not in the plan now)`], ...known];
      const options = entries.map(([id, text]) =>
        el("option", { value: id, selected: id === value }, text),
      );
      return listening(name, el("select.slot", { "aria-label": label }, options));
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
