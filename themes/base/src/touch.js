// A tap on the music: a note is heard and told, a bar is where playing begins. A swipe sideways changes the stage.

import { handOf } from "./score/hands.js";

/** How near to a notehead a tap means the note, in CSS pixels. */
const NEAR = 16;
const SWIPE = 60;

/**
 * @param {object} page
 * @param {HTMLElement} page.music
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./score/systems.js").Systems} page.systems
 * @param {import("./stages.js").Stages} page.stages
 * @param {import("./tapped.js").Tapped} page.tapped
 * @param {import("./controls.js").Controls} page.controls
 */
export function prepareTouch({ music, player, systems, stages, tapped, controls }) {
  /** @type {{x: number, y: number} | null} */
  let down = null;
  let swiped = false;

  music.addEventListener("pointerdown", (event) => {
    swiped = false;
    down = event.isPrimary && event.pointerType !== "mouse" ? { x: event.clientX, y: event.clientY } : null;
  });
  music.addEventListener("pointerup", (event) => {
    if (!down) return;
    const across = event.clientX - down.x;
    if (Math.abs(across) < SWIPE || Math.abs(event.clientY - down.y) > Math.abs(across) / 2) return;
    swiped = true;
    const onward = getComputedStyle(music).direction === "rtl" ? across > 0 : across < 0;
    const next = stages.neighbour(onward ? 1 : -1);
    if (next) stages.open(next.slug);
  });
  music.addEventListener("pointercancel", () => (down = null));

  music.addEventListener("click", (event) => {
    if (swiped || !(event.target instanceof Element)) return;
    const system = systems.all().find((each) => each.box.contains(/** @type {Node} */ (event.target)));
    if (!system?.engraving) return;
    const bar = barUnder(system.engraving, event.clientX);
    if (bar === null) return;
    if (controls.chooseBar(bar)) return;
    const note = noteNear(system.engraving, event, player);
    if (note) tapped.show(note);
    else player.goTo(bar);
  });
}

/** @param {import("./score/engraving.js").Engraving} engraving @param {number} x on the screen */
function barUnder(engraving, x) {
  for (const bar of engraving.bars) {
    const place = bar.ground.getBoundingClientRect();
    if (place.left <= x && x <= place.right) return bar.index;
  }
  return null;
}

/**
 * The id of the note that is meant, if one is near enough.
 * @param {import("./score/engraving.js").Engraving} engraving
 * @param {MouseEvent} event
 * @param {import("./play/player.js").Player} player
 */
function noteNear(engraving, event, player) {
  let best = null;
  let least = NEAR;
  for (const [id, note] of engraving.notes) {
    if (!player.hears(handOf(note))) continue;
    const head = note.querySelector(".notehead");
    if (!head) continue;
    const place = head.getBoundingClientRect();
    const across = Math.max(place.left - event.clientX, 0, event.clientX - place.right);
    const along = Math.max(place.top - event.clientY, 0, event.clientY - place.bottom);
    const distance = Math.hypot(across, along);
    if (distance < least) {
      least = distance;
      best = id;
    }
  }
  return best;
}
