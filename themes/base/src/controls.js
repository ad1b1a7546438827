// The keys of the player and the practice sheet, bound to what the player can do.

import { byId, element } from "./common/dom.js";
import { settings } from "./common/settings.js";
import { say } from "./common/words.js";
import { drawNote } from "./note-value.js";
import { quarters } from "./score/data.js";
import { announce, barInWords, sayAt } from "./say.js";

/** @typedef {"countIn" | "metronome" | "repeats" | "follow"} Switch */

/** @type {Record<string, Switch>} */
const SWITCHES = { "count-in": "countIn", metronome: "metronome", repeats: "repeats", follow: "follow" };
const TEMPO_STEP = 5;

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./stages.js").Stages} page.stages
 * @param {import("./place.js").Place} page.place
 */
export function prepareControls({ piece, player, stages, place }) {
  const play = byId("play", HTMLButtonElement);
  const loop = byId("loop", HTMLButtonElement);
  const tempo = byId("tempo", HTMLInputElement);
  const loopFirst = byId("loop-first", HTMLSelectElement);
  const loopLast = byId("loop-last", HTMLSelectElement);
  const loopOn = byId("loop-on", HTMLInputElement);
  /** @type {"none" | "first" | "last"} what the next tap on a bar chooses */
  let choosing = "none";
  let chosenFirst = 0;

  /** Until the piano sounds the key fills up, and where that is not at once it is said. */
  let slow = 0;

  const number = (/** @type {number} */ bar) => piece.bars[bar]?.number ?? "";

  for (const select of [loopFirst, loopLast]) {
    select.append(...piece.bars.map((bar, index) => element("option", { value: String(index) }, [bar.number === "0" ? say("number-upbeat") : bar.number])));
  }
  loopLast.value = String(Math.min(3, piece.bars.length - 1));

  play.addEventListener("click", toggle);
  byId("slower", HTMLButtonElement).addEventListener("click", () => changeTempo(-TEMPO_STEP));
  byId("faster", HTMLButtonElement).addEventListener("click", () => changeTempo(TEMPO_STEP));
  tempo.addEventListener("input", () => player.setTempo(Number(tempo.value)));
  loop.addEventListener("click", () => {
    if (player.state.get().loop || choosing !== "none") endLoop();
    else {
      choosing = "first";
      loop.setAttribute("aria-pressed", "true");
      announce(say("loop-first"), { stays: true });
    }
  });
  const fromSheet = () => {
    if (loopOn.checked) setLoop(Number(loopFirst.value), Number(loopLast.value));
    else if (player.state.get().loop) endLoop();
  };
  for (const input of [loopOn, loopFirst, loopLast]) input.addEventListener("change", fromSheet);
  for (const [id, name] of Object.entries(SWITCHES)) {
    const input = byId(id, HTMLInputElement);
    input.checked = settings.get()[name];
    input.addEventListener("change", () => settings.set({ [name]: input.checked }));
    settings.on((value) => (input.checked = value[name]));
  }
  for (const hand of /** @type {const} */ (["left", "right"])) {
    const input = byId(`loud-${hand}`, HTMLInputElement);
    input.addEventListener("input", () => player.setLoudness(hand, Number(input.value)));
    player.state.on((value) => (input.value = String(value.loudness[hand])));
  }

  player.state.on((value, before) => {
    if (value.playing !== before.playing) {
      play.toggleAttribute("data-playing", value.playing);
      play.setAttribute("aria-label", say(value.playing ? "pause" : "play"));
      announce(sayAt(value.playing ? "playing" : "paused", piece.bars, value.bar), { unseen: true });
    }
    if (value.busy !== before.busy) {
      play.setAttribute("aria-busy", String(value.busy));
      if (value.busy) slow = window.setTimeout(() => announce(say("loading")), 300);
      else clearTimeout(slow);
    }
    if (value.fetched !== before.fetched) play.style.setProperty("--fetched", `${value.fetched}%`);
    if (value.interrupted !== before.interrupted) announce(say("interrupted"), { stays: true });
    if (value.failed !== before.failed) announce(say("no-sound"), { stays: true });
    if (value.loop !== before.loop) showLoop(value.loop);
    show();
  });
  stages.onOpen(show);
  place.onMoved(show);

  /** @param {HTMLElement} line @param {number} percent @param {number} beats @param {string} beat how long one is, in quarters */
  function writeTempo(line, percent, beats, beat) {
    const told = [percent, beats, beat].join();
    if (line.dataset.told === told) return;
    line.dataset.told = told;
    const dot = element("span", { class: "dot" }, [" · "]);
    const note = drawNote(quarters(beat), piece.beats[beat] ?? "");
    line.replaceChildren(element("span", {}, [`${percent} %`]), dot, element("span", {}, [note, element("b", {}, [String(beats)])]));
  }

  function show() {
    const { bar, percent } = player.state.get();
    const beats = player.beats();
    const here = place.bar();
    write("place", barInWords(piece.bars, here));
    writeTempo(byId("beats", HTMLElement), percent, beats, piece.bars[bar].beat);
    write("tempo-text", say("tempo-at", { percent, count: beats }));
    tempo.value = String(percent);
    tempo.setAttribute("aria-valuetext", say("tempo-at", { percent, count: beats }));
    byId("reach", HTMLElement).style.transform = `scaleX(${here / Math.max(1, piece.bars.length - 1)})`;
  }

  /** @param {{first: number, last: number} | null} value */
  function showLoop(value) {
    loop.setAttribute("aria-pressed", String(value !== null));
    loopOn.checked = value !== null;
    if (value) {
      loopFirst.value = String(value.first);
      loopLast.value = String(value.last);
      announce(sayAt("loop-set", piece.bars, value.first, { first: number(value.first), last: number(value.last) }));
    } else announce(say("loop-off"));
  }

  function toggle() {
    if (player.state.get().playing) {
      player.pause();
      return;
    }
    // It plays from the place, and in a loop from its beginning where the place lies outside.
    const { bar, loop } = player.state.get();
    const here = place.bar();
    const from = loop && (here < loop.first || here > loop.last) ? loop.first : here;
    if (from !== bar) player.goTo(from);
    player.play();
  }

  /** @param {number} by */
  function changeTempo(by) {
    player.setTempo(player.state.get().percent + by);
    announce(say("tempo-at", { percent: player.state.get().percent, count: player.beats() }));
  }

  /** @param {number} first @param {number} last */
  function setLoop(first, last) {
    choosing = "none";
    player.setLoop({ first, last });
    if (!player.state.get().playing) player.goTo(Math.min(first, last));
  }

  function endLoop() {
    choosing = "none";
    loop.setAttribute("aria-pressed", "false");
    if (player.state.get().loop) player.setLoop(null);
    else announce(say("loop-off"));
  }

  return {
    toggle,
    changeTempo,
    endLoop,
    /**
     * A bar was pointed out: takes it as an end of the loop where one is being chosen, and says whether it did.
     * @param {number} bar
     */
    chooseBar(bar) {
      if (choosing === "none") return false;
      if (choosing === "first") {
        chosenFirst = bar;
        choosing = "last";
        player.goTo(bar);
        announce(say("loop-last"), { stays: true });
      } else setLoop(chosenFirst, bar);
      return true;
    },
    /** By keyboard: the first press begins the loop at the bar, the second ends it there, the third takes it away. */
    loopHere() {
      const { bar, loop: set } = player.state.get();
      if (set) endLoop();
      else {
        if (choosing === "none") choosing = "first";
        loop.setAttribute("aria-pressed", "true");
        this.chooseBar(bar);
      }
    },
    /** @param {Switch} name @param {string} message */
    flip(name, message) {
      settings.set({ [name]: !settings.get()[name] });
      announce(say(message, { state: say(settings.get()[name] ? "on" : "off") }));
    },
    /** @param {"left" | "right"} hand */
    flipHand(hand) {
      const loud = player.state.get().loudness[hand] ? 0 : 100;
      player.setLoudness(hand, loud);
      announce(say(`hand-${hand}`, { state: say(loud ? "on" : "off") }));
    },
  };
}

/** @typedef {ReturnType<typeof prepareControls>} Controls */

/** @param {string} id @param {string} text */
function write(id, text) {
  const line = byId(id, HTMLElement);
  if (line.textContent !== text) line.textContent = text;
}
