// A note that is tapped is heard, and told by its card, which comes when the first note is.

import { onDemand } from "./common/on-demand.js";
import { say } from "./common/words.js";
import { announce } from "./say.js";

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceFiles} page.files
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./score/systems.js").Systems} page.systems
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./stages.js").Stages} page.stages
 */
export function prepareTapped(page) {
  const { player, stages } = page;
  const card = onDemand(
    async () => (await import("./card.js")).prepareCard(page),
    () => announce(say("no-data")),
  );

  /** @param {(card: import("./card.js").Card) => void} action */
  function ask(action) {
    // in the tap itself: the device may keep silent what begins after it
    if (!player.state.get().playing) player.begin();
    const stage = stages.current();
    card.ask((each) => {
      if (stages.current() === stage) action(each);
    });
  }

  return {
    /** @param {string} id of the note as drawn */
    show: (id) => ask((each) => each.show(id)),
    /** The note after (1) or before (-1) the one that is shown, or the first of the bar. @param {number} by */
    step: (by) => ask((each) => each.step(by)),
    hide: () => card.begun() && card.ask((each) => each.hide()),
  };
}

/** @typedef {ReturnType<typeof prepareTapped>} Tapped */
