/**
 * Sentences of the service, found again among the texts of a language.
 *
 * A text with slots, "{0} is {1} late.", is a pattern: what stands in the slots is taken over, and
 * looked up itself, since it may be a phrase as well. Several sentences, lines and parts of a list
 * are looked up one by one. Of all readings the one wins in which most letters are recognised.
 */

const SLOTS = /\{(\w+)\}/;
const WORD = /\p{L}+/gu;
const WHOLE_WORD = /(?<![\p{L}{}])\p{L}+(?![\p{L}{])/gu;
/** What stands between lines, between sentences, and between their parts. */
const SENTENCES = [/(<br>|\n|[\u2002\u2003]| {2})/, /((?<=[.!?]) (?=[\p{Lu}\d"“]))/u, /(; )/];
/** What parts a sentence of which less than half is known. */
const BRACKETS = /( \(|\))/;
const PIECES = [/(: )/, /(, )/, BRACKETS, /([.:])$/];
/** What joins a name as well: such a text only joins known words, or what is no name. */
const JOINT = /^\P{L}*(and|or|of|at|in|on|to|by|for|with|after|before)?\P{L}*$/u;
const BY_ITSELF = /^[\p{Lu}\d"“−]/u;
/** Numbers, ids, quotations: what no name is made of. */
const NO_NAME = /^(["“−\d]|\p{Lu}+\d)/u;
/** What may as well be part of a name: up to three words, but in small letters before a bracket. */
const FEW_WORDS = /^[\p{L}-]+( [\p{L}-]+){0,2}$/u;
const SMALL = /^\p{Ll}/u;

/** @typedef {{text: string, letters: number}} Reading Letters: how many of them were recognised. */

export class Phrases {
  /** @param {Record<string, string | Record<string, string>>} texts By what they are in English. */
  constructor(texts) {
    this.texts = texts;
    this.patterns = new Patterns(Object.entries(texts).flatMap(([key, text]) => patternsOf(key, text)));
    /** @type {Map<string, Reading>} */
    this.found = new Map();
  }

  /** @param {string} sentence @returns {string} The same where no text fits. */
  find(sentence) {
    return this.#read(sentence).text;
  }

  #read(sentence) {
    if (!this.found.has(sentence)) this.found.set(sentence, this.#exact(sentence) ?? this.#best(sentence));
    return this.found.get(sentence);
  }

  /** A text without slots; one that begins small may begin a sentence. */
  #exact(sentence) {
    const [first] = sentence;
    const [as, begun] = [this.texts[sentence], this.texts[`${first?.toLowerCase()}${sentence.slice(1)}`]];
    if (typeof (as ?? begun) !== "string") return undefined;
    const letters = lettersIn(sentence);
    return { text: as ?? `${begun[0].toUpperCase()}${begun.slice(1)}`, letters };
  }

  #best(sentence) {
    let best = asTyped(sentence);
    const take = (reading) => {
      if (reading.letters > best.letters) best = reading;
    };
    for (const pattern of this.patterns.of(sentence)) {
      const [, ...held] = (sentence.startsWith(pattern.first) && pattern.like.exec(sentence)) || [];
      if (held.length && this.#mayJoin(pattern, held)) take(this.#filled(pattern, held));
    }
    for (const between of SENTENCES) take(this.#parted(sentence, between));
    const half = lettersIn(sentence) / 2;
    for (const between of PIECES) if (best.letters < half) take(this.#parted(sentence, between));
    return best;
  }

  #mayJoin({ first, isJoint, isChoice }, held) {
    const byItself = first || isChoice ? BY_ITSELF : NO_NAME;
    return !isJoint || held.every((part) => byItself.test(part)) || held.every((part) => this.#isKnown(part));
  }

  #isKnown(part) {
    return this.#read(part).letters === lettersIn(part);
  }

  /** A text with its slots filled. */
  #filled({ text, slots, letters }, held) {
    const readings = held.map((part) => this.#read(part));
    const parts = text.split(SLOTS).map((part, place) => (place % 2 ? readings[slots.indexOf(part)].text : part));
    return { text: parts.join(""), letters: letters + sum(readings) };
  }

  /** Each part by itself, with what stands between them as it is. */
  #parted(sentence, between) {
    const parts = whole(sentence.split(between));
    if (parts.length === 1) return asTyped(sentence);
    const areKnown = parts.every((part, place) => place % 2 || this.#isKnown(part));
    const isName = (part) => FEW_WORDS.test(part) && !(between === BRACKETS && SMALL.test(part));
    const isKept = (part, place) => place % 2 || (!areKnown && isName(part));
    const readings = parts.map((part, place) => (isKept(part, place) ? asTyped(part) : this.#read(part)));
    return { text: readings.map(({ text }) => text).join(""), letters: sum(readings) };
  }
}

/** Patterns, each under the rarest word that it must have: few are tried on a sentence. */
class Patterns {
  constructor(all) {
    const counts = new Map();
    for (const { words } of all) for (const word of words) counts.set(word, (counts.get(word) ?? 0) + 1);
    this.under = new Map();
    for (const pattern of all) {
      const [rarest = ""] = pattern.words.toSorted((one, other) => counts.get(one) - counts.get(other));
      this.under.set(rarest, [...(this.under.get(rarest) ?? []), pattern]);
    }
  }

  /** Those that may fit, the one with most letters first. @param {string} sentence */
  of(sentence) {
    const words = new Set(sentence.match(WORD));
    const near = ["", ...words].flatMap((word) => this.under.get(word) ?? []);
    return near.filter((one) => one.words.every((word) => words.has(word))).sort((one, other) => other.letters - one.letters);
  }
}

/** How a text is recognised; one with a number in it in each of its forms. */
function patternsOf(key, text) {
  if (typeof text === "string") return SLOTS.test(key) ? patternOf(key, text) : [];
  const [one, other] = key.split(" | ");
  return [...patternOf(one, text.one ?? text.other), ...patternOf(other, text.other)];
}

function patternOf(key, text) {
  const parts = key.split(SLOTS);
  const literals = parts.filter((_, place) => place % 2 === 0);
  const letters = lettersIn(literals.join(""));
  if (!letters) return [];
  const slots = parts.filter((_, place) => place % 2);
  const like = parts.map((part, place) => (place % 2 ? (part === "n" ? "(−?[\\d.,]+)" : "(.+?)") : escaped(part)));
  const words = key.match(WHOLE_WORD) ?? [];
  const between = literals.join("").trim();
  return [{ first: literals[0], like: new RegExp(`^${like.join("")}$`, "s"), slots, text, letters, words, isJoint: JOINT.test(between), isChoice: between === "or" }];
}

/** Parts of a split, but where a quotation or a bracket was cut in two. */
function whole(parts) {
  if (parts.length === 1 || !parts.some((part) => QUOTE.test(part))) return parts;
  const made = [];
  for (let place = 0; place < parts.length; place += 2) {
    let part = parts[place];
    const before = made.length ? [parts[place - 1]] : [];
    while (isOpen(part) && place + 2 < parts.length) {
      part += parts[place + 1] + parts[place + 2];
      place += 2;
    }
    made.push(...before, part);
  }
  return made;
}

const QUOTE = /["“(]/;

function isOpen(part) {
  const count = (sign) => part.split(sign).length - 1;
  return count("“") > count("”") || count("(") > count(")") || count('"') % 2 === 1;
}

/** @param {string} text @returns {Reading} */
function asTyped(text) {
  return { text, letters: 0 };
}

/** @param {Reading[]} readings */
function sum(readings) {
  return readings.reduce((all, { letters }) => all + letters, 0);
}

function lettersIn(text) {
  return text.replace(/\P{L}/gu, "").length;
}

function escaped(text) {
  return text.replace(/[.*+?^${}()|[\]\\/-]/g, "\\$&");
}
