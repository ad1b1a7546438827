// What is said aloud: one line under the keys, read by screen readers, and left empty most of the time.

import { byId } from "./common/dom.js";

let timer = 0;

/**
 * @param {string} text
 * @param {{stays?: boolean}} [how] a line that asks for something stays until the next
 */
export function announce(text, { stays = false } = {}) {
  const line = byId("saying", HTMLElement);
  clearTimeout(timer);
  line.textContent = text;
  if (!stays && text) timer = window.setTimeout(() => (line.textContent = ""), 4000);
}
