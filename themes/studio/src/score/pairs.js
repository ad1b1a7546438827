// A stage above the score as written, aligned bar by bar: each bar cut from its system, the two set one over the other.

import { drawn, element } from "../common/dom.js";
import { say } from "../common/words.js";
import { barInWords } from "../say.js";
import { systemsOf } from "./data.js";
import { readEngraving } from "./engraving.js";
import { writeHands } from "./hands.js";

/** Pixels to a unit of the engraving, so that both rows have staves of one size. */
const SCALE = 0.048;

/**
 * @param {object} wish
 * @param {import("./data.js").PieceFiles} wish.files
 * @param {import("./data.js").PieceData} wish.piece
 * @param {import("./data.js").StageData} wish.upper
 * @param {import("./data.js").StageData} wish.lower
 */
export async function showPairs({ files, piece, upper, lower }) {
  const [above, below] = await Promise.all([cutBars(files, upper), cutBars(files, lower)]);
  const holder = element("div", { class: "pairs", role: "group", "aria-label": say("comparison") });
  piece.bars.forEach((_, index) => {
    const width = Math.max(above.cuts.get(index)?.width ?? 0, below.cuts.get(index)?.width ?? 0);
    const pair = element("div", { class: "pair", "data-bar": String(index) }, [
      element("span", { class: "number" }, [barInWords(piece.bars, index)]),
    ]);
    for (const row of [above, below]) {
      const cut = row.cuts.get(index);
      if (cut) pair.append(cut.draw(width));
    }
    holder.append(pair);
  });
  return { holder, upper: above.engravings, lower: below.engravings };
}

/**
 * One bar of a stage by itself, or nothing where it is not drawn.
 * @param {{files: import("./data.js").PieceFiles, piece: import("./data.js").PieceData, stage: import("./data.js").StageData, bar: number}} wish
 */
export async function drawBar({ files, piece, stage, bar }) {
  const places = systemsOf(stage.layouts.phone ?? Object.values(stage.layouts)[0]);
  const place = places.find((each) => each.first <= bar && bar <= each.last);
  if (!place) return null;
  const engraving = readEngraving(await files.sheet(place.file), place);
  writeHands(engraving, piece.staves);
  const found = cutsOf(engraving).get(bar);
  return found?.draw(found.width) ?? null;
}

/** @typedef {{width: number, draw: (width: number) => SVGSVGElement}} Cut */

/** @param {import("./data.js").PieceFiles} files @param {import("./data.js").StageData} stage */
async function cutBars(files, stage) {
  /** @type {Map<number, Cut>} */
  const cuts = new Map();
  const places = systemsOf(stage.layouts.wide ?? Object.values(stage.layouts)[0]);
  const engravings = await Promise.all(places.map(async (place) => readEngraving(await files.sheet(place.file), place)));
  for (const engraving of engravings) for (const [index, each] of cutsOf(engraving)) cuts.set(index, each);
  return { cuts, engravings };
}

/** The bars of a system, each to be drawn by itself. @param {import("./engraving.js").Engraving} engraving @returns {Map<number, Cut>} */
function cutsOf(engraving) {
  const high = Math.max(...engraving.bars.map((bar) => bar.bottom)) + 420;
  const low = Math.min(...engraving.bars.map((bar) => bar.top)) - 420;
  return new Map(
    engraving.bars.map((bar) => {
      bar.ground.remove();
      return [bar.index, { width: bar.right - bar.left, draw: (width) => cut(engraving, bar, width, low, high) }];
    }),
  );
}

/**
 * Lets the staves go on to where the other row's bar ends, and the bar line stand there.
 * @param {import("./engraving.js").BarPlace} bar @param {number} by
 */
function widen(bar, by) {
  if (by <= 0) return;
  for (const line of bar.group.querySelectorAll(":scope > g.staff > path")) {
    const ends = (line.getAttribute("d") ?? "").replace(/H(-?[\d.]+)/g, (end, right) => {
      return Math.abs(right - bar.right) < 1 ? `H${bar.right + by}` : end;
    });
    line.setAttribute("d", ends);
  }
  for (const line of bar.group.querySelectorAll(":scope > .barLine")) {
    const path = line.matches("path") ? line : line.querySelector("path");
    const at = Number(path?.getAttribute("d")?.match(/-?[\d.]+/)?.[0] ?? bar.left);
    if (at > (bar.left + bar.right) / 2) line.setAttribute("transform", `translate(${by} 0)`);
  }
}

/**
 * @param {import("./engraving.js").Engraving} engraving @param {import("./engraving.js").BarPlace} bar
 * @param {number} width @param {number} low @param {number} high
 */
function cut(engraving, bar, width, low, high) {
  const svg = drawn("svg", {
    class: "engraving",
    // Wider than its own bar where the other row's is: the space stays at its end.
    viewBox: `${bar.left - 20} ${low} ${width + 40} ${high - low}`,
    width: Math.round((width + 40) * SCALE),
    height: Math.round((high - low) * SCALE),
    "aria-hidden": "true",
  });
  widen(bar, width - (bar.right - bar.left));
  svg.append(bar.group);
  return svg;
}
