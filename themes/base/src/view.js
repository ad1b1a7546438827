// What is shown with the music: stage and score bar by bar, the next stage's notes, tension, harmony names.

import { byId } from "./common/dom.js";
import { settings } from "./common/settings.js";
import { say } from "./common/words.js";
import { announce } from "./say.js";
import { asWritten } from "./written.js";

/** @type {("none" | "numeral" | "symbol")[]} */
const HARMONY = ["none", "numeral", "symbol"];

/**
 * @param {object} page
 * @param {HTMLElement} page.music
 * @param {import("./score/data.js").PieceFiles} page.files
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./score/systems.js").Systems} page.systems
 * @param {import("./play/player.js").Player} page.player
 * @param {ReturnType<typeof import("./play/marker.js").createMarker>} page.marker
 * @param {import("./stages.js").Stages} page.stages
 * @param {import("./hands.js").HandsChoice} page.hands
 * @param {import("./place.js").Place} page.place
 */
export function prepareView({ music, files, piece, systems, player, marker, stages, hands, place }) {
  const buttons = new Map(
    [...document.querySelectorAll("#view button")].map((button) => {
      return [/** @type {HTMLElement} */ (button).dataset.view ?? "", /** @type {HTMLButtonElement} */ (button)];
    }),
  );
  const names = /** @type {HTMLSelectElement} */ (byId("view", HTMLElement).querySelector("select[data-view]"));
  const written = asWritten(piece);
  /** @type {Awaited<ReturnType<typeof import("./score/pairs.js").showPairs>> & {timing: import("./play/timeline.js").Timing} | null} */
  let pairs = null;

  const actions = {
    async both() {
      if (pairs) closePairs();
      else if (stages.current() !== written && matchMedia("(min-width: 48rem)").matches) {
        const bar = place.bar();
        const { showPairs } = await import("./score/pairs.js");
        const [shown, timing] = await Promise.all([
          showPairs({ files, piece, upper: stages.current(), lower: written, onDrawn: showDrawn }),
          files.timing(written),
        ]);
        pairs = { ...shown, timing };
        const { holder } = pairs;
        holder.addEventListener("click", (event) => {
          const pair = event.target instanceof Element ? event.target.closest(".pair") : null;
          if (pair instanceof HTMLElement) player.goTo(Number(pair.dataset.bar));
        });
        music.before(holder);
        music.hidden = true;
        markPair(bar);
        holder.querySelector(".here")?.scrollIntoView({ block: "start", behavior: "instant" });
        announce(say("comparison"));
      }
      press("both", pairs !== null);
    },
    next: () => settings.set({ next: !settings.get().next }),
    tension: () => settings.set({ tension: !settings.get().tension }),
    harmony: () => settings.set({ harmony: HARMONY[(HARMONY.indexOf(settings.get().harmony) + 1) % 3] }),
  };

  function closePairs() {
    if (!pairs) return;
    const bar = place.bar();
    pairs.close();
    pairs = null;
    music.hidden = false;
    systems.systemOf(bar)?.box.scrollIntoView({ block: "start", behavior: "instant" });
    press("both", false);
  }

  /** @param {import("./score/engraving.js").Engraving} drawing @param {"upper" | "lower"} row */
  function showDrawn(drawing, row) {
    hands.write([drawing]);
    if (row === "upper") marker.renew(drawing);
    else marker.renewBeside(drawing);
  }

  /** @param {number} bar */
  function markPair(bar) {
    for (const pair of pairs?.holder.children ?? []) {
      const here = /** @type {HTMLElement} */ (pair).dataset.bar === String(bar);
      if (here && !pair.classList.contains("here")) pair.scrollIntoView({ block: "nearest" });
      pair.classList.toggle("here", here);
    }
  }

  /** @param {string} name @param {boolean} on */
  function press(name, on) {
    buttons.get(name)?.setAttribute("aria-pressed", String(on));
  }

  for (const [name, button] of buttons) {
    button.addEventListener("click", actions[/** @type {keyof typeof actions} */ (name)]);
  }
  const opener = byId("open-view", HTMLButtonElement);
  opener.addEventListener("click", () => {
    const open = byId("view", HTMLElement).toggleAttribute("data-open");
    opener.setAttribute("aria-expanded", String(open));
  });
  names.addEventListener("change", () => {
    settings.set({ harmony: /** @type {"none" | "numeral" | "symbol"} */ (names.value) });
  });

  // what was wished for last counts, whichever answer comes last
  let wish = 0;

  /** @param {import("./score/systems.js").System} system */
  async function decorate(system) {
    const stage = stages.current();
    const mine = wish;
    const { harmony, tension, next } = settings.get();
    if (harmony === "none" && !tension && !next) {
      for (const extra of system.box.querySelectorAll(".strip, .to-come")) extra.remove();
      return;
    }
    const notes = await files.stageNotes(stage).catch(() => null);
    const following = next ? stages.neighbour(1) : null;
    const coming = following ? await files.stageNotes(following).catch(() => null) : null;
    const [{ drawStrip }, { drawComing }] = await Promise.all([import("./score/strip.js"), import("./score/coming.js")]);
    if (!notes || mine !== wish || stage !== stages.current() || !system.engraving) return;
    for (const extra of system.box.querySelectorAll(".strip, .to-come")) extra.remove();
    const strip = drawStrip({ system, piece, notes, harmony, tension, tell: announce });
    if (strip) system.box.append(strip);
    if (coming) drawComing({ engraving: system.engraving, notes, coming });
  }

  function show() {
    wish += 1;
    const { harmony, tension, next } = settings.get();
    names.value = harmony;
    press("tension", tension);
    press("next", next);
    const both = buttons.get("both");
    if (both) both.disabled = stages.current() === written;
    const following = buttons.get("next");
    if (following) following.disabled = !stages.neighbour(1);
    for (const system of systems.all()) if (system.engraving) decorate(system);
  }

  systems.onDrawn(decorate);
  stages.onOpen(() => {
    closePairs();
    show();
  });
  settings.on(show);
  player.state.on((value, before) => {
    if (value.bar !== before.bar) markPair(value.bar);
  });

  return {
    ...actions,
    /** The drawings of the open stage beside its systems. */
    engravings: () => pairs?.upper() ?? [],
    /** The score as written, where it is shown below the stage: it goes along in its own time. */
    companion: () => (pairs ? { timing: player.laid(pairs.timing), engravings: pairs.lower() } : null),
  };
}

/** @typedef {ReturnType<typeof prepareView>} View */
