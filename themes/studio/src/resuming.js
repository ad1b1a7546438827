// Tempo and hands are those of the last time, piece by piece, on this device. (Stage and loop stand in the address.)

import { keep, recall } from "./common/kept.js";
import { HANDS } from "./play/player.js";

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./hands.js").HandsChoice} page.hands
 */
export function resume({ piece, player, hands }) {
  const name = `piece:${piece.slug}`;
  const { percent, heard } = read(recall(name));
  if (typeof percent === "number" && percent > 0) player.setTempo(percent);
  const before = HANDS.find((each) => each === heard);
  if (before && before !== "both") hands.choose(before);
  player.state.on((value, old) => {
    if (value.percent === old.percent && value.hands === old.hands) return;
    keep(name, JSON.stringify({ percent: value.percent, heard: value.hands }));
  });
}

/** @param {string | null} text @returns {{percent?: unknown, heard?: unknown}} */
function read(text) {
  try {
    return JSON.parse(text ?? "{}") ?? {};
  } catch {
    return {};
  }
}
