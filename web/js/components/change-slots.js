/** Changes of a what-if case as sentences with slots to fill. */

import { el, fill } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";

const WEEKDAYS = ["Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays"];

/**
 * @typedef {object} Lists What the slots offer, as [id, name] pairs.
 * @property {[string, string][]} vendors Vendors with work to do.
 * @property {[string, string][]} allVendors
 * @property {[string, string][]} items Open send-outs.
 * @property {any[]} openItems The same as lines of the Away answer.
 * @property {[string, string][]} itemsHere Send-outs that have not left.
 * @property {[string, string][]} itemsAtVendor Send-outs that have not left their vendor.
 * @property {[string, string][]} tasks Tasks that are not done.
 * @property {[string, string][]} calendars
 * @property {[string, string][]} expedites Of which something is left.
 * @property {Map<string, any>} expediteLines All of them as lines of the expedites answer, by id.
 * @property {string} asOf
 * @property {string} finish
 */

/** Each kind of change: how it is offered, its first values, and its sentence. */
export const KINDS = {
  vendor_late: {
    title: "A vendor is late",
    needs: "vendors",
    fresh: ({ vendors }) => ({ vendor: vendors[0][0], days: 30 }),
    sentence: (slot, { vendors }) => [
      slot.choice("vendor", "Vendor", vendors), " is late by ", slot.number("days", "Days late", 0), " vendor days, with all open items.",
    ],
  },
  send_out_late: {
    title: "One item is late",
    needs: "items",
    fresh: ({ items }) => ({ send_out: items[0][0], days: 30 }),
    sentence: (slot, { items }) => [
      slot.choice("send_out", "Item", items), " is late by ", slot.number("days", "Days late", 0), " days.",
    ],
  },
  vendor_swapped: {
    title: "An item goes to another vendor",
    needs: "itemsHere",
    fresh: ({ itemsHere, allVendors }) => ({ send_out: itemsHere[0][0], vendor: allVendors[0][0], lead_days: 30 }),
    sentence: (slot, { itemsHere, allVendors }) => [
      slot.choice("send_out", "Item", itemsHere), " goes to ", slot.choice("vendor", "Other vendor", allVendors),
      " who takes ", slot.number("lead_days", "Days of work", 1), " days.",
    ],
  },
  bought_as_exchange: {
    title: "Buy an exchange unit",
    needs: "itemsAtVendor",
    fresh: ({ itemsAtVendor }) => ({ send_out: itemsAtVendor[0][0], lead_days: 20 }),
    sentence: (slot, { itemsAtVendor }) => [
      "Instead of waiting for ", slot.choice("send_out", "Item", itemsAtVendor), ", buy an exchange unit that leaves its vendor in ",
      slot.number("lead_days", "Days from the order", 1), " days.",
    ],
  },
  extra_days: {
    title: "Work on one more weekday",
    needs: "calendars",
    fresh: ({ calendars, dayHours, asOf, finish }) => ({ calendar: calendars[0][0], weekday: 5, first: asOf, last: finish, hours: dayHours[calendars[0][0]] }),
    sentence: (slot, { calendars }) => [
      slot.choice("calendar", "Calendar", calendars), " works on ",
      slot.choice("weekday", "Weekday", WEEKDAYS.map((name, at) => [String(at), name])), ", ",
      slot.number("hours", "Hours", 0.1, 0.1, 24), " hours, from ", slot.date("first", "From"), " to ", slot.date("last", "To"), ".",
    ],
  },
  task_dropped: {
    title: "Leave a task out",
    needs: "tasks",
    fresh: ({ tasks }) => ({ task: tasks[0][0] }),
    sentence: (slot, { tasks }) => ["Leave out ", slot.choice("task", "Task", tasks), "."],
  },
  expedite_taken: {
    title: "Pull something in",
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

const NUMBERS = new Set(["days", "lead_days", "hours", "weekday"]);

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
  const rechoose = () => {
    if (!rechosen) return;
    rechosen(change, lists);
    draw();
    node.querySelector("select").focus();
  };
  draw();
  return node;
}

function slots(change, onChange, rechoose) {
  const store = (name, input) => () => {
    const isGood = input.checkValidity();
    input.setAttribute("aria-invalid", String(!isGood));
    input.title = isGood ? "" : input.validationMessage;
    if (!isGood) return;
    change[name] = NUMBERS.has(name) ? Number(input.value) : input.value;
    if (input.tagName === "SELECT") rechoose();
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
