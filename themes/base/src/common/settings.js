// What a pupil chooses once: kept on the device, for every page of the site.

import { keep, recall } from "./kept.js";
import { createStore } from "./store.js";

/**
 * @typedef {object} Settings
 * @property {"auto" | "light" | "dark"} light
 * @property {"usual" | "larger" | "largest"} size of the notes
 * @property {boolean} keys single keys are shortcuts; who speaks to the device may want them off
 * @property {boolean} awake the screen stays on while a piece is open
 * @property {"none" | "numeral" | "symbol"} harmony
 * @property {boolean} tension
 * @property {boolean} next notes that the next stage adds, drawn faintly
 * @property {boolean} countIn
 * @property {boolean} metronome
 * @property {boolean} repeats
 * @property {boolean} follow
 */

/** @type {Settings} */
const usual = {
  light: "auto",
  size: "usual",
  keys: true,
  awake: true,
  harmony: "none",
  tension: false,
  next: false,
  countIn: false,
  metronome: false,
  repeats: true,
  follow: true,
};

export const settings = createStore({ ...usual, ...kept() });

settings.on((value) => {
  keep("settings", JSON.stringify(value));
  const root = document.documentElement;
  if (value.light === "auto") delete root.dataset.light;
  else root.dataset.light = value.light;
  if (value.size === "usual") delete root.dataset.size;
  else root.dataset.size = value.size;
});

/** @returns {Partial<Settings>} */
function kept() {
  try {
    return JSON.parse(recall("settings") ?? "{}");
  } catch {
    return {};
  }
}
