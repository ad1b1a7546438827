// The sheet on which the rhythm of a bar is tapped: a bar is counted in, then each tap on the pad or the space key is
// held against the notes, and the page says of each of them in words whether it came early or late.

import { byId, element } from "../common/dom.js";
import { openSheet } from "../common/sheets.js";
import { say } from "../common/words.js";
import { barInWords } from "../say.js";
import { drawBar } from "../score/pairs.js";
import { judge } from "./judging.js";
import { taskOf } from "./task.js";

/** Seconds before the first click, in which a device wakes up. */
const SOON = 0.15;
/** Milliseconds in which a click is taken for the end of a tap that is counted already. */
const SAME = 700;

/** @typedef {{task: import("./task.js").Task, begins: number, taps: number[], frame: number}} Run `begins` on the sound's clock */

/**
 * @param {object} page
 * @param {import("../score/data.js").PieceFiles} page.files
 * @param {import("../score/data.js").PieceData} page.piece
 * @param {import("../play/player.js").Player} page.player
 * @param {import("../stages.js").Stages} page.stages
 * @param {import("../place.js").Place} page.place
 */
export function prepareRhythm({ files, piece, player, stages, place }) {
  const sheet = byId("rhythm", HTMLDialogElement);
  const pad = byId("rhythm-pad", HTMLButtonElement);
  const choice = byId("rhythm-bar", HTMLSelectElement);
  const hands = byId("rhythm-hands", HTMLSelectElement);
  const dots = byId("rhythm-beats", HTMLElement);
  const said = byId("rhythm-said", HTMLElement);
  const told = byId("rhythm-notes", HTMLElement);
  /** @type {Run | null} */
  let run = null;
  let pressed = -SAME;
  /** The turn of the last bar that was asked for. */
  let turn = 0;

  choice.append(...piece.bars.map((_, index) => element("option", { value: String(index) }, [barInWords(piece.bars, index)])));
  for (const select of [choice, hands]) select.addEventListener("change", show);
  sheet.addEventListener("close", stop);

  pad.addEventListener("pointerdown", (event) => {
    if (event.isPrimary && event.button === 0) press(event);
  });
  // assistive technology clicks without a pointer
  pad.addEventListener("click", (event) => {
    if (event.timeStamp - pressed > SAME) press(event);
  });
  for (const type of ["keydown", "keyup"]) {
    sheet.addEventListener(type, (event) => {
      if (!(event instanceof KeyboardEvent) || event.key !== " " || !(event.target instanceof Element)) return;
      if (!run && event.target !== pad && event.target.closest("select, button")) return;
      event.preventDefault();
      if (type === "keydown" && !event.repeat) press(event);
    });
  }

  function open() {
    player.pause();
    choice.value = String(place.bar());
    hands.value = player.state.get().hands;
    byId("practice", HTMLDialogElement).close();
    openSheet("rhythm");
    show();
  }

  /** @param {Event} event */
  function press(event) {
    pressed = event.timeStamp;
    if (!run) start();
    else if (run.begins) {
      const heard = player.sound()?.heard() ?? 0;
      run.taps.push(heard - (performance.now() - event.timeStamp) / 1000 - run.begins);
      pad.animate?.([{ opacity: 0.6 }, { opacity: 1 }], 150);
    }
  }

  /** Draws the bar that is chosen. */
  async function show() {
    stop();
    const mine = ++turn;
    sheet.dataset.hands = hands.value;
    said.classList.remove("unseen");
    said.textContent = "";
    told.replaceChildren();
    byId("rhythm-tempo", HTMLElement).textContent = say("tempo-at", { percent: player.state.get().percent, count: player.beats() });
    const drawing = await drawBar({ files, piece, stage: stages.current(), bar: Number(choice.value) }).catch(() => null);
    if (mine === turn) byId("rhythm-music", HTMLElement).replaceChildren(...(drawing ? [drawing] : []));
  }

  async function start() {
    const timing = player.timing();
    if (!timing) return;
    /** @type {Run} */
    const mine = (run = { task: /** @type {any} */ (null), begins: 0, taps: [], frame: 0 });
    const awake = player.wake([]);
    const notes = await files.stageNotes(stages.current()).catch(() => null);
    const sounds = await awake;
    if (run !== mine) return;
    if (!sounds || !notes) {
      stop();
      // why not has been said by the player
      said.textContent = byId("saying", HTMLElement).textContent;
      return;
    }
    const taps = (/** @type {"left" | "right"} */ hand) => hands.value === "both" || hands.value === hand;
    const task = taskOf({ bar: Number(choice.value), bars: player.bars, timing, notes, taps, speed: player.state.get().percent / 100 });
    const sound = player.sound();
    if (!task.onsets.length || !sound) {
      stop();
      said.textContent = say("tap-none");
      return;
    }
    const first = sound.now() + SOON;
    mine.task = task;
    mine.begins = first + task.before * task.beat;
    for (let beat = 0; beat < task.before; beat += 1) sound.click(first + beat * task.beat, beat === 0);
    for (const click of task.clicks) sound.click(mine.begins + click.at, click.strong);
    told.replaceChildren();
    said.classList.remove("unseen");
    said.textContent = say("tap-counted");
    pad.textContent = say("tap-now");
    const marks = [...Array.from({ length: task.before }, (_, beat) => (beat - task.before) * task.beat), ...task.clicks.map(({ at }) => at)];
    dots.replaceChildren(...marks.map((at) => element("li", { class: at < -1e-6 ? "counted" : "" })));
    const step = () => {
      const at = sound.heard() - mine.begins;
      marks.forEach((mark, index) => dots.children[index].classList.toggle("now", mark <= at && at < (marks[index + 1] ?? task.length)));
      if (at > task.length + task.beat / 2) finish(mine);
      else mine.frame = requestAnimationFrame(step);
    };
    mine.frame = requestAnimationFrame(step);
  }

  /** @param {Run} done */
  function finish({ task, taps }) {
    stop();
    // what was tapped along while the bar was counted in
    const meant = taps.filter((tap) => tap > -task.beat / 2);
    const { verdicts, extra } = judge(task.onsets, meant, task.beat);
    const lines = verdicts.map((verdict, index) => `${say("beat", { beat: task.beats[index] })}: ${say(`tap-${verdict}`)}`);
    told.replaceChildren(...lines.map((line, index) => element("li", { class: `tap-${verdicts[index]}` }, [line])));
    const heard = lines.filter((_, index) => verdicts[index] !== "in-time");
    if (extra) heard.push(say("tap-extra"));
    // what the list shows is for listeners only
    said.classList.toggle("unseen", meant.length > 0 && heard.length > 0);
    if (!meant.length) {
      told.replaceChildren();
      said.textContent = say("tap-nothing");
    } else said.textContent = heard.length ? `${heard.join(". ")}.` : say("tap-all");
    pad.textContent = say("tap-again");
  }

  function stop() {
    if (!run) return;
    cancelAnimationFrame(run.frame);
    run = null;
    player.sound()?.silence();
    dots.replaceChildren();
    pad.textContent = say("tap-start");
  }

  return { open };
}
