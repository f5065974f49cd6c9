/**
 * The schedule in lanes, drawn as one sheet of lines: all bars of a state are one outline, so that
 * thousands are drawn as fast as a few, and only what is in sight is drawn.
 *
 * The figure is the service's. Colours are tokens: the drawing follows day, night and paper.
 */

import { get } from "../lib/api.js";
import { chartFrame } from "../lib/chart-frame.js";
import { dateMarks } from "../lib/date-marks.js";
import { el, fill, svg } from "../lib/dom.js";
import { ink } from "../lib/figure-colours.js";
import { formatDate } from "../lib/format.js";
import { later } from "../lib/later.js";
import { t, told } from "../lib/text.js";
import { inPages } from "./lanes-pages.js";

const DAY_MS = 86_400_000;
/** Width of an A4 page that lies, between its margins. [CSS pixels] */
const PAPER_WIDTH = 1000;
/** Height that is left on the first of its pages, under the name of the sheet and the key, and on the others. [CSS pixels] */
const PAPER_ROOMS = [410, 672];
/** Least width of a day where milestones have their names, and tapers their strokes. [pixels] */
const ROOM_FOR_NAMES = 0.85;
const ROOM_FOR_STROKES = 2;
const ROOM_FOR_MARK = 58;
/** How near to a flag counts as on it. [pixels] */
const NEAR = 9;
/** More points than these in broken lines take a browser long to paint: then they are whole. */
const MOST_BROKEN = 600;
/** A date is in the reader's language already. */
const DATE = { translate: "no" };
/** For how long the pointer rests on a piece of work before it is told. */
const REST_MS = 60;

/** By place, what is drawn there. @type {WeakMap<HTMLElement, LanesDrawing>} */
const drawings = new WeakMap();

/**
 * Draw a figure of lanes, or again with new values: then the whole of it is in sight.
 * @param {HTMLElement} place
 * @param {{path: string, query: Record<string, any>, label: string, table: Node, tableTitle: string,
 *   onOpen: (id: string, sendOut?: string) => void, onShow: (isRoomy: boolean) => void,
 *   tell: (id: string) => Promise<string[]>}} options `tell` says of a piece of work, in lines, what a pointer on it shows.
 * @returns {Promise<LanesDrawing>}
 */
export async function drawLanes(place, options) {
  const figure = await get(options.path, options);
  const canvas = chartFrame(place, options);
  if (!drawings.has(place)) drawings.set(place, new LanesDrawing(canvas));
  const drawing = drawings.get(place);
  Object.assign(drawing, { onOpen: options.onOpen, onShow: options.onShow, tell: options.tell });
  drawing.take(figure);
  return drawing;
}

export class LanesDrawing {
  /** @param {HTMLElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    this.told = el("div.lanes-told", { hidden: true });
    this.tellSoon = later(REST_MS, () => this.#tell());
    new ResizeObserver(() => this.draw()).observe(canvas);
    addEventListener("beforeprint", () => this.#turn(true));
    addEventListener("afterprint", () => this.#turn(false));
    canvas.addEventListener("click", (event) => {
      const found = this.#at(event);
      if (found) this.onOpen(...found.which);
    });
    canvas.addEventListener("pointermove", (event) => this.#point(event));
    canvas.addEventListener("pointerleave", () => this.#point());
  }

  /** @param {{data: any[], layout: any}} figure */
  take({ data, layout }) {
    this.layout = layout;
    this.traces = data.map(readTrace);
    this.meta = layout.meta;
    this.canvas.classList.add("lanes");
    this.show(layout.xaxis.range);
  }

  /** Bring dates into sight. @param {string[]} range The first and the last. */
  show([first, last]) {
    this.range = [first.slice(0, 10), last.slice(0, 10)];
    this.from = instant(first);
    this.to = instant(last);
    [this.canvas.dataset.first, this.canvas.dataset.last] = this.range;
    this.width = 0;
    this.draw();
  }

