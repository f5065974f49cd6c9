/**
 * Tracing zones on a picture, corner by corner: by finger, by mouse, or by keyboard alone.
 *
 * A zone is chosen in the list, a tap on the picture sets a corner, a corner is moved by finger or
 * with the arrow keys. Each step is said in words and can be taken back; the form around it saves.
 */

import { el, fill, svg } from "../lib/dom.js";
import { formatShare } from "../lib/format.js";
import { many, t } from "../lib/text.js";
import { drawPicture } from "./airframe.js";
import { pathOf, pictureOf } from "./own-drawing.js";

const FEWEST = 3;
const STEP = 0.005;
const LONG_STEP = 0.05;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
/** What a finger can touch, across; less where the next corner is near, or is still to be set. [px] */
const FINGER = 44;
const LEAST_FINGER = 24;
const CORNER = 12;
/** [ms] */
const JUST_NOW = 100;
/** Less is a hand that is not steady. [px] */
const SLIP = 4;

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {import("./own-drawing.js").Drawing} drawing
 * @param {{id: string, name: string}[]} zones
 * @returns {{node: HTMLElement, read: () => {zone: string, corners: [number, number][]}[]}}
 */
export function tracing(sheet, drawing, zones) {
  const one = new Tracing(sheet, drawing, zones);
  return { node: one.node, read: () => one.read() };
}

class Tracing {
  constructor(sheet, drawing, zones) {
    this.zones = zones;
    this.readOnly = sheet.readOnly;
    this.picture = pictureOf(sheet, drawing);
    /** @type {Map<string, [number, number][]>} */
    this.outlines = new Map(drawing.outlines.map(({ zone, corners }) => [zone, corners]));
    this.zone = null;
    this.corner = null;
    /** A tap sets the next corner. */
    this.isOpen = false;
    /** What was before each step. */
    this.past = [];
    /** The corner that a finger holds: the page does not scroll meanwhile. */
    this.held = null;
    /** The click that ends a move sets no corner. */
    this.letGoAt = -Infinity;
    this.list = el("div.tracing-zones", { role: "group", "aria-label": t`Zones` });
    this.told = el("p.tracing-told", { role: "status", "aria-live": "polite" }, t`Choose a zone, then tap its corners on the picture.`);
    this.tools = el("div.button-row");
    this.canvas = this.#canvas();
    this.node = el(
      "fieldset.tracing",
      { "data-field": "outlines", "data-entry": true },
      el("legend.label", {}, t`Zones on the drawing`),
      this.readOnly ? null : this.list,
      this.canvas,
      this.readOnly ? null : [this.told, this.tools],
    );
    new ResizeObserver(() => this.#drawOutlines()).observe(this.canvas);
    this.#draw();
  }

  /** What is traced, in the order of the zones. */
  read() {
    return [...this.outlines].map(([zone, corners]) => ({ zone, corners }));
  }

  #canvas() {
    const { width, height } = this.picture;
    this.shapes = svg("g");
    const canvas = svg("svg", { viewBox: `0 0 ${width} ${height}`, width, height, role: "group", "aria-label": t`The picture` }, drawPicture(this.picture), this.shapes);
    if (!this.readOnly) {
      canvas.addEventListener("click", (event) => this.#tap(event));
      canvas.addEventListener("keydown", (event) => this.#key(event));
      canvas.addEventListener("pointerdown", (event) => this.#grab(event));
      canvas.addEventListener("touchmove", (event) => this.held !== null && event.preventDefault(), { passive: false });
    }
    return canvas;
  }

  #draw() {
    this.#drawList();
    this.#drawTools();
    this.#drawOutlines();
  }

  #drawList() {
    const button = (zone) => {
      const count = this.outlines.get(zone.id)?.length ?? 0;
      const note = count ? el("small", {}, ` ${corners(count)}`) : null;
      return el("button.button", { type: "button", "aria-pressed": String(zone.id === this.zone), "data-trace": zone.id, onclick: () => this.#choose(zone.id) }, nameOf(zone), note);
    };
    const isDrawn = ({ id }) => this.outlines.has(id);
    const row = (title, some) => (some.length ? el("div.tracing-row", {}, el("span.label", {}, title), some.map(button)) : null);
    const held = this.list.contains(document.activeElement) ? this.zone : null;
    fill(this.list, row(t`Not drawn yet`, this.zones.filter((zone) => !isDrawn(zone))), row(t`Drawn`, this.zones.filter(isDrawn)));
    if (held) this.list.querySelector(`[data-trace="${CSS.escape(held)}"]`)?.focus();
  }

  #drawTools() {
    const at = this.#corners();
    const tool = (text, act, isAwake) => el("button.button", { type: "button", disabled: !isAwake, onclick: act }, text);
    const held = [...this.tools.children].indexOf(document.activeElement);
    fill(
      this.tools,
      tool(t`Set a corner`, () => this.#add(), this.zone !== null),
      tool(t`Take the corner away`, () => this.#takeCorner(), this.corner !== null),
      tool(t`Close the outline`, () => this.#close(), this.isOpen && at.length >= FEWEST),
      tool(t`Take the outline away`, () => this.#takeOutline(), at.length > 0),
      tool(t`One step back`, () => this.#back(), this.past.length > 0),
    );
    const again = this.tools.children[held];
    if (again) (again.disabled ? this.tools.querySelector("button:enabled") : again)?.focus();
  }

  #drawOutlines() {
    const unit = 1 / (this.canvas.getScreenCTM()?.a || 1);
    const shape = ([zone, at]) => {
      const isChosen = zone === this.zone;
      const node = svg("path", { class: isChosen ? "outline chosen" : "outline", d: pathOf(at, this.picture), "data-outline": zone });
      return isChosen ? [node, at.map((corner, number) => this.#handle(corner, number, unit))] : node;
    };
    const focused = this.shapes.contains(document.activeElement);
    fill(this.shapes, [...this.outlines].sort(([one]) => (one === this.zone ? 1 : -1)).map(shape));
    if (focused) this.#focusCorner();
  }

  #handle(corner, number, unit) {
    const side = CORNER * unit;
    return svg(
      "g",
      {
        class: number === this.corner ? "corner selected" : "corner",
        role: "button",
        tabindex: "0",
        "data-corner": number,
        "aria-pressed": String(number === this.corner),
        "aria-label": this.#cornerWords(number),
        transform: this.#shift(corner),
      },
      svg("circle", { class: "finger", r: this.#reach(number, unit) / 2 }),
      svg("rect", { class: "dot", x: -side / 2, y: -side / 2, width: side, height: side }),
    );
  }

  #shift([x, y]) {
    return `translate(${x * this.picture.width} ${y * this.picture.height})`;
  }

  /** How far around a corner a finger takes hold of it, across: no further than half way to the next. */
  #reach(number, unit) {
    if (this.isOpen) return LEAST_FINGER * unit;
    const { width, height } = this.picture;
    const [x, y] = this.#corners()[number];
    const others = this.#corners().filter((_, place) => place !== number);
    const nearest = Math.min(...others.map(([right, down]) => Math.hypot((right - x) * width, (down - y) * height)));
    return Math.max(LEAST_FINGER * unit, Math.min(FINGER * unit, nearest));
  }

  #corners() {
    return this.outlines.get(this.zone) ?? [];
  }

  #cornerWords(number) {
    const [x, y] = this.#corners()[number];
    return t`Corner ${number + 1} of ${this.#name()}: ${formatShare(x)} from the left, ${formatShare(y)} from the top`;
  }

  #name() {
    const zone = this.zones.find(({ id }) => id === this.zone);
    return zone ? nameOf(zone) : this.zone;
  }

  #say(text) {
    this.told.textContent = text;
  }

  #focusCorner() {
    this.shapes.querySelector(`[data-corner="${this.corner}"]`)?.focus({ preventScroll: true });
  }

  /** Keep what was, so that the step can be taken back; and the form is one that somebody works on. */
  #remember() {
    this.node.dispatchEvent(new Event("input", { bubbles: true }));
    this.past.push({ zone: this.zone, corner: this.corner, isOpen: this.isOpen, outlines: new Map(this.outlines) });
  }

  #put(at) {
    if (at.length) this.outlines.set(this.zone, at);
    else this.outlines.delete(this.zone);
  }

