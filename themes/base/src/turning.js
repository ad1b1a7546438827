// Pages of music: what is on the screen above the player, turned by arrow and page keys, as pedals send them.

import { onScreen } from "./score/systems.js";

/** Pixels between the top of the screen and that of the music. */
const MARGIN = 12;

/**
 * Turns a page on (1) or back (-1); says whether there was music to turn.
 * @param {readonly import("./score/systems.js").System[]} systems
 * @param {HTMLElement} player what stands over the foot of the screen
 * @param {number} by
 */
export function turnPage(systems, player, by) {
  const places = systems.filter((system) => system.box.getClientRects().length).map(({ box }) => box.getBoundingClientRect());
  if (!systems.some(({ box }) => onScreen(box))) return false;
  const height = innerHeight - player.offsetHeight - 2 * MARGIN;
  const top = places.findIndex((place) => place.top + place.height / 2 > 0);
  let goal;
  if (by > 0) {
    const cut = places.findIndex((place, index) => index > top && place.bottom > innerHeight - player.offsetHeight);
    goal = cut < 0 ? -1 : cut;
  } else {
    goal = Math.max(0, top - 1);
    while (goal > 0 && places[top].top - places[goal - 1].top <= height) goal -= 1;
  }
  if (goal >= 0) scrollBy({ top: places[goal].top - MARGIN, behavior: "instant" });
  return true;
}
