// The piano as the page holds it: fetched at the first tap, and built anew when the device has taken it away.

import { engineUrl, rootUrl } from "../common/words.js";

/** Milliseconds in which a context that may sound does. */
const PATIENCE = 1500;

/** The device keeps its sound to itself: a call comes in, or another program has it. */
export class Interrupted extends Error {}

/** The folder of the samples. */
export const soundsUrl = new URL("sounds/", rootUrl);

/**
 * @param {object} page
 * @param {() => number[]} page.soon the notes that sound next, which are waited for
 * @param {() => number[]} page.later those after them, which come while it plays
 * @param {(engine: import("./engine.js").Engine) => void} page.onEngine hears of each new engine, before it sounds
 * @param {(done: number, all: number) => void} page.onMore hears how many recordings are there of those waited for
 */
export function createPiano({ soon, later, onEngine, onMore }) {
  /** @type {import("./engine.js").Engine | null} */
  let engine = null;
  /** The context of a tap that no engine has yet. @type {AudioContext | null} */
  let opened = null;
  /** @type {Promise<void> | undefined} */
  let resumed;

  /** @param {AudioContext} context */
  async function build(context) {
    const { createEngine } = /** @type {typeof import("./engine.js")} */ (await import(engineUrl.href));
    engine = createEngine(soundsUrl, context);
    onEngine(engine);
    return engine;
  }

  /** Fetches what comes later; what fails is fetched when it is due. */
  const fetchLater = () => void engine?.prepare(later()).catch(() => undefined);

  /**
   * Makes or resumes the context. To be called in a tap: elsewhere the device may keep it silent, and WebKit counts as
   * within a tap only what happens before anything is awaited.
   */
  function begin() {
    speakUp();
    if (!engine || engine.state() === "closed") opened ??= newContext();
    resumed = whether((opened ?? engine)?.resume());
  }

  return {
    engine: () => engine,
    begin,
    /**
     * Makes the piano ready to sound. To be called in a tap, or after one that has called `begin`.
     * Rejects when the piano cannot be fetched, and with `Interrupted` where the device gives no sound now: WebKit then
     * refuses to resume, or leaves it open until the interruption is over.
     * @param {number[]} [midis] the notes that are to sound at once; without them what the music has next
     */
    async wake(midis) {
      begin();
      const [fresh, sounding] = [opened, resumed];
      opened = null;
      let awake = fresh ? await build(fresh) : /** @type {import("./engine.js").Engine} */ (engine);
      await settled(sounding);
      if (awake.state() !== "running") {
        // After a call or a change of tab a context can be dead for good: another one is not.
        awake.close();
        const other = newContext();
        const again = whether(other.resume());
        awake = await build(other);
        await settled(again);
      }
      if (awake.state() !== "running") throw new Interrupted();
      await awake.prepare(midis ?? soon(), { begin: true, onMore });
      fetchLater();
    },
    /** The music is another: what it needs is fetched, if anything sounds yet. */
    renew: fetchLater,
  };
}

/** A refusal is no error: whether a context sounds, its state tells. @param {Promise<void> | undefined} resumed */
const whether = (resumed) => resumed?.catch(() => undefined);

/** Waits until a context sounds or does not. @param {Promise<void> | undefined} resumed */
const settled = (resumed) => Promise.race([resumed, new Promise((resolve) => setTimeout(resolve, PATIENCE))]);

const newContext = () => new AudioContext({ latencyHint: "interactive" });

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
