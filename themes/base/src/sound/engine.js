// The piano, by Tone.js. Fetched at the first tap, and with it only the samples that the piece needs.

import "./quiet.js";
import { Context } from "tone/build/esm/core/context/Context.js";
import { Gain } from "tone/build/esm/core/context/Gain.js";
import { setContext } from "tone/build/esm/core/Global.js";
import { WaveShaper } from "tone/build/esm/signal/WaveShaper.js";
import { ToneBufferSource } from "tone/build/esm/source/buffer/ToneBufferSource.js";
import { nearestSample, sampleFile, samplesFor } from "./samples.js";

/** A string rings on a little after its key is let go; after this long a low string has faded in any case. */
const DAMPING = 0.25;
const LONGEST = 9;
const NOTE_GAIN = 0.55;
/** The velocity of unmarked music, which sounds as it was recorded. */
const UNMARKED = 78;
/** Recordings that are fetched at a time. */
const AT_ONCE = 6;
/** Samples over which a cut recording comes in, so that the cut is not heard as a click. */
const SOFT_EDGE = 24;

/**
 * @param {URL} sounds the folder of the samples
 * @param {BaseAudioContext} given the context to sound in
 */
export function createEngine(sounds, given) {
  const context = new Context(
    // The page's policy refuses the worker that Tone.js would make from a text.
    /** @type {any} */ ({ context: given, clockSource: "timeout", lookAhead: 0 }),
  );
  setContext(context);
  const raw = /** @type {AudioContext} */ (/** @type {unknown} */ (context.rawContext));
  // A full chord is bent, not cut off. A compressor would do it more finely, but comes 6 ms late.
  const room = new WaveShaper({ context, mapping: (value) => Math.tanh(1.2 * value), length: 4096 });
  room.connect(/** @type {any} */ (raw.destination));
  const hands = {
    left: new Gain({ context, gain: 1 }).connect(room),
    right: new Gain({ context, gain: 1 }).connect(room),
  };

  /** @type {Map<number, AudioBuffer>} */
  const buffers = new Map();
  /** What sounds or is to sound, with its beginning. @type {Map<ToneBufferSource, number>} */
  const sounding = new Map();
  /** @type {{strong: AudioBuffer, weak: AudioBuffer} | null} */
  let clicks = null;

  /** The samples that are there in their whole length; of others there may be the begin. @type {Set<number>} */
  const whole = new Set();

  /** @param {number} sample @param {boolean} begin */
  const isThere = (sample, begin) => (begin ? buffers : whole).has(sample);

  /** @param {number} sample @param {boolean} begin */
  async function fetchSample(sample, begin) {
    if (isThere(sample, begin)) return;
    const response = await fetch(new URL(sampleFile(sample), begin ? new URL("begin/", sounds) : sounds));
    if (!response.ok) throw new Error(`${response.url}: ${response.status}`);
    const decoded = await raw.decodeAudioData(await response.arrayBuffer());
    if (isThere(sample, begin)) return;
    buffers.set(sample, struckAtZero(raw, decoded));
    if (!begin) whole.add(sample);
  }

  /**
   * @param {AudioBuffer} buffer @param {number} when @param {number} duration @param {Gain | WaveShaper} output
   * @param {number} rate @param {number} gain
   */
  function start(buffer, when, duration, output, rate, gain) {
    const source = new ToneBufferSource({
      context,
      url: buffer,
      playbackRate: rate,
      fadeOut: DAMPING,
      curve: "exponential",
    }).connect(output);
    const begin = Math.max(when, raw.currentTime);
    sounding.set(source, begin);
    source.onended = () => sounding.delete(source);
    source.start(begin, 0, Math.min(duration, buffer.duration / rate), gain);
  }

  /** The sample, or while it is still on its way the nearest one that is there. @param {number} wanted */
  function nearestThere(wanted) {
    if (buffers.has(wanted)) return wanted;
    return [...buffers.keys()].reduce((best, each) => (Math.abs(each - wanted) < Math.abs(best - wanted) ? each : best), Infinity);
  }

  return {
    now: () => raw.currentTime,
    /** The time that is heard now: the clock less the way to the ear. */
    heard: () => raw.currentTime - (raw.outputLatency || raw.baseLatency || 0),
    state: () => raw.state,
    /** @param {() => void} listener */
    onState(listener) {
      raw.addEventListener("statechange", listener);
    },
    /** May sound only from a tap on. */
    resume: () => raw.resume(),
    /**
     * Fetches the samples that these MIDI notes need, in their order.
     * @param {Iterable<number>} midis
     * @param {{begin?: boolean, onMore?: (done: number, all: number) => void}} [how] whether the first seconds of each
     *   are enough for now, and who hears how many are there
     */
    async prepare(midis, { begin = false, onMore } = {}) {
      const all = samplesFor(midis).filter((sample) => !isThere(sample, begin));
      const waiting = [...all];
      let done = 0;
      const take = async () => {
        for (let sample = waiting.shift(); sample !== undefined; sample = waiting.shift()) {
          await fetchSample(sample, begin);
          done += 1;
          onMore?.(done, all.length);
        }
      };
      await Promise.all(Array.from({ length: AT_ONCE }, take));
    },
    /**
     * @param {number} midi @param {number} when @param {number} duration @param {"left" | "right"} hand
     * @param {number} [velocity] MIDI's, 1 to 127: loudness in amplitude goes by its square, as on most instruments
     *   that follow it (R. Dannenberg, "The Interpretation of MIDI Velocity", 2006)
     */
    play(midi, when, duration, hand, velocity = UNMARKED) {
      const sample = nearestThere(nearestSample(midi));
      const buffer = buffers.get(sample);
      if (!buffer) return;
      start(buffer, when, duration, hands[hand], 2 ** ((midi - sample) / 12), NOTE_GAIN * (velocity / UNMARKED) ** 2);
    },
    /** @param {number} when @param {boolean} strong */
    click(when, strong) {
      clicks ??= { strong: clickBuffer(raw, 1560), weak: clickBuffer(raw, 1040) };
      const buffer = strong ? clicks.strong : clicks.weak;
      start(buffer, when, buffer.duration, room, 1, 0.5);
    },
    /** @param {"left" | "right"} hand @param {number} loudness 0 to 1 */
    setHand(hand, loudness) {
      hands[hand].gain.rampTo(loudness ** 2, 0.03);
    },
    /** Stops all that sounds and all that is to come. */
    silence() {
      for (const [source, begin] of sounding) {
        // What has not begun cannot fade: its beginning is already written into its gain.
        if (begin > raw.currentTime) source.disconnect();
        else source.fadeOut = 0.08;
        source.stop(raw.currentTime);
      }
      sounding.clear();
    },
    /** Gives the device back; the engine is of no use after it. */
    close() {
      context.dispose();
      if (raw.state !== "closed") raw.close();
    },
  };
}