  /** On paper it is drawn in pages. */
  #turn(isOnPaper) {
    this.isOnPaper = isOnPaper;
    this.width = 0;
    this.draw();
  }

  draw() {
    const width = this.isOnPaper ? PAPER_WIDTH : this.canvas.clientWidth;
    if (!this.layout || !width || width === this.width) return;
    this.width = width;
    const { margin } = this.layout;
    const [left, right] = [margin.l, width - margin.r];
    this.x = (at) => left + ((at - this.from) / (this.to - this.from)) * (right - left);
    const dayWidth = (DAY_MS * (right - left)) / (this.to - this.from);
    this.isRoomy = dayWidth > ROOM_FOR_STROKES;
    this.hasNames = dayWidth > ROOM_FOR_NAMES;
    const pages = this.#pages(this.isOnPaper ? PAPER_ROOMS : [Infinity, Infinity]);
    this.canvas.style.height = pages.length > 1 ? "auto" : `${this.layout.height}px`;
    fill(this.canvas, pages.map((page, place) => this.#sheet(width, page, place)), this.told);
    this.onShow?.(this.isRoomy || !this.traces.find(({ meta }) => meta === "taper").x.length);
  }

  #pages(rooms) {
    const { height, margin, yaxis, shapes } = this.layout;
    const [end] = yaxis.range;
    this.rowHeight = (height - margin.t - margin.b) / end;
    const tops = shapes.filter(({ xref }) => xref === "paper").map(({ y0 }) => y0);
    const feet = this.traces.flatMap(({ bars = [], flags = [] }) => [...bars, ...flags].map(({ row }) => row + 0.5));
    const rowsIn = (room) => (room - margin.t - margin.b) / this.rowHeight - 1;
    return inPages({ end, tops, feet }, rooms.map(rowsIn));
  }

  #sheet(width, page, number) {
    const { margin } = this.layout;
    const top = margin.t + (page.isWithin ? this.rowHeight : 0);
    const bottom = top + (page.to - page.from) * this.rowHeight;
    const height = Math.round(bottom + margin.b);
    const [left, right] = [margin.l, width - margin.r];
    Object.assign(this, { page, plot: { left, top: margin.t, right, bottom } });
    this.y = (row) => top + (row - page.from) * this.rowHeight;
    return this.#drawn(width, height, `lanes-clip-${number}`);
  }

  #drawn(width, height, clip) {
    const { left, top, right, bottom } = this.plot;
    const first = this.y(this.page.from);
    const marks = dateMarks(this.from, this.to, (right - left) / ROOM_FOR_MARK);
    const upright = (at) => `M${round(this.x(at))} ${top}V${bottom}`;
    return svg(
      "svg",
      { width, height, viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" },
      svg(
        "defs",
        {},
        svg("clipPath", { id: clip }, svg("rect", { x: left, y: first, width: right - left, height: bottom - first })),
        this.traces.map(hatch),
      ),
      svg("path", { class: "lanes-rule", d: marks.map(({ at }) => upright(at)).join("") }),
      this.#lines((one) => one.layer === "below"),
      svg("g", { "clip-path": `url(#${clip})` }, this.traces.map((trace, place) => this.#trace(trace, place))),
      this.#lines((one) => one.layer !== "below"),
      marks.map(({ at, text, year }) => axisMark(round(this.x(at)), top, text, year)),
      this.#letters(),
    );
  }

  /** Lines across the sheet, and from top to bottom. */
  #lines(isWanted) {
    const { left, top, right, bottom } = this.plot;
    return this.layout.shapes.filter(isWanted).map(({ xref, x0, y0, line }) => {
      const across = xref === "paper";
      const at = across ? this.y(y0) : this.x(instant(x0));
      if (across ? at < top || at > bottom : at < left || at > right) return null;
      const d = across ? `M${left} ${round(at)}H${right}` : `M${round(at)} ${top}V${bottom}`;
      return inked(svg("path", { d, "stroke-dasharray": dashes(line.dash) }), line);
    });
  }

  /** What stands on this page; the lane that goes on from the page before says so. */
  #letters() {
    const { from, to, isWithin } = this.page;
    const { annotations } = this.layout;
    const lanes = annotations.filter(({ xref }) => xref === "paper");
    const here = lanes.filter(({ y }) => y >= from && y < to);
    const others = annotations.filter(({ xref }) => xref !== "paper");
    return [...here, ...others].map((one) => this.#lettered(one)).concat(isWithin ? this.#goesOn(lanes.findLast(({ y }) => y < from)) : []);
  }

  #goesOn({ name, text, font }) {
    const words = t`${this.#words(name, plain(text))}, continued`;
    return svg("text", { class: "lanes-name", x: this.plot.left + 2, y: this.plot.top + 15, "font-size": font.size }, words);
  }

  #lettered({ name, xref, x, y, yref, text, hovertext, font }) {
    const isName = xref === "paper";
    const at = isName ? this.plot.left + 2 : this.x(instant(x)) + 3;
    if (at < this.plot.left || at > this.plot.right) return null;
    const down = yref === "paper" ? this.plot.bottom + 15 : this.y(y) + 15;
    const whole = hovertext ? svg("title", {}, plain(hovertext)) : null;
    return svg("text", { class: isName ? "lanes-name" : "lanes-note", x: round(at), y: round(down), "font-size": font.size }, whole, this.#words(name, plain(text)));
  }

  #words(name, text) {
    if (name === "as-of") return t`as of ${svg("tspan", DATE, formatDate(this.meta.as_of, "long"))}`;
    return name === "typed" ? text : told(text);
  }

  #trace(trace, place) {
    if (trace.kind === "bars") return this.#bars(trace, place);
    if (trace.kind === "flags") return this.#flags(trace);
    if (trace.meta === "kept" && !this.isRoomy) return null;
    if (trace.kind === "uprights") return inked(svg("path", { d: this.#uprights(trace) }), trace.line);
    const isBroken = trace.x.length <= MOST_BROKEN;
    const path = inked(svg("path", { d: this.#along(trace), "stroke-dasharray": isBroken ? dashes(trace.line.dash) : undefined }), trace.line);
    path.classList.toggle("lanes-many", Boolean(trace.line.dash) && !isBroken);
    if (!trace.fill) return path;
    path.classList.add("lanes-taper");
    const isPlain = trace.meta === "taper" && !this.isRoomy;
    path.style.fill = isPlain ? ink(trace.fillcolor) : `url(#lanes-${place})`;
    if (isPlain) path.style.strokeWidth = "0.4px";
    return path;
  }

  /** All bars of a state. */
  #bars(trace, place) {
    let d = "";
    for (const { from, to, row, height } of trace.bars) {
      if (to < this.from || from > this.to || !this.#isHere(row)) continue;
      const [left, right] = [this.x(from), this.x(to)];
      d += `M${round(left)} ${round(this.y(row - height / 2))}H${round(right)}V${round(this.y(row + height / 2))}H${round(left)}Z`;
    }
    const bars = svg("path", { class: "lanes-bars", d });
    bars.style.fill = trace.pattern ? `url(#lanes-${place})` : ink(trace.ground);
    return bars;
  }

  #uprights({ marks, reach }) {
    const inSight = marks.filter(({ at, row }) => at >= this.from && at <= this.to && this.#isHere(row));
    return inSight.map(({ at, row }) => `M${round(this.x(at))} ${round(this.y(row - reach))}V${round(this.y(row + reach))}`).join("");
  }

  /** Lines through points; a missing one begins another. */
  #along({ x, y, fill: isOutline }) {
    let d = "";
    let begun = 0;
    for (let at = 0; at <= x.length; at += 1) {
      if (at < x.length && x[at] !== null) continue;
      if (begun < at && this.#isInSight(x, begun, at)) {
        for (let one = begun; one < at; one += 1) d += `${one === begun ? "M" : "L"}${round(this.x(x[one]))} ${round(this.y(y[one]))}`;
        if (isOutline) d += "Z";
      }
      begun = at + 1;
    }
    return d;
  }

  #isHere(row) {
    return row >= this.page.from && row <= this.page.to;
  }

  #isInSight(x, begun, ended) {
    let [least, most] = [Infinity, -Infinity];
    for (let at = begun; at < ended; at += 1) {
      if (x[at] < least) least = x[at];
      if (x[at] > most) most = x[at];
    }
    return most >= this.from && least <= this.to;
  }

  #flags({ flags }) {
    const inSight = flags.filter(({ at, row }) => at >= this.from && at <= this.to && this.#isHere(row));
    const drawn = (isOpen) =>
      inSight
        .filter((one) => one.isOpen === isOpen)
        .map(({ at, row }) => `M${round(this.x(at) - 5.5)} ${round(this.y(row) - 4)}h11l-5.5 9Z`)
        .join("");
    return [
      svg("path", { class: "lanes-flag", d: drawn(false) }),
      svg("path", { class: "lanes-flag open", d: drawn(true) }),
      this.hasNames ? inSight.map((one) => this.#flagName(one)) : null,
    ];
  }

  #flagName({ at, row, text, isLeft }) {
    const x = round(this.x(at) + (isLeft ? -9 : 9));
    return svg("text", { class: "lanes-note", x, y: round(this.y(row) + 4), "text-anchor": isLeft ? "end" : "start" }, text);
  }

  /** What stands under the pointer. */
  #at({ clientX, clientY }) {
    if (!this.plot) return null;
    const box = this.canvas.getBoundingClientRect();
    const [x, y] = [clientX - box.left, clientY - box.top];
    if (x < this.plot.left || x > this.plot.right) return null;
    for (const trace of this.traces) {
      for (const one of trace.flags ?? []) {
        if (Math.hypot(this.x(one.at) - x, this.y(one.row) - y) < NEAR) return one;
      }
      for (const one of trace.bars ?? []) {
        const isIn = x >= this.x(one.from) - 2 && x <= this.x(one.to) + 2;
        if (isIn && Math.abs(this.y(one.row) - y) < (one.height * this.rowHeight) / 2 + 1) return one;
      }
    }
    return null;
  }

  /** The pointer moved: what it rests on is told in a moment. */
  #point(event) {
    const found = event?.pointerType === "mouse" ? this.#at(event) : null;
    this.canvas.classList.toggle("on-work", Boolean(found));
    if (found) this.pointer = event;
    if (found === this.pointed) {
      this.#place();
      return;
    }
    this.pointed = found;
    this.told.hidden = true;
    if (found) this.tellSoon();
  }

  async #tell() {
    const { pointed } = this;
    if (!pointed) return;
    const lines = await (pointed.lines ??= this.#linesOf(pointed));
    if (pointed !== this.pointed) return;
    fill(this.told, lines.map((line) => el("div", {}, line)));
    this.told.hidden = false;
    this.#place();
  }

  async #linesOf(found) {
    try {
      return await this.tell(found.which[0]);
    } catch (error) {
      found.lines = undefined; // Asked again the next time.
      return [error.message];
    }
  }

  /** Beside the pointer, within the drawing. */
  #place() {
    if (this.told.hidden) return;
    const box = this.canvas.getBoundingClientRect();
    const x = Math.min(this.pointer.clientX - box.left + 14, box.width - this.told.offsetWidth);
    this.told.style.insetInlineStart = `${Math.max(0, x)}px`;
    this.told.style.insetBlockStart = `${this.pointer.clientY - box.top + 18}px`;
  }
}

