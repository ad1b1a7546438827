// A stage above the score as written, aligned bar by bar: each bar cut from its system, the two set one over the other.
// Every bar has its room from the beginning, so that nothing moves; only what is near the screen is drawn in it.

import { drawn, element } from "../common/dom.js";
import { say } from "../common/words.js";
import { barInWords } from "../say.js";
import { systemsOf } from "./data.js";
import { barBounds, readEngraving } from "./engraving.js";
import { writeHands } from "./hands.js";

/** Pixels to a unit of the engraving, so that both rows have staves of one size. */
const SCALE = 0.048;

/**
 * A system of which bars are shown. `rooms` has the drawing of each bar that is to be filled, and its width; `near` the
 * bars that are near the screen.
 * @typedef {object} Strip
 * @property {import("./data.js").SystemPlace} place
 * @property {{index: number, left: number, right: number}[]} bars
 * @property {number} low
 * @property {number} high
 * @property {Map<number, {svg: SVGSVGElement, width: number}>} rooms
 * @property {Set<number>} near
 * @property {import("./engraving.js").Engraving | null} engraving
 */

/**
 * @param {object} wish
 * @param {import("./data.js").PieceFiles} wish.files
 * @param {import("./data.js").PieceData} wish.piece
 * @param {import("./data.js").StageData} wish.upper
 * @param {import("./data.js").StageData} wish.lower
 * @param {(drawn: import("./engraving.js").Engraving, row: "upper" | "lower") => void} wish.onDrawn hears of each system as it comes alive
 */
export async function showPairs({ files, piece, upper, lower, onDrawn }) {
  const [above, below] = await Promise.all([measureStage(files, upper), measureStage(files, lower)]);
  const holder = element("div", { class: "pairs", role: "group", "aria-label": say("comparison") });
  let open = true;

  const near = new IntersectionObserver(
    (entries) => {
      for (const { target, isIntersecting } of entries) {
        const bar = Number(/** @type {HTMLElement} */ (target).dataset.bar);
        for (const row of [above, below]) {
          const strip = row.of.get(bar);
          if (!strip) continue;
          if (isIntersecting) strip.near.add(bar);
          else strip.near.delete(bar);
        }
      }
      for (const row of [above, below]) {
        for (const strip of row.strips) {
          if (!strip.near.size) putAway(strip);
          else draw(strip, row === above ? "upper" : "lower");
        }
      }
    },
    { rootMargin: "100% 0px" },
  );

  /** @param {Strip} strip @param {"upper" | "lower"} row */
  async function draw(strip, row) {
    if (strip.engraving) return;
    const sheet = await files.sheet(strip.place.file).catch(() => null);
    if (!sheet || !open || strip.engraving || !strip.near.size) return;
    strip.engraving = readEngraving(sheet, strip.place);
    for (const [index, each] of cutsOf(strip.engraving)) {
      const room = strip.rooms.get(index);
      if (room) each.fill(room.svg, room.width);
    }
    onDrawn(strip.engraving, row);
  }

  piece.bars.forEach((_, index) => {
    const width = Math.max(widthOf(above, index), widthOf(below, index));
    const pair = element("div", { class: "pair", "data-bar": String(index) }, [
      element("span", { class: "number" }, [barInWords(piece.bars, index)]),
    ]);
    for (const row of [above, below]) {
      const strip = row.of.get(index);
      if (!strip) continue;
      const left = strip.bars.find((bar) => bar.index === index)?.left ?? 0;
      const svg = room(left, width, strip);
      strip.rooms.set(index, { svg, width });
      pair.append(svg);
    }
    holder.append(pair);
    near.observe(pair);
  });
  return {
    holder,
    /** The drawings that are there now. */
    upper: () => alive(above),
    lower: () => alive(below),
    close() {
      open = false;
      near.disconnect();
      holder.remove();
    },
  };
}

/** @param {Measured} row */
function alive({ strips }) {
  return strips.flatMap((strip) => strip.engraving ?? []);
}

/** @param {Strip} strip */
function putAway(strip) {
  if (!strip.engraving) return;
  for (const { svg } of strip.rooms.values()) svg.replaceChildren();
  strip.engraving = null;
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

/** @typedef {{strips: Strip[], of: Map<number, Strip>}} Measured `of` has the system of each bar */

/** Where the bars of a stage stand, read from its sheets without drawing them. @param {import("./data.js").PieceFiles} files @param {import("./data.js").StageData} stage @returns {Promise<Measured>} */
async function measureStage(files, stage) {
  /** @type {Strip[]} */
  const strips = [];
  for (const place of systemsOf(stage.layouts.wide ?? Object.values(stage.layouts)[0])) {
    const system = (await files.sheet(place.file)).querySelectorAll(":scope > g")[place.index];
    const bars = [...system.querySelectorAll("g.measure")].flatMap((group) => {
      const found = barBounds(group);
      return found ? [{ ...found, named: group.getAttribute("data-bar") }] : [];
    });
    const placed = bars.map((bar, nth) => ({ ...bar, index: Number(bar.named ?? place.first + nth) }));
    strips.push({ place, bars: placed, ...heightOf(bars), rooms: new Map(), near: new Set(), engraving: null });
  }
  return { strips, of: new Map(strips.flatMap((strip) => strip.bars.map((bar) => [bar.index, strip]))) };
}

/** @param {Measured} row @param {number} index */
function widthOf(row, index) {
  const bar = row.of.get(index)?.bars.find((each) => each.index === index);
  return bar ? bar.right - bar.left : 0;
}

/** @typedef {{width: number, fill: (svg: SVGSVGElement, width: number) => void, draw: (width: number) => SVGSVGElement}} Cut */

/** The bars of a system, each to be drawn by itself. @param {import("./engraving.js").Engraving} engraving @returns {Map<number, Cut>} */
function cutsOf(engraving) {
  const height = heightOf(engraving.bars);
  return new Map(
    engraving.bars.map((bar) => {
      bar.ground.remove();
      const own = bar.right - bar.left;
      const fill = (/** @type {SVGSVGElement} */ svg, /** @type {number} */ width) => {
        widen(bar, width - own);
        svg.append(bar.group);
      };
      const draw = (/** @type {number} */ width) => {
        const svg = room(bar.left, width, height);
        fill(svg, width);
        return svg;
      };
      return [bar.index, { width: own, fill, draw }];
    }),
  );
}

/** How far the bars of a system reach above and below. @param {{top: number, bottom: number}[]} bars */
function heightOf(bars) {
  return { high: Math.max(...bars.map((bar) => bar.bottom)) + 420, low: Math.min(...bars.map((bar) => bar.top)) - 420 };
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

/** A drawing of a bar that is not there yet. @param {number} left @param {number} width @param {{low: number, high: number}} height */
function room(left, width, { low, high }) {
  return drawn("svg", {
    class: "engraving",
    // Wider than its own bar where the other row's is: the space stays at its end.
    viewBox: `${left - 20} ${low} ${width + 40} ${high - low}`,
    width: Math.round((width + 40) * SCALE),
    height: Math.round((high - low) * SCALE),
    "aria-hidden": "true",
  });
}