/** @typedef {ReturnType<typeof createEngine>} Engine */

/**
 * A recording begins with a little silence, of another length in each file: cut, so that a note sounds when it is
 * struck. Its far end is cut and faded, since most of a long recording is never heard but would fill the memory.
 * @param {BaseAudioContext} context @param {AudioBuffer} recorded
 */
function struckAtZero(context, recorded) {
  const rate = recorded.sampleRate;
  const first = attackOf(recorded);
  const length = Math.max(1, Math.min(recorded.length - first, Math.round(LONGEST * rate)));
  const buffer = context.createBuffer(recorded.numberOfChannels, length, rate);
  const fade = Math.min(length, Math.round(0.8 * rate));
  for (let channel = 0; channel < recorded.numberOfChannels; channel += 1) {
    const data = recorded.getChannelData(channel).slice(first, first + length);
    for (let index = 0; index < Math.min(length, SOFT_EDGE); index += 1) data[index] *= index / SOFT_EDGE;
    for (let index = 0; index < fade; index += 1) data[length - fade + index] *= 1 - index / fade;
    buffer.copyToChannel(data, channel);
  }
  return buffer;
}

/** The sample at which the string is heard: the first to reach a twentieth of the loudest. @param {AudioBuffer} recorded */
function attackOf(recorded) {
  const end = Math.min(recorded.length, Math.round(recorded.sampleRate));
  const heard = new Float32Array(end);
  for (let channel = 0; channel < recorded.numberOfChannels; channel += 1) {
    const data = recorded.getChannelData(channel);
    for (let index = 0; index < end; index += 1) heard[index] += data[index];
  }
  const loudest = heard.reduce((most, each) => Math.max(most, Math.abs(each)), 0);
  return Math.max(0, heard.findIndex((each) => Math.abs(each) > loudest / 20));
}

/** A short knock on wood: a damped sine. @param {BaseAudioContext} context @param {number} pitch in hertz */
function clickBuffer(context, pitch) {
  const rate = context.sampleRate;
  const buffer = context.createBuffer(1, Math.round(0.05 * rate), rate);
  const data = buffer.getChannelData(0);
  for (let index = 0; index < data.length; index += 1) {
    const time = index / rate;
    data[index] = Math.sin(2 * Math.PI * pitch * time) * Math.exp(-time * 90);
  }
  return buffer;
}