/* The figure, read once. */

function readTrace(trace) {
  if (trace.type === "bar") return readBars(trace);
  if (trace.error_y) return readUprights(trace);
  if (trace.mode.includes("markers")) return readFlags(trace);
  return { ...trace, kind: "lines", x: trace.x.map((at) => (at === null ? null : instant(at))) };
}

function readUprights({ meta, x, y, error_y: { value: reach, thickness: width, color } }) {
  return { kind: "uprights", meta, marks: x.map((at, place) => ({ at: instant(at), row: y[place] })), reach, line: { width, color } };
}

function readBars({ name, base, x, y, width, marker, customdata }) {
  const bars = base.map((begin, at) => {
    const from = instant(begin);
    return { from, to: from + x[at], row: y[at], height: width[at], which: customdata[at] };
  });
  return { kind: "bars", name, bars, ground: marker.color, pattern: marker.pattern.shape && marker.pattern };
}

function readFlags({ name, x, y, text, textposition, marker, customdata }) {
  const flags = x.map((at, place) => ({
    at: instant(at),
    row: y[place],
    text: plain(text[place]),
    isLeft: textposition[place].endsWith("left"),
    isOpen: marker.symbol[place].endsWith("open"),
    which: customdata[place],
  }));
  return { kind: "flags", name, flags };
}

