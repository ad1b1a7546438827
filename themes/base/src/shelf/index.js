// Finding pieces by words: of the index only the parts are fetched whose words begin as what is looked for.

import { rootUrl } from "../common/words.js";
import { wordsIn } from "./words.js";

/**
 * For each word, by nearness to the piece, the pieces that have it, as the steps from one number to the next.
 * @typedef {Record<string, number[][]>} Part
 * Of the pieces whose digest is `of`; `keys` are those that are one word in it.
 * @typedef {{of: string, pieces: number, keys: string[], parts: [string, string][]}} Index
 */

/** What a word is worth where a piece is called so, where it is so, where it is told of. */
const NEAR = [9, 4, 1];
const WHOLE = 1;
const BEGUN = 0.6;
const OTHER_FORM = 0.5;
/** Endings by which the languages of the pages make several of one, and what stands in their place for one. */
const ENDINGS = [["ies", "y"], ["es", ""], ["s", ""], ["en", ""], ["n", ""], ["er", ""], ["e", ""]];
const SHORTEST = 4;
/** Letters that a word may lose at its end where nothing begins with it. */
const LOST = 3;

/** Rejects where the index cannot be fetched, or is not that of these pieces. @param {string} numbering */
export function openIndex(numbering) {
  /** @type {Promise<Index> | null} */
  let index = null;
  /** @type {Map<string, Promise<Part>>} */
  const parts = new Map();

  /** @template T @param {string} path @returns {Promise<T>} */
  const fetched = async (path) => {
    const response = await fetch(new URL(`search/${path}`, rootUrl));
    if (!response.ok) throw new Error(`${path}: ${response.status}`);
    return response.json();
  };

  /** @param {string} file @returns {Promise<Part>} */
  function part(file) {
    const known = parts.get(file) ?? /** @type {Promise<Part>} */ (fetched(file));
    parts.set(file, known);
    known.catch(() => parts.delete(file));
    return known;
  }

  /** Every word with this beginning, with its pieces. @param {Index} of @param {string} beginning */
  async function beginningWith(of, beginning) {
    const shorter = of.parts.filter(([name]) => beginning.startsWith(name)).sort(([a], [b]) => b.length - a.length);
    const longer = of.parts.filter(([name]) => name.length > beginning.length && name.startsWith(beginning));
    const found = await Promise.all([...shorter.slice(0, 1), ...longer].map(([, file]) => part(file)));
    return found.flatMap((each) => Object.entries(each)).filter(([word]) => word.startsWith(beginning));
  }

  /** What a word finds: how well, by the number of the piece. @param {Index} of @param {string} word @param {boolean} whole */
  async function finds(of, word, whole) {
    /** @type {Map<number, number>} */
    const worth = new Map();
    /** @param {number[][]} steps @param {number} quality */
    const add = (steps, quality) =>
      steps.forEach((row, near) => {
        let number = 0;
        for (const step of row) {
          number += step;
          worth.set(number, Math.max(worth.get(number) ?? 0, NEAR[near] * quality));
        }
      });
    for (const [found, steps] of await beginningWith(of, word)) {
      if (!whole || found === word) add(steps, found === word ? WHOLE : BEGUN);
    }
    for (const [ending, one] of ENDINGS) {
      const form = word.slice(0, -ending.length) + one;
      if (!word.endsWith(ending) || form.length < SHORTEST) continue;
      for (const [found, steps] of await beginningWith(of, form)) if (found === form) add(steps, OTHER_FORM);
    }
    for (let lost = 1; !worth.size && lost <= LOST && word.length - lost >= SHORTEST; lost += 1) {
      for (const [, steps] of await beginningWith(of, word.slice(0, -lost))) add(steps, OTHER_FORM);
    }
    return worth;
  }

  /**
   * The pieces that all words find, by their numbers, with what they are worth; null where nothing is looked for.
   * @param {string} text
   */
  return async (text) => {
    const typed = wordsIn(text.replaceAll("#", "♯"));
    if (!typed.length) return null;
    index ??= /** @type {Promise<Index>} */ (fetched("index.json"));
    const of = await index.catch((fault) => {
      index = null;
      throw fault;
    });
    if (of.of !== numbering) throw new Error("The index is of other pieces");
    const words = [...new Set(withKeys(typed, of.keys))];
    // One letter is the beginning of too much to say anything beside other words.
    const each = await Promise.all(words.map((word) => finds(of, word, word.length === 1 && words.length > 1)));
    const [first, ...others] = each.sort((a, b) => a.size - b.size);
    /** @type {Map<number, number>} */
    const all = new Map();
    for (const number of first.keys()) {
      if (!others.every((other) => other.has(number))) continue;
      // What few pieces have tells more.
      all.set(number, each.reduce((sum, found) => sum + (found.get(number) ?? 0) * Math.log(1 + of.pieces / found.size), 0));
    }
    return all;
  };
}

/** Words of which those that name a key are one: a, flat, major; or ab, major. @param {string[]} words @param {string[]} keys */
function withKeys(words, keys) {
  /** @type {string[]} */
  const joined = [];
  for (let at = 0; at < words.length; ) {
    const [first, second = "", third = ""] = words.slice(at);
    const flat = first.replace(/^([a-g])b$/, "$1flat");
    /** @type {[string, number][]} */
    const ways = [[first + second + third, 3], [first + second, 2], [flat + second, 2]];
    const [word, length] = ways.find(([key]) => keys.includes(key)) ?? [first, 1];
    joined.push(word);
    at += length;
  }
  return joined;
}
