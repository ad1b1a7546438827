// As the last time, piece by piece, on this device: tempo, hands, rounds of a loop, and what the address leaves open of stage, bars and loop.

import { keep, recall } from "./common/kept.js";
import { HANDS } from "./play/player.js";
import { readRounds } from "./play/rounds.js";
import { barsAsked } from "./score/address.js";

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./hands.js").HandsChoice} page.hands
 */
export function resume({ piece, player, hands }) {
  const name = `piece:${piece.slug}`;
  const { percent, heard, rounds } = read(recall(name));
  player.setRounds(readRounds(rounds));
  if (typeof percent === "number" && percent > 0) player.setTempo(percent);
  const before = HANDS.find((each) => each === heard);
  if (before && before !== "both") hands.choose(before);
  player.state.on((value, old) => {
    if (value.percent === old.percent && value.hands === old.hands && value.rounds === old.rounds) return;
    add(name, { percent: value.percent, heard: value.hands, rounds: value.rounds });
  });
}

/**
 * Takes over the stage of the page, at the place of the last time. Bars in the address are gone to, and a page of one
 * stage (as a link or a code on paper opens) shows that stage.
 * @param {object} page
 * @param {HTMLElement} page.article
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./stages.js").Stages} page.stages
 * @param {import("./place.js").Place} page.place
 */
export async function resumePlace({ article, piece, stages, place }) {
  const name = `piece:${piece.slug}`;
  const { stage, bars } = read(recall(name));
  const asked = barsAsked(location.hash, piece.bars);
  if (!asked && typeof bars === "string" && barsAsked(bars, piece.bars)) history.replaceState(history.state, "", bars);
  await stages.adopt();
  const ofPiece = !(article.dataset.piece ?? "").startsWith("..");
  if (ofPiece && typeof stage === "string") await stages.open(stage);
  place.onTold((told) => add(name, { bars: told, stage: stages.current().slug }));
  stages.onOpen((opened) => add(name, { stage: opened.slug }));
}

/** @typedef {{percent?: unknown, heard?: unknown, rounds?: unknown, stage?: unknown, bars?: unknown}} Kept */

/** Adds to what is kept. @param {string} name @param {Kept} more */
function add(name, more) {
  const before = recall(name);
  const after = JSON.stringify({ ...read(before), ...more });
  if (after !== before) keep(name, after);
}

/** @param {string | null} text @returns {Kept} */
function read(text) {
  try {
    return JSON.parse(text ?? "{}") ?? {};
  } catch {
    return {};
  }
}
