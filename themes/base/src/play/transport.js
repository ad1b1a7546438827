// Moves through a timeline against the clock of the sound, and hands each note over a little ahead of its time.

import { beatsBefore, clicksOf, firstFrom, placeAt, timeOf } from "./timeline.js";

/** Seconds that notes are handed over ahead; a page in the background is woken only about once a second. */
const AHEAD = 0.2;
const AHEAD_HIDDEN = 1.5;
const FIRST_NOTE_AFTER = 0.08;

/**
 * What the transport needs of the sound. `when` is in seconds of the sound's own clock.
 * @typedef {object} Sound
 * @property {() => number} now
 * @property {(midi: number, when: number, duration: number, hand: "left" | "right", velocity?: number) => void} play
 * @property {(when: number, strong: boolean) => void} click
 * @property {() => void} silence
 *
 * @typedef {import("./timeline.js").Timing} Timing
 * @typedef {import("./timeline.js").BarLengths} BarLengths
 * @typedef {{clock: number, music: number, speed: number, until: number}} Stretch from `clock` on the music runs from `music` to `until`
 * @typedef {object} Loop
 * @property {number} from in seconds of the music, and so is `to`
 * @property {number} to
 * @property {boolean} [pause] whether a bar is waited between two rounds
 * @property {() => number} [again] asked when a round ends: the speed of the next
 */

/**
 * @param {BarLengths[]} bars
 * @param {{ended: () => void}} listener
 */
