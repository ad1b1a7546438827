// What is said aloud: one line under the keys, read by screen readers, and left empty most of the time.

import { byId } from "./common/dom.js";
import { say } from "./common/words.js";

let timer = 0;

/**
 * A bar as pupils call it: by its printed number, and an upbeat as that.
 * @param {import("./score/data.js").BarRow[]} bars @param {number} index
 */
export function barInWords(bars, index) {
  return sayAt("bar", bars, index);
}

/**
 * A message about a bar, in the words for an upbeat where it is one.
 * @param {string} key @param {import("./score/data.js").BarRow[]} bars @param {number} index
 * @param {Record<string, string | number>} [values]
 */
export function sayAt(key, bars, index, values = {}) {
  const bar = bars[index]?.number ?? "";
  return say(bar === "0" ? `${key}-upbeat` : key, { bar, ...values });
}

/**
 * @param {string} text
 * @param {{stays?: boolean, unseen?: boolean}} [how] a line that asks for something stays until the next; one that
 *   repeats what the page shows is for listeners only
 */
export function announce(text, { stays = false, unseen = false } = {}) {
  const line = byId("saying", HTMLElement);
  line.classList.toggle("unseen", unseen);
  clearTimeout(timer);
  line.textContent = text;
  if (!stays && text) timer = window.setTimeout(() => (line.textContent = ""), 4000);
}
