// The piano as the page holds it: fetched at the first tap, and built anew when the device has taken it away.

import { engineUrl, rootUrl } from "../common/words.js";

/** The folder of the samples. */
export const soundsUrl = new URL("sounds/", rootUrl);

/**
 * @param {() => Promise<number[]>} midis the notes that may be asked for
 * @param {(engine: import("./engine.js").Engine) => void} onEngine hears of each new engine, before it sounds
 */
export function createPiano(midis, onEngine) {
  /** @type {import("./engine.js").Engine | null} */
  let engine = null;
  /** @type {Promise<void> | null} */
  let preparing = null;

  async function build() {
    const { createEngine } = /** @type {typeof import("./engine.js")} */ (await import(engineUrl.href));
    engine = createEngine(soundsUrl);
    onEngine(engine);
  }

  return {
    engine: () => engine,
    /**
     * Makes the piano ready to sound. To be called in a tap: elsewhere the device may keep it silent.
     * Rejects when the piano cannot be fetched.
     */
    async wake() {
      speakUp();
      if (!engine || engine.state() === "closed") await build();
      const awake = /** @type {import("./engine.js").Engine} */ (engine);
      await Promise.race([awake.resume(), new Promise((resolve) => setTimeout(resolve, 1500))]);
      if (awake.state() !== "running") {
        // After a call or a change of tab a context can be dead for good: another one is not.
        awake.close();
        preparing = null;
        await build();
        await engine?.resume();
      }
      preparing ??= midis().then((needed) => engine?.prepare(needed));
      await preparing.catch((error) => {
        preparing = null;
        throw error;
      });
    },
    /** The stage or the piece needs other notes. */
    refresh() {
      preparing = null;
    },
  };
}

/** @typedef {ReturnType<typeof createPiano>} Piano */

/** @type {HTMLAudioElement | null} */
let hush = null;

/** Asks the device to treat the page as music, so that a ringer that is off does not silence it. */
function speakUp() {
  const session = /** @type {{audioSession?: {type: string}}} */ (/** @type {unknown} */ (navigator)).audioSession;
  if (session) {
    session.type = "playback";
    return;
  }
  // Older systems hear a page as music only while a media element plays, if only silence.
  if (!hush && /iP(hone|ad|od)/.test(navigator.userAgent)) {
    hush = new Audio(new URL("silence.wav", soundsUrl).href);
    hush.loop = true;
    hush.play().catch(() => {
      hush = null;
    });
  }
}
