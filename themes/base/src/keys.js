// Every action by keyboard. Keys typed into a field, or pressed with Control or Alt, are left alone.

import { settings } from "./common/settings.js";
import { openSheet } from "./common/sheets.js";
import { turnPage } from "./turning.js";

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./ladder.js").Ladder} page.ladder
 * @param {import("./written.js").Written} page.written
 * @param {import("./score/systems.js").Systems} page.systems
 * @param {HTMLElement} page.bar what stands over the foot of the screen
 * @param {import("./view.js").View} page.view
 * @param {import("./tapped.js").Tapped} page.tapped
 * @param {import("./controls.js").Controls} page.controls
 * @param {import("./hands.js").HandsChoice} page.hands
 */
export function prepareKeys({ piece, player, ladder, written, systems, bar: foot, view, tapped, controls, hands }) {
  const backwards = document.documentElement.dir === "rtl" ? -1 : 1;

  /** @param {number} by */
  const bar = (by) => {
    const to = player.state.get().bar + by * backwards;
    if (to >= 0 && to < piece.bars.length) player.goTo(to);
  };
  /** @param {number} by */
  const page = (by) => turnPage(systems.all(), foot, by);

  /** What a key does; false where it had nothing to do, and is left to the browser. @type {Record<string, () => unknown>} */
  const actions = {
    " ": controls.toggle,
    ArrowLeft: () => page(-1),
    ArrowUp: () => page(-1),
    PageUp: () => page(-1),
    ArrowRight: () => page(1),
    ArrowDown: () => page(1),
    PageDown: () => page(1),
    "Shift ArrowLeft": () => bar(-1),
    "Shift ArrowRight": () => bar(1),
    "+": () => controls.changeTempo(5),
    "-": () => controls.changeTempo(-5),
    "[": () => ladder.step(-1),
    "]": () => ladder.step(1),
    ",": () => tapped.step(-1),
    ".": () => tapped.step(1),
    a: hands.next,
    l: () => controls.loopHere(),
    m: () => controls.flip("metronome", "metronome"),
    c: () => controls.flip("countIn", "count-in"),
    r: () => controls.flip("repeats", "repeats"),
    d: () => controls.flipHand("right"),
    s: () => controls.flipHand("left"),
    w: written.press,
    0: ladder.open,
    b: view.both,
    n: view.next,
    h: view.harmony,
    t: view.tension,
    p: () => openSheet("practice"),
    o: () => openSheet("settings"),
    "?": () => openSheet("help"),
    Escape: tapped.hide,
  };

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !(event.target instanceof Element)) return;
    if (!settings.get().keys || event.target.closest("input, select, textarea, dialog")) return;
    if (event.key === " " && event.target.closest("button, summary")) return;
    const named = event.shiftKey && event.key.startsWith("Arrow") ? `Shift ${event.key}` : event.key;
    const key = named.length === 1 ? named.toLowerCase() : named;
    if (!ladder.at(Number(key)) && (!actions[key] || actions[key]() === false)) return;
    event.preventDefault();
  });
  document.addEventListener("keyup", ({ key }) => {
    if (key.toLowerCase() === "w") written.release();
  });
  addEventListener("blur", () => written.release(true));
}
