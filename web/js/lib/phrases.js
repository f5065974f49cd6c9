/**
 * Sentences of the service, found again among the texts of a language.
 *
 * A text with slots, "{0} is {1} late.", is a pattern: what stands in the slots is taken over, and
 * looked up itself, since it may be a phrase as well. The pattern with most letters of its own wins.
 */

const SLOTS = /\{\w+\}/;
const LINES = /(<br>|[\u2002\u2003]| {2})/;
const SENTENCES = /(?<=[.!?])( )(?=\S)/;
/** A text with fewer letters of its own is only tried on what is one sentence. */
const FEW_LETTERS = 8;
const PIECES = /(; |: |, )/;

export class Phrases {
  /** @param {Record<string, string | Record<string, string>>} texts By what they are in English. */
  constructor(texts) {
    this.texts = texts;
    const patterns = Object.entries(texts).flatMap(([key, text]) => patternsOf(key, text)).sort((a, b) => b.letters - a.letters);
    this.telling = patterns.filter(({ letters }) => letters >= FEW_LETTERS);
    this.short = patterns.filter(({ letters }) => letters > 0 && letters < FEW_LETTERS);
    this.found = new Map();
  }

  /** @param {string} sentence @returns {string} The same where no text fits. */
  find(sentence) {
    const known = this.found.get(sentence);
    if (known !== undefined) return known;
    const answer =
      this.#exact(sentence) ??
      this.#fitting(this.telling, sentence) ??
      this.#split(sentence, LINES) ??
      this.#split(sentence, SENTENCES) ??
      this.#fitting(this.short, sentence) ??
      this.#split(sentence, PIECES) ??
      sentence;
    this.found.set(sentence, answer);
    return answer;
  }

  /** A text without slots; one that begins small may begin a sentence. */
  #exact(sentence) {
    const [as, small] = [sentence, sentence.replace(/^./, (letter) => letter.toLowerCase())].map((key) => this.texts[key]);
    if (typeof as === "string") return as;
    return typeof small === "string" ? small.replace(/^./, (letter) => letter.toUpperCase()) : undefined;
  }

  #fitting(patterns, sentence) {
    for (const { first, like, slots, text } of patterns) {
      const match = sentence.startsWith(first) && like.exec(sentence);
      if (match) return text.split(/\{(\w+)\}/).map((part, place) => (place % 2 ? this.find(match[slots.indexOf(part) + 1]) : part)).join("");
    }
    return undefined;
  }

  /** Each part by itself, with what stands between them as it is. */
  #split(sentence, by) {
    const parts = sentence.split(by);
    return parts.length > 1 ? parts.map((part, place) => (place % 2 ? part : this.find(part))).join("") : undefined;
  }
}

/** How a text is recognised; one with a number in it in each of its forms. */
function patternsOf(key, text) {
  if (typeof text === "string") return SLOTS.test(key) ? [patternOf(key, text)] : [];
  const [one, other] = key.split(" | ");
  return [patternOf(one, text.one ?? text.other), patternOf(other, text.other)];
}

function patternOf(key, text) {
  const parts = key.split(/\{(\w+)\}/);
  const literals = parts.filter((_, place) => place % 2 === 0);
  const slots = parts.filter((_, place) => place % 2);
  const like = parts.map((part, place) => (place % 2 ? (part === "n" ? "(−?[\\d.,]+)" : "(.+?)") : escaped(part)));
  return { first: literals[0], like: new RegExp(`^${like.join("")}$`, "s"), slots, text, letters: literals.join("").replace(/\P{L}/gu, "").length };
}

function escaped(text) {
  return text.replace(/[.*+?^${}()|[\]\\/-]/g, "\\$&");
}
