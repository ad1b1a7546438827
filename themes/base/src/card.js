// The card of a note: it sounds, and its pitch, what it stands for, its harmony and its function are told in words.

import { byId, element } from "./common/dom.js";
import { settings } from "./common/settings.js";
import { say } from "./common/words.js";
import { announce, barInWords, sayAt } from "./say.js";
import { quarters } from "./score/data.js";
import { signs, tensionInWords } from "./score/strip.js";

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceFiles} page.files
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./score/systems.js").Systems} page.systems
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./stages.js").Stages} page.stages
 */
export function prepareCard({ files, piece, systems, player, stages }) {
  const card = byId("card", HTMLElement);
  const text = byId("card-text", HTMLElement);
  /** @type {string | null} */
  let shown = null;
  let stage = stages.current();

  byId("card-close", HTMLButtonElement).addEventListener("click", hide);
  // Another layout of the same stage, as when a phone is turned, keeps the card and marks its note again.
  stages.onOpen((open) => {
    if (open !== stage) hide();
  });
  systems.onDrawn(mark);

  function hide() {
    choose(null);
    card.hidden = true;
  }

  /** @param {import("./score/systems.js").System} system */
  function mark(system) {
    if (shown) system.engraving?.notes.get(shown)?.classList.add("chosen");
  }

  /** @param {string | null} id */
  function choose(id) {
    shown = id;
    stage = stages.current();
    for (const system of systems.all()) {
      for (const chosen of system.box.querySelectorAll(".chosen")) chosen.classList.remove("chosen");
      mark(system);
    }
  }

  /** @param {string} id of the note as drawn */
  async function show(id) {
    choose(id);
    const first = id.replace(/\.\d+$/, "");
    let notes, score;
    try {
      [notes, score] = await Promise.all([files.stageNotes(stages.current()), files.scoreNotes()]);
    } catch {
      announce(say("no-data"));
      return;
    }
    const note = notes.find((each) => each.id === id || each.id === first || each.noteheads.includes(id));
    if (!note || shown !== id) return;
    // A note of a block is heard with the block.
    const block = notes.filter((each) => each.bar === note.bar && each.onset === note.onset && each.hand === note.hand);
    if (!player.state.get().playing) {
      player.goTo(note.bar);
      player.strike(block);
    }
    const place = `${barInWords(piece.bars, note.bar)}, ${say("beat", { beat: note.beat })}`;
    text.replaceChildren(
      element("h3", {}, [[note.spoken, place, note.value].filter(Boolean).join(" · ")]),
      element("dl", {}, [
        ...row(say("block"), block.length > 1 ? block.map((each) => each.spoken).join(" ") : ""),
        ...row(say("function"), functions(note, score)),
        ...row(say("harmony"), harmony(note), why(note)),
        ...row(say("tension"), settings.get().tension ? tension(note) : ""),
        ...row(say("stands-for"), standsFor(note, score)),
      ]),
    );
    card.hidden = false;
    announce(`${note.spoken}, ${place}, ${functions(note, score)}`, { unseen: true });
  }

  /** @param {import("./score/data.js").StageNote} note @param {Record<string, import("./score/data.js").ScoreNoteRow>} score */
  function functions(note, score) {
    const main = note.sources.find((id) => score[id]?.[2] === note.spoken) ?? note.sources[0];
    const found = score[main];
    if (!found) return "";
    return found[5] ? `${found[4]}: ${found[5]}` : found[4];
  }

  /** @param {import("./score/data.js").StageNote} note */
  function harmony(note) {
    const found = before(piece.harmonies, note).at(-1);
    if (!found || !(found.numeral || found.symbol)) return say("no-harmony");
    return say("harmony-of", { symbol: signs(found.symbol), numeral: signs(found.numeral), key: found.key });
  }

  /** What is unfolded by who asks why the harmony is this. @param {import("./score/data.js").StageNote} note */
  function why(note) {
    const place = before(piece.harmonies, note).length - 1;
    if (place < 0) return [];
    const told = element("p", { "aria-live": "polite" });
    const fold = element("details", { class: "why" }, [element("summary", {}, [say("why-harmony")]), told]);
    fold.addEventListener("toggle", async () => {
      try {
        told.textContent = (await files.harmonies())[place];
      } catch {
        announce(say("no-data"));
      }
    });
    return [fold];
  }

  /** The tension of the harmony under a note, with its parts. @param {import("./score/data.js").StageNote} note */
  function tension(note) {
    const found = before(piece.tension, note).at(-1);
    return found ? tensionInWords(piece, found) : "";
  }

  /** @param {import("./score/data.js").StageNote} note @param {Record<string, import("./score/data.js").ScoreNoteRow>} score */
  function standsFor(note, score) {
    const own = note.sources
      .filter((id) => score[id])
      .sort((a, b) => score[a][0] - score[b][0] || quarters(score[a][1]) - quarters(score[b][1]));
    if (own.length === 1 && own[0] === note.id) return say("itself");
    const told = own.slice(0, 8).map((id) => {
      const [bar, , pitch, beat] = score[id];
      return `${pitch} (${sayAt("place", piece.bars, bar)}, ${say("beat", { beat })})`;
    });
    return told.join("; ") + (own.length > 8 ? ` … (${own.length})` : "");
  }

  return {
    show,
    hide,
    /** The note after (1) or before (-1) the one that is shown, or the first of the bar. @param {number} by */
    async step(by) {
      const notes = (await files.stageNotes(stages.current())).filter((note) => player.hears(note.hand));
      const at = notes.findIndex((note) => note.id === shown || note.noteheads.includes(shown ?? ""));
      const bar = player.state.get().bar;
      const next = at >= 0 ? notes[at + by] : notes.find((note) => note.bar >= bar);
      if (next) await show(next.id);
    },
  };
}

/** @typedef {ReturnType<typeof prepareCard>} Card */

/**
 * What begins before a note or with it.
 * @template {{bar: number, onset: string}} T
 * @param {T[]} rows
 * @param {import("./score/data.js").StageNote} note
 */
function before(rows, note) {
  return rows.filter((each) => {
    return each.bar < note.bar || (each.bar === note.bar && quarters(each.onset) <= note.onset + 1e-6);
  });
}

/** @param {string} term @param {string} told @param {HTMLElement[]} [further] what stands below it */
function row(term, told, further = []) {
  return told ? [element("dt", {}, [term]), element("dd", {}, [told, ...further])] : [];
}