  #choose(zone) {
    this.zone = zone;
    this.corner = null;
    this.isOpen = !this.outlines.has(zone);
    this.#draw();
    const count = this.#corners().length;
    this.#say(count ? t`${this.#name()}: ${corners(count)}. Move one by finger or with the arrow keys.` : t`${this.#name()}: tap its corners on the picture, one after the other.`);
  }

  /** A tap on a corner takes hold of it, on the first one closes the outline; elsewhere it sets one. */
  #tap(event) {
    if (event.timeStamp - this.letGoAt < JUST_NOW) return;
    if (this.zone === null) {
      this.#say(t`Choose a zone first.`);
      return;
    }
    const handle = event.target.closest("[data-corner]");
    if (handle) this.#touch(Number(handle.dataset.corner));
    else if (this.isOpen) this.#set(this.#place(event));
    else this.#say(t`The outline of ${this.#name()} is closed: “Set a corner” puts one more into it.`);
  }

  #touch(number) {
    if (this.isOpen && number === 0 && this.#corners().length >= FEWEST && this.corner !== 0) {
      this.#close();
      return;
    }
    this.corner = number;
    this.#draw();
    this.#focusCorner();
    this.#say(`${this.#cornerWords(number)}.`);
  }

  #set(corner, after = this.#corners().length - 1) {
    this.#remember();
    this.corner = after + 1;
    this.#put(this.#corners().toSpliced(this.corner, 0, corner));
    this.#draw();
    this.#say(`${this.#cornerWords(this.corner)}.`);
  }

  /** A corner without a tap: in the middle, beside the last one, or half way to the next one. */
  #add() {
    const at = this.#corners();
    if (!at.length) this.#set([0.5, 0.5]);
    else if (this.isOpen) this.#set(within([at.at(-1)[0] + LONG_STEP, at.at(-1)[1]]));
    else {
      const from = this.corner ?? at.length - 1;
      const [one, other] = [at[from], at[(from + 1) % at.length]];
      this.#set(within([(one[0] + other[0]) / 2, (one[1] + other[1]) / 2]), from);
    }
    this.#focusCorner();
  }

  #takeCorner() {
    this.#remember();
    const gone = this.corner;
    this.#put(this.#corners().toSpliced(gone, 1));
    this.corner = this.#corners().length ? Math.max(0, gone - 1) : null;
    this.isOpen ||= this.#corners().length < FEWEST;
    this.#draw();
    this.#say(t`Corner ${gone + 1} of ${this.#name()} taken away; ${corners(this.#corners().length)} left.`);
  }

  #close() {
    this.#remember();
    this.isOpen = false;
    this.corner = null;
    this.#draw();
    this.#say(t`Outline of ${this.#name()} closed: ${corners(this.#corners().length)}. Save when you have traced enough.`);
  }

  #takeOutline() {
    this.#remember();
    this.#put([]);
    this.corner = null;
    this.isOpen = true;
    this.#draw();
    this.#say(t`Outline of ${this.#name()} taken away.`);
  }

  #back() {
    Object.assign(this, this.past.pop());
    this.#draw();
    this.#say(this.zone ? t`One step back. ${this.#name()}: ${corners(this.#corners().length)}.` : t`One step back.`);
  }

  #key(event) {
    const handle = event.target.closest("[data-corner]");
    if (!handle) return;
    const number = Number(handle.dataset.corner);
    const arrow = ARROWS[event.key];
    if (arrow) this.#nudge(number, arrow, event.shiftKey ? LONG_STEP : STEP);
    else if (event.key === "Enter" || event.key === " ") this.#touch(number);
    else if (event.key === "Delete" || event.key === "Backspace") {
      this.corner = number;
      this.#takeCorner();
      this.#focusCorner();
    } else return;
    event.preventDefault();
  }

  #nudge(number, [right, down], step) {
    const [x, y] = this.#corners()[number];
    this.#remember();
    this.corner = number;
    this.#move(number, [x + right * step, y + down * step]);
    this.#drawTools();
    this.#say(`${this.#cornerWords(number)}.`);
  }

  /** The corner that is held stays the same element: a finger lets go of one that is drawn anew. */
  #move(number, corner) {
    this.#put(this.#corners().with(number, within(corner)));
    this.shapes.querySelector(".chosen").setAttribute("d", pathOf(this.#corners(), this.picture));
    for (const handle of this.shapes.querySelectorAll("[data-corner]")) {
      const isMoved = Number(handle.dataset.corner) === number;
      handle.classList.toggle("selected", isMoved);
      handle.setAttribute("aria-pressed", String(isMoved));
      if (!isMoved) continue;
      handle.setAttribute("transform", this.#shift(this.#corners()[number]));
      handle.setAttribute("aria-label", this.#cornerWords(number));
    }
  }

  /** A corner follows the finger that holds it. */
  #grab(event) {
    const handle = event.target.closest("[data-corner]");
    if (!handle || event.button !== 0) return;
    const number = Number(handle.dataset.corner);
    const from = [event.clientX, event.clientY];
    let isMoved = false;
    this.held = number;
    const follow = (moved) => {
      if (!isMoved && Math.hypot(moved.clientX - from[0], moved.clientY - from[1]) < SLIP) return;
      if (!isMoved) this.#remember();
      isMoved = true;
      this.corner = number;
      this.#move(number, this.#place(moved));
    };
    const letGo = () => {
      this.canvas.removeEventListener("pointermove", follow);
      this.held = null;
      if (!isMoved) return;
      this.letGoAt = performance.now();
      this.#drawTools();
      this.#drawOutlines();
      this.#say(`${this.#cornerWords(number)}.`);
    };
    this.canvas.setPointerCapture(event.pointerId);
    this.canvas.addEventListener("pointermove", follow);
    this.canvas.addEventListener("lostpointercapture", letGo, { once: true });
  }

  /** Where on the picture somebody points, as shares of its width and height. */
  #place({ clientX, clientY }) {
    const { x, y } = new DOMPoint(clientX, clientY).matrixTransform(this.canvas.getScreenCTM().inverse());
    return within([x / this.picture.width, y / this.picture.height]);
  }
}

function within(corner) {
  return corner.map((share) => Math.round(Math.min(1, Math.max(0, share)) * 10_000) / 10_000);
}

function corners(count) {
  return many(count, "{n} corner", "{n} corners");
}

function nameOf({ id, name }) {
  return name || id;
}
