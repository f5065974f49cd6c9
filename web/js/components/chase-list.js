/**
 * Who to chase first, on Today and on Away alike: items by what the finish would gain on average
 * if each came back as planned, then whoever is due a call for another reason.
 *
 * What is in sight keeps its order until the reader asks for another: no button moves away from
 * under the finger.
 */

import { datedText, el, fill, when } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";
import { follow } from "../lib/simulation.js";
import { t } from "../lib/text.js";
import { whereabouts } from "./send-out-words.js";
import { answerFor, UNKNOWN } from "./spread-slot.js";

/** A smaller gain is not worth a call by itself. [calendar days] */
const LEAST_GAIN = 0.5;
const MOST_RANKED = 6;

export class ChaseList {
  /**
   * @param {HTMLElement} place
   * @param {object} parts
   * @param {(item: any) => HTMLElement} parts.link How an item is named.
   * @param {(item: any) => HTMLElement | null} [parts.action] What can be done about it.
   * @param {(count: number) => void} [parts.onDrawn] Told how many stand in it.
   */
  constructor(place, { link, action = () => null, onDrawn = () => {} }) {
    Object.assign(this, { link, action, onDrawn });
    this.note = el("div.chase-note.no-print", { role: "status" });
    this.lists = el("div");
    fill(place, this.note, this.lists);
    /** What the service last said of the gains; undefined: nothing yet. */
    this.answer = undefined;
    /** What the order in sight was made of; null: of the calls that are due alone. */
    this.causes = null;
    /** Items and calls of a version of the plan. */
    this.plan = null;
    this.isDrawn = false;
  }

  /**
   * Follow the gains for as long as the sheet is open.
   * @param {string} path `sheet.path("/causes")`
   * @returns {Promise<void>} Once the first answer is there, or none can be had.
   */
  follow(path) {
    return new Promise((resolve) => {
      follow(path, (answer) => {
        this.told(answer);
        resolve();
      });
    });
  }

  /** @param {import("../lib/simulation.js").Answer | null} answer Null where none can be had. */
  told(answer) {
    const [before, now] = [this.answer, answer ?? UNKNOWN];
    this.answer = now;
    const isNews = before?.state !== now.state || before?.plan_version !== now.plan_version;
    if (this.plan && isNews) this.#draw();
  }

  /** @param {{items: any[], calls: any[], version: number}} plan What is away, and whom a call is due. */
  show(plan) {
    this.plan = plan;
    if (this.answer !== undefined) this.#draw();
  }

  #draw() {
    const { state, result } = answerFor(this.answer, this.plan.version);
    const isNewOrder = result && this.isDrawn && orderOf(this.plan, result) !== orderOf(this.plan, this.causes);
    if (result && !isNewOrder) this.causes = result;
    this.isDrawn = true;
    const { ranked, due } = this.#entries();
    this.onDrawn(ranked.length + due.length);
    fill(
      this.lists,
      ranked.length ? el("ol.chase", {}, ranked) : null,
      ranked.length && due.length ? el("p.chase-more", {}, t`Due a call as well`) : null,
      due.length ? el(ranked.length ? "ul.chase" : "ol.chase", { role: "list" }, due) : null,
      ranked.length || due.length ? null : el("p.empty-state", {}, nobody(this.causes)),
    );
    if (isNewOrder) this.#offer(result);
    else fill(this.note, el("p.soft", {}, standing(state, this.causes)));
  }

  #offer(causes) {
    const take = () => {
      this.causes = causes;
      this.#draw();
      this.lists.querySelector("a")?.focus({ preventScroll: true });
    };
    const words = el("p", {}, t`What a call brings is known now.`);
    fill(this.note, words, el("button.button", { type: "button", onclick: take }, t`Put in that order`));
  }

  #entries() {
    const { items, calls } = this.plan;
    const known = new Map(items.map((item) => [item.id, item]));
    const due = new Map(calls.map((call) => [call.send_out, call]));
    const entry = (item, call, ...why) => line({ item, call, link: this.link, action: this.action }, why);
    const ranked = rankedItems(this.causes ?? [], known);
    const named = new Set(ranked.map(({ cause }) => cause.id));
    const others = calls.filter(({ send_out: id }) => known.has(id) && !named.has(id));
    return {
      ranked: ranked.map(({ cause, item, together }) => entry(item, due.get(item.id), gain(cause), together && gainTogether(together))),
      due: others.map((call) => entry(known.get(call.send_out), call)),
    };
  }
}

/** Which items come by their gain, as one word. */
function orderOf({ items }, causes) {
  const known = new Map(items.map((item) => [item.id, item]));
  return rankedItems(causes ?? [], known).map(({ item }) => item.id).join(" ");
}

/** By what the order in sight was made, and whether another comes. */
function standing(state, causes) {
  if (state === "ready") return t`What brings the finish forward most comes first.`;
  if (state !== "running") return causes ? t`By what a call brought before the last change.` : t`What a call brings is not known.`;
  return causes ? t`By what a call brought before the last change; that is being computed anew.` : t`What a call brings is being computed.`;
}

/** Items worth a call, with what all open items of their vendor would gain where that is more. */
function rankedItems(causes, items) {
  const worth = causes.filter(({ kind, id, gain_days: gain }) => kind === "send_out" && items.has(id) && gain >= LEAST_GAIN);
  const told = new Set();
  return worth.slice(0, MOST_RANKED).map((cause) => {
    const item = items.get(cause.id);
    const vendor = causes.find(({ kind, id }) => kind === "vendor" && id === item.vendor);
    const isMore = vendor && vendor.gain_days >= cause.gain_days + LEAST_GAIN && !told.has(item.vendor);
    told.add(item.vendor);
    return { cause, item, together: isMore ? vendor : null };
  });
}

function gain({ gain_days: days }) {
  return el(
    "p",
    {},
    t`The finish would come ${el("strong", {}, t`${formatDays(whole(days))} sooner`)} on average, if this came back exactly as planned.`,
  );
}

function gainTogether({ name, gain_days: days }) {
  return el("p", {}, t`All that ${name} has to do, done as planned: ${formatDays(whole(days))} sooner.`);
}

function whole(days) {
  return Math.max(1, Math.round(days));
}

function line({ item, call, link, action }, why) {
  const button = action(item);
  return el(
    "li",
    {},
    el("h3", {}, link(item)),
    why,
    call ? el("p", {}, datedText(reason(call, item))) : null,
    call?.back ? el("p", {}, t`8 chances in 10 to be back by ${when(call.back.p80)}.`) : null,
    el("p.soft", {}, whereabouts(item), " ", lastWord(item, call)),
    button ? el("p", {}, button) : null,
  );
}

function lastWord(item, call) {
  const last = call?.last_contact ?? item.contacts.map(({ on }) => on).sort().at(-1);
  if (last) return t`Last call noted ${when(last)}.`;
  if (call) return "";
  return item.silent_days ? t`No word for ${formatDays(item.silent_days)}.` : t`No call noted yet.`;
}

/** Why to call, without the name that stands before it already. */
function reason({ why }, { name }) {
  const text = why.startsWith(`${name}: `) ? why.slice(name.length + 2) : why;
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function nobody(causes) {
  return causes
    ? t`Nobody needs a call: no item would bring the finish forward, and every vendor has been in touch.`
    : t`Nobody needs a call: every vendor has time or has been in touch.`;
}
