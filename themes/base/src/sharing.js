// A link to bars of the open stage, to be sent: the bars chosen in the practice sheet, which are those of the loop, or
// where there is none begin with the place.

import { byId } from "./common/dom.js";
import { say } from "./common/words.js";
import { barAddress } from "./score/address.js";

/** Bars that the sheet offers, where no loop is set, after the one at the place. */
const MORE = 3;

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceFiles} page.files
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./stages.js").Stages} page.stages
 * @param {import("./place.js").Place} page.place
 */
export function prepareSharing({ files, piece, player, stages, place }) {
  const sheet = byId("practice", HTMLDialogElement);
  const first = byId("loop-first", HTMLSelectElement);
  const last = byId("loop-last", HTMLSelectElement);
  const link = byId("link", HTMLInputElement);
  const said = byId("link-said", HTMLElement);

  place.onTold(() => {
    if (player.state.get().loop || sheet.open) return;
    first.value = String(place.bar());
    last.value = String(Math.min(piece.bars.length - 1, place.bar() + MORE));
  });

  byId("copy-link", HTMLButtonElement).addEventListener("click", async () => {
    const [from, to] = [Number(first.value), Number(last.value)].sort((one, other) => one - other);
    link.value = files.url(stages.current().url) + barAddress(piece.bars, from, from === to ? undefined : to);
    try {
      await navigator.clipboard.writeText(link.value);
      link.hidden = true;
      said.textContent = say("link-copied", { first: piece.bars[from].number, last: piece.bars[to].number });
    } catch {
      // a browser may refuse, and over plain http it has no clipboard for pages
      link.hidden = false;
      link.select();
      said.textContent = say("link-here");
    }
  });
  sheet.addEventListener("close", () => {
    said.textContent = "";
    link.hidden = true;
  });
}
