// Hands alone: both, the right or the left. The other hand's staff is not shown, and its notes are not heard.

import { byId } from "./common/dom.js";
import { onDemand } from "./common/on-demand.js";
import { say } from "./common/words.js";
import { HANDS } from "./play/player.js";
import { announce } from "./say.js";
import { writeHands } from "./score/hands.js";

/**
 * @param {object} page
 * @param {HTMLElement} page.article
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./score/systems.js").Systems} page.systems
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./place.js").Place} page.place
 */
export function prepareHands({ article, piece, systems, player, place }) {
  const choice = byId("hands", HTMLSelectElement);
  const alone = new Set(piece.staves).size < 2;
  choice.hidden = alone;
  const drawings = onDemand(
    () => import("./score/alone.js"),
    () => announce(say("no-data")),
  );
  /** Once a hand has been alone. @type {typeof import("./score/alone.js").showHands | null} */
  let show = null;

  choice.addEventListener("change", () => set(/** @type {import("./play/player.js").Hands} */ (choice.value)));
  systems.onDrawn(({ engraving }) => {
    if (!engraving) return;
    writeHands(engraving, piece.staves);
    show?.(engraving, player.state.get().hands);
  });

  /** @param {import("./play/player.js").Hands} hands */
  function choose(hands) {
    if (alone) return;
    player.setHands(hands);
    choice.value = hands;
    drawings.ask(({ showHands }) => {
      show = showHands;
      // of two quick choices the later counts
      const { hands } = player.state.get();
      place.keep(() => {
        article.dataset.hands = hands;
        systems.showStaves(hands === "both" ? piece.staves.length : 1, piece.staves.length);
        for (const { engraving } of systems.all()) if (engraving) showHands(engraving, hands);
      });
    });
  }

  /** @param {import("./play/player.js").Hands} hands */
  function set(hands) {
    choose(hands);
    if (!alone) announce(say(`hands-${hands}`));
  }

  return {
    choose,
    /** Both, right, left, and both again. */
    next: () => set(HANDS[(HANDS.indexOf(player.state.get().hands) + 1) % HANDS.length]),
    /** Tells drawings that have come beside the systems whose hands they are. @param {import("./score/engraving.js").Engraving[]} engravings */
    write: (engravings) => engravings.forEach((each) => writeHands(each, piece.staves)),
  };
}

/** @typedef {ReturnType<typeof prepareHands>} HandsChoice */
