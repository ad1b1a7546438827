// As written: the printed score is there while the key is held, and stays after a tap, until the next.

import { byId } from "./common/dom.js";

/** Milliseconds from which a key counts as held: who lets go then goes back. */
const HELD = 400;

/** The printed score of a piece. @param {import("./score/data.js").PieceData} piece */
export function asWritten(piece) {
  return piece.stages.find((stage) => stage.as_written) ?? piece.stages[piece.stages.length - 1];
}

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./stages.js").Stages} page.stages
 */
export function prepareWritten({ piece, stages }) {
  const key = byId("written", HTMLButtonElement);
  const written = asWritten(piece);
  /** @type {string | null} the stage to go back to */
  let left = null;
  /** When the key went down, and whether the score was there already. @type {{at: number, there: boolean} | null} */
  let down = null;

  function press() {
    if (down) return;
    const there = left !== null || stages.current() === written;
    down = { at: performance.now(), there };
    if (there) return;
    left = stages.current().slug;
    stages.open(written.slug);
  }

  /** @param {boolean} [held] */
  function release(held) {
    if (!down) return;
    const { at, there } = down;
    down = null;
    if (there === (held ?? performance.now() - at > HELD)) return;
    if (left) stages.open(left);
    left = null;
  }

  key.addEventListener("pointerdown", (event) => {
    if (!event.isPrimary || event.button) return;
    key.setPointerCapture(event.pointerId);
    press();
  });
  key.addEventListener("pointerup", () => release());
  key.addEventListener("pointercancel", () => release(true));
  // a finger that rests is no wish for a menu
  key.addEventListener("contextmenu", (event) => event.preventDefault());
  // by keyboard, or by a device that speaks, there is no finger before the click
  key.addEventListener("click", (event) => {
    if (event.detail) return;
    press();
    release(false);
  });
  stages.onOpen((stage) => {
    if (stage !== written && stage.slug !== left) left = null;
    key.setAttribute("aria-pressed", String(stage === written));
  });

  return { press, release };
}

/** @typedef {ReturnType<typeof prepareWritten>} Written */
