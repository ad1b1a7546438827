// The player's state and what can be done with it: every key, button and link ends here.

import { settings } from "../common/settings.js";
import { createStore } from "../common/store.js";
import { quarters } from "../score/data.js";
import { createPiano, Interrupted } from "../sound/piano.js";
import { stayAwake } from "./awake.js";
import { nextTempo, USUAL_ROUNDS } from "./rounds.js";
import { placeAt, stepOf, tempoAt, timeOf, withoutRepeats } from "./timeline.js";
import { createTransport } from "./transport.js";

export const SLOWEST = 30;
export const FASTEST = 120;

/** Seconds of music whose sounds are waited for before it begins. */
const SOON = 4;

/** @typedef {"both" | "right" | "left"} Hands */

/** @type {Hands[]} */
export const HANDS = ["both", "right", "left"];

/**
 * @typedef {object} PlayerState
 * @property {boolean} playing
 * @property {boolean} busy the piano is being fetched
 * @property {number} fetched per cent of what it needs to begin
 * @property {number} percent of the piece's tempo
 * @property {number} bar the bar that is played, or from which it will be
 * @property {{first: number, last: number} | null} loop bars, both included
 * @property {import("./rounds.js").Rounds} rounds how a loop goes round
 * @property {{left: number, right: number}} loudness 0 to 100
 * @property {Hands} hands which hands are seen and heard
 * @property {number} interrupted counts the times that the device gave no sound, or took it away
 * @property {number} failed counts the times that the piano could not be fetched
 */

/** @type {WeakMap<import("./timeline.js").Timing, import("./timeline.js").Timing>} */
const unrepeated = new WeakMap();

/** The timing without repeats, worked out once. @param {import("./timeline.js").Timing} timing */
function once(timing) {
  const known = unrepeated.get(timing) ?? withoutRepeats(timing);
  unrepeated.set(timing, known);
  return known;
}

/**
 * @param {import("../score/data.js").PieceFiles} files
 * @param {import("../score/data.js").PieceData} piece
 */
