// The pieces of the library as the gallery knows them, and which of them have what is chosen.

import { rootUrl } from "../common/words.js";

/**
 * Slug, title, composer, summary, facts, the file of the first bars with its width and height, bars, and for each facet
 * the places of its choices.
 * @typedef {[string, string, string, string, string, string, number, number, number, number[][]]} Row
 * @typedef {{of: string, facets: [string, string[]][], pieces: Row[], title: number[], newest: number[]}} Pieces
 * @typedef {{text: string, chosen: Record<string, string>, order: string}} Wish what is looked for
 */

const BARS = 8;
const CHOICES = 9;

/** @returns {Promise<Pieces>} */
export async function fetchPieces() {
  const response = await fetch(new URL("shelf.json", rootUrl));
  if (!response.ok) throw new Error(`shelf.json: ${response.status}`);
  return response.json();
}

/**
 * Which pieces are to be shown, in order, and how many there would be with each choice of each facet.
 * @param {Pieces} of @param {Wish} wish @param {Map<number, number> | null} found by the words that are looked for
 */
export function choose(of, { chosen, order }, found) {
  const wanted = of.facets.map(([name, choices]) => (chosen[name] ? choices.indexOf(chosen[name]) : null));
  const counts = of.facets.map(([, choices]) => choices.map(() => 0));
  /** @type {number[]} */
  const shown = [];
  of.pieces.forEach((row, number) => {
    if (found && !found.has(number)) return;
    const lacks = wanted.flatMap((want, facet) => (want === null || row[CHOICES][facet].includes(want) ? [] : [facet]));
    if (!lacks.length) shown.push(number);
    // What else is chosen must fit: so a count says what choosing this would show.
    row[CHOICES].forEach((has, facet) => {
      if (lacks.every((each) => each === facet)) for (const choice of has) counts[facet][choice] += 1;
    });
  });
  const turn = turns(order === "newest" ? of.newest : of.title);
  /** @param {number} number */
  const bars = (number) => (order === "shortest" ? of.pieces[number][BARS] : 0);
  /** @param {number} number */
  const worth = (number) => (order ? 0 : (found?.get(number) ?? 0));
  shown.sort((a, b) => worth(b) - worth(a) || bars(a) - bars(b) || turn[a] - turn[b]);
  return { shown, counts };
}

/** The turn of each number in an order. @param {number[]} order */
function turns(order) {
  /** @type {number[]} */
  const turn = [];
  order.forEach((number, place) => (turn[number] = place));
  return turn;
}