/** "2026-10-09 13:30" or a plain date, as if in UTC. [ms] */
function instant(text) {
  return Date.UTC(+text.slice(0, 4), text.slice(5, 7) - 1, +text.slice(8, 10), +text.slice(11, 13), +text.slice(14, 16));
}

/** Text of a figure without its escapes. */
function plain(text) {
  return text.replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");
}

/* Pens and hatches. */

function inked(path, { color, width }) {
  path.style.fill = "none";
  path.style.stroke = ink(color);
  path.style.strokeWidth = `${width}px`;
  return path;
}

function dashes(text) {
  return text?.replaceAll("px", "").replaceAll(",", " ");
}

/** How each shape of a pattern turns the ruled lines that it is made of. */
const TURNS = { "/": 45, "\\": -45, "|": 0 };

function hatch({ pattern, fillpattern }, place) {
  const { shape, size, solidity, fgcolor, bgcolor } = pattern || { ...fillpattern, shape: fillpattern && "|" };
  if (!shape) return null;
  const ground = svg("rect", { width: size, height: size });
  ground.style.fill = ink(bgcolor);
  const mark =
    shape in TURNS
      ? svg("rect", { width: Math.max(0.6, size * solidity), height: size })
      : svg("circle", { cx: size / 2, cy: size / 2, r: size * Math.sqrt(solidity / Math.PI) });
  mark.style.fill = ink(fgcolor);
  const turn = TURNS[shape] ? `rotate(${TURNS[shape]})` : undefined;
  return svg("pattern", { id: `lanes-${place}`, width: size, height: size, patternUnits: "userSpaceOnUse", patternTransform: turn }, ground, mark);
}

function axisMark(x, top, text, year) {
  return [
    svg("path", { class: "lanes-tick", d: `M${x} ${top}v-5` }),
    svg("text", { class: "lanes-date", x, y: top - 9, ...DATE }, text),
    year ? svg("text", { class: "lanes-date", x, y: top - 25, ...DATE }, year) : null,
  ];
}

function round(value) {
  return Math.round(value * 10) / 10;
}