export function createTransport(bars, { ended }) {
  /** @type {Sound | null} */
  let sound = null;
  /** @type {Timing | null} */
  let timing = null;
  /** @type {Stretch[]} */
  let stretches = [];
  /** @type {Loop | null} */
  let loop = null;
  let speed = 1;
  let metronome = false;
  let handedOver = 0;
  let rest = 0;
  let timer = 0;
  let playing = false;
  let counts = false;

  /** The last stretch: where the music that is still to be handed over comes from. */
  const last = () => stretches[stretches.length - 1];

  /** How far the music has been handed over, in its own seconds. */
  const handedMusic = () => last().music + (handedOver - last().clock) * last().speed;

  /** @param {number} clock */
  function musicAt(clock) {
    if (!playing || !stretches.length) return rest;
    let stretch = stretches[0];
    for (const each of stretches) if (each.clock <= clock) stretch = each;
    return Math.min(stretch.until, Math.max(stretch.music, stretch.music + (clock - stretch.clock) * stretch.speed));
  }

  function tick() {
    if (!playing || !sound) return;
    handOver(sound.now() + (document.hidden ? AHEAD_HIDDEN : AHEAD));
    const finished = stretches.length && !loop && sound.now() > clockOfEnd();
    if (finished) {
      stop(0);
      ended();
      return;
    }
    timer = window.setTimeout(tick, 40);
  }

  const clockOfEnd = () => last().clock + ((timing?.length ?? 0) - last().music) / last().speed;

  /** Hands over everything before `horizon`, a time of the sound's clock. @param {number} horizon */
  function handOver(horizon) {
    if (!timing || !sound) return;
    for (let guard = 0; handedOver < horizon && guard < 1000; guard += 1) {
      const stretch = last();
      const from = handedMusic();
      const stop = loop && loop.to > from - 1e-6 ? loop.to : timing.length;
      const to = Math.min(stop, stretch.music + (horizon - stretch.clock) * stretch.speed);
      handNotes(from, to, stretch);
      handedOver = stretch.clock + (to - stretch.music) / stretch.speed;
      if (to < stop - 1e-9) return;
      stretch.until = stop;
      if (!loop || stop !== loop.to) return;
      speed = loop.again?.() ?? speed;
      if (loop.pause) handedOver = barBefore(loop.from, handedOver, counts || metronome);
      stretches = [...stretches.slice(-3), { clock: handedOver, music: loop.from, speed, until: Infinity }];
    }
  }

  /** Whether nothing of the music is to be heard at a time of the sound's clock: a bar is counted in, or waited in a loop. @param {number} clock */
  function waits(clock) {
    if (!playing || !stretches.length) return false;
    const next = stretches.findIndex((each) => each.clock > clock);
    if (next < 1) return next === 0;
    const { music, speed, until, clock: from } = stretches[next - 1];
    return music + (clock - from) * speed > until + 1e-6;
  }

  /** @param {number} from @param {number} to @param {Stretch} stretch */
  function handNotes(from, to, stretch) {
    if (!timing || !sound) return;
    /** @param {number} music */
    const clock = (music) => stretch.clock + (music - stretch.music) / stretch.speed;
    for (let index = firstFrom(timing.notes, from); index < timing.notes.length; index += 1) {
      const note = timing.notes[index];
      if (note.on >= to - 1e-6) break;
      // In a loop a note ends with it: what is held over its end would blur its beginning.
      const off = loop ? Math.min(note.off, loop.to) : note.off;
      if (!note.tied) sound.play(note.midi, clock(note.on), (off - note.on) / stretch.speed, note.hand, note.velocity);
    }
    if (!metronome) return;
    for (const played of timing.bars) {
      if (played.off <= from || played.on >= to) continue;
      for (const click of clicksOf(played, bars[played.bar])) {
        const at = played.on + click.at;
        if (at >= from - 1e-6 && at < to - 1e-6) sound.click(clock(at), click.strong);
      }
    }
  }

  /** A bar before the music, at its speed; when it is over. @param {number} from @param {number} start @param {boolean} clicks */
  function barBefore(from, start, clicks) {
    if (!timing || !sound) return start;
    const step = placeAt(timing, from).step;
    const played = timing.bars[step];
    const bar = bars[played.bar];
    const perQuarter = (played.off - played.on) / (bar.length || 1) / speed;
    const beats = beatsBefore(bars, played.bar);
    for (let beat = 0; clicks && beat < beats; beat += 1) {
      sound.click(start + beat * bar.beat * perQuarter, beat === 0);
    }
    return start + beats * bar.beat * perQuarter;
  }

  /** @param {number} at where the music rests, in its own seconds */
  function stop(at) {
    clearTimeout(timer);
    playing = false;
    rest = at;
    stretches = [];
    sound?.silence();
  }

  return {
    playing: () => playing,
    waiting: waits,
    /** Seconds of the music at a time of the sound's clock (default: now). @param {number} [clock] */
    position: (clock) => musicAt(clock ?? sound?.now() ?? 0),
    /** @param {Sound} next */
    setSound(next) {
      sound = next;
    },

    /**
     * Another stage, or repeats left out: the place is kept, also while playing. What is already handed over stays.
     * @param {Timing} next
     * @param {(step: number) => number} [stepThere] where a step of the old timeline is in the new one
     */
    setTiming(next, stepThere = (step) => step) {
      const old = timing;
      timing = next;
      if (!old || old === next) return;
      /** @param {number} music */
      const there = (music) => {
        const place = placeAt(old, music);
        return timeOf(next, { step: stepThere(place.step), fraction: place.fraction });
      };
      if (loop) loop = { ...loop, from: there(loop.from), to: there(loop.to - 1e-6) };
      if (!playing) rest = there(rest);
      else restartFrom(there(handedMusic()));
    },

    /** @param {number} next 1 is the piece's own tempo */
    setSpeed(next) {
      if (next === speed) return;
      speed = next;
      if (playing) restartFrom(handedMusic());
    },
    /** @param {boolean} on */
    setMetronome(on) {
      metronome = on;
    },
    /** @param {Loop | null} next */
    setLoop(next) {
      loop = next;
    },
    loop: () => loop,

    /** Moves to a time of the music, playing or not. @param {number} music */
    seek(music) {
      if (!playing || !sound) {
        rest = music;
        return;
      }
      sound.silence();
      handedOver = sound.now() + FIRST_NOTE_AFTER;
      stretches = [{ clock: handedOver, music, speed, until: Infinity }];
    },

    /** Plays from the place where it rests. @param {{counted: boolean}} how */
    start({ counted }) {
      if (!sound || !timing || playing) return;
      if (rest >= timing.length - 1e-3) rest = 0;
      if (loop && (rest < loop.from - 1e-6 || rest >= loop.to - 1e-6)) rest = loop.from;
      playing = true;
      const first = sound.now() + FIRST_NOTE_AFTER;
      counts = counted;
      handedOver = counted ? barBefore(rest, first, true) : first;
      stretches = [{ clock: handedOver, music: rest, speed, until: Infinity }];
      tick();
    },
    /** Stops where it is. */
    pause() {
      if (playing) stop(musicAt(sound?.now() ?? 0));
    },
    /** Hands over everything before a time of the sound's clock, without waiting for it. @param {number} horizon */
    handOver,
  };

  /** @param {number} music */
  function restartFrom(music) {
    last().until = Math.min(last().until, handedMusic());
    stretches = [...stretches.slice(-3), { clock: handedOver, music, speed, until: Infinity }];
  }
}

/** @typedef {ReturnType<typeof createTransport>} Transport */