export function createPlayer(files, piece) {
  const bars = piece.bars.map((bar) => ({
    length: quarters(bar.length),
    beat: quarters(bar.beat),
    lead: quarters(bar.lead),
  }));
  const state = createStore(
    /** @type {PlayerState} */ ({
      playing: false,
      busy: false,
      fetched: 0,
      percent: 100,
      bar: 0,
      loop: null,
      rounds: USUAL_ROUNDS,
      loudness: { left: 100, right: 100 },
      hands: "both",
      failed: 0,
      interrupted: 0,
    }),
  );
  /** @type {import("./timeline.js").Timing | null} */
  let printed = null;
  /** @type {import("./timeline.js").Timing | null} */
  let timing = null;
  /** Rounds of the loop so far. */
  let done = 0;

  const transport = createTransport(bars, {
    ended() {
      state.set({ playing: false, bar: 0 });
      stayAwake("playing", false);
    },
  });
  const piano = createPiano({
    soon: () => notesFrom(transport.position(), SOON * (state.get().percent / 100)),
    later: () => [...notesFrom(transport.position(), Infinity), ...notesFrom(0, Infinity)],
    onMore: (done, all) => state.set({ fetched: Math.round((100 * done) / all) }),
    onEngine(engine) {
      transport.setSound(engine);
      balance(engine);
      engine.onState(() => {
        if (engine.state() === "running" || !transport.playing() || piano.engine() !== engine) return;
        pause();
        state.set({ interrupted: state.get().interrupted + 1 });
      });
    },
  });

  /** The notes of the open stage that begin within so many seconds of the music, and in a loop those it goes back to. @param {number} from @param {number} seconds */
  function notesFrom(from, seconds) {
    const { notes } = timing ?? { notes: [] };
    const begins = transport.loop()?.from ?? from;
    const inTime = (/** @type {number} */ at, /** @type {number} */ start) => at >= start - 0.01 && at < start + seconds;
    return notes.filter(({ on }) => inTime(on, from) || inTime(on, begins)).map(({ midi }) => midi);
  }

  /** @param {"left" | "right"} hand */
  const hears = (hand) => state.get().hands === "both" || state.get().hands === hand;

  /** Gives each hand its loudness, and none to the hand that is left out. @param {import("../sound/engine.js").Engine} engine */
  function balance(engine) {
    for (const hand of /** @type {const} */ (["left", "right"])) {
      engine.setHand(hand, hears(hand) ? state.get().loudness[hand] / 100 : 0);
    }
  }

  /** Seconds of the music as heard; null while a bar is counted in or waited. */
  const position = () => {
    const engine = piano.engine();
    if (!transport.playing() || !engine) return transport.position();
    return transport.waiting(engine.heard()) ? null : transport.position(engine.heard());
  };

  /** Fetches the piano in a tap; says whether it sounds. @param {number[]} [midis] the notes to be struck at once */
  async function wake(midis) {
    // first of all: what comes after anything else may no longer count as the tap
    const ready = piano.wake(midis);
    state.set({ busy: true, fetched: 0 });
    try {
      await ready;
      return true;
    } catch (reason) {
      const count = reason instanceof Interrupted ? "interrupted" : "failed";
      state.set({ [count]: state.get()[count] + 1 });
      return false;
    } finally {
      state.set({ busy: false });
    }
  }

  function pause() {
    transport.pause();
    stayAwake("playing", false);
    if (timing) state.set({ playing: false, bar: timing.bars[placeAt(timing, transport.position()).step].bar });
  }

  function applyLoop() {
    const { loop } = state.get();
    if (!timing || !loop) {
      transport.setLoop(null);
      return;
    }
    const { bars } = timing;
    const now = placeAt(timing, transport.position()).step;
    // the pass that is being played, else the first
    const pass = bars[now].bar >= loop.first && bars[now].bar <= loop.last ? now - (bars[now].bar - loop.first) : 0;
    const first = stepOf(timing, loop.first, Math.max(0, pass));
    const last = Math.max(first, stepOf(timing, loop.last, first));
    transport.setLoop({ from: bars[first].on, to: bars[last].off, pause: state.get().rounds.pause, again });
    // what plays already beyond it would never come to its end
    if (transport.playing() && transport.position() >= bars[last].off) transport.seek(bars[first].on);
  }

  /** A round is over: the speed of the next. */
  function again() {
    done += 1;
    const percent = Math.min(FASTEST, nextTempo(state.get().rounds, state.get().percent, done));
    if (percent !== state.get().percent) state.set({ percent });
    return percent / 100;
  }

  /** A timing as it is played now: repeats as printed, or once. @param {import("./timeline.js").Timing} as */
  const laid = (as) => (settings.get().repeats ? as : once(as));

  /** Lays the timeline of the open stage, with or without repeats. */
  function layTimeline() {
    if (!printed) return;
    const before = timing;
    timing = laid(printed);
    const after = timing;
    transport.setTiming(after, (step) => {
      if (!before || before.bars.length === after.bars.length) return step;
      return stepOf(after, before.bars[step].bar, before.bars.length > after.bars.length ? 0 : Math.min(step, after.bars.length));
    });
    applyLoop();
  }

  settings.on((value, before) => {
    if (value.repeats !== before.repeats) layTimeline();
    transport.setMetronome(value.metronome);
  });
  transport.setMetronome(settings.get().metronome);

  return {
    state,
    position,
    timing: () => timing,
    bars,
    /** The piano, once it has been woken. */
    sound: () => piano.engine(),
    laid,
    pause,
    wake,
    begin: piano.begin,

    /** Opens the timing of a stage; the place is kept. @param {import("../score/data.js").StageData} stage */
    async open(stage) {
      printed = await files.timing(stage);
      layTimeline();
      piano.renew();
    },

    async play() {
      if (transport.playing() || !(await wake())) return;
      transport.start({ counted: settings.get().countIn });
      state.set({ playing: transport.playing() });
      stayAwake("playing", true);
    },

    /** @param {number} bar */
    goTo(bar) {
      if (!timing) return;
      const { loop, playing } = state.get();
      // a loop that plays is not left by a tap beyond it
      const to = loop && playing && bar > loop.last ? loop.first : bar;
      const now = placeAt(timing, transport.position()).step;
      const step = stepOf(timing, to, timing.bars[now]?.bar === to ? now : 0);
      transport.seek(timeOf(timing, { step, fraction: 0 }));
      state.set({ bar: to });
    },

    /** @param {number} percent */
    setTempo(percent) {
      const kept = Math.min(FASTEST, Math.max(SLOWEST, percent));
      state.set({ percent: kept });
      transport.setSpeed(kept / 100);
    },

    /** Beats a minute as they are played now. */
    beats() {
      return timing ? Math.round((tempoAt(timing, transport.position()) * state.get().percent) / 100) : 0;
    },

    /** @param {{first: number, last: number} | null} loop */
    setLoop(loop) {
      done = 0;
      state.set({ loop: loop && { first: Math.min(loop.first, loop.last), last: Math.max(loop.first, loop.last) } });
      applyLoop();
    },

    /** @param {Partial<import("./rounds.js").Rounds>} rounds */
    setRounds(rounds) {
      done = 0;
      state.set({ rounds: { ...state.get().rounds, ...rounds } });
      applyLoop();
    },

    /** @param {"left" | "right"} hand @param {number} loudness 0 to 100 */
    setLoudness(hand, loudness) {
      state.set({ loudness: { ...state.get().loudness, [hand]: loudness } });
      const engine = piano.engine();
      if (engine) balance(engine);
    },

    hears,
    /** Both hands, or one alone. @param {Hands} hands */
    setHands(hands) {
      state.set({ hands });
      const engine = piano.engine();
      if (engine) balance(engine);
    },

    /** Strikes notes now. @param {{midi: number, hand: "left" | "right"}[]} notes */
    async strike(notes) {
      if (!(await wake(notes.map(({ midi }) => midi)))) return;
      const engine = piano.engine();
      if (!engine) return;
      for (const note of notes) engine.play(note.midi, engine.now(), 1.6, note.hand);
    },

  };
}

/** @typedef {ReturnType<typeof createPlayer>} Player */
