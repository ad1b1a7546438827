// The data of a piece, fetched once each when first needed.

import { readSheet } from "./sheet.js";

/** Parsed sheets that are held: those near the screen, and some to go back to. */
const SHEETS = 4;

/**
 * Times are strings that hold fractions of a quarter note ("3/2"), counted from the start of the bar.
 * @typedef {[first: number, last: number, y: number, height: number]} SystemRow its bars, and its place on the sheet
 * @typedef {[file: string, width: number, systems: SystemRow[]]} SheetRow
 * @typedef {{file: string, index: number, first: number, last: number, y: number, width: number, height: number}} SystemPlace
 * @typedef {{number: string, own?: string, length: string, beat: string, lead: string}} BarRow
 * @typedef {{bar: number, onset: string, numeral: string, symbol: string, key: string}} HarmonyRow
 * @typedef {{bar: number, onset: string, value: number, parts: [string, number][]}} TensionRow
 * @typedef {object} StageData
 * @property {string} slug
 * @property {string} title
 * @property {string} listen
 * @property {string[]} techniques
 * @property {boolean} side_study
 * @property {boolean} as_written
 * @property {string[]} described
 * @property {string[]} hands
 * @property {string} url
 * @property {string} print
 * @property {string} midi
 * @property {string} musicxml
 * @property {string} timing
 * @property {Record<string, SheetRow[]>} layouts
 * @typedef {{slug: string, title: string, bars: BarRow[], staves: ("left" | "right")[], harmonies: HarmonyRow[], tension: TensionRow[], beats: Record<string, string>, stages: StageData[]}} PieceData
 * `beats` says of each beat of its metres, a fraction of a quarter, what note that is
 *
 * @typedef {object} StageNote
 * @property {string} id
 * @property {number} bar
 * @property {number} onset in quarters from the start of the bar
 * @property {number} duration in quarters
 * @property {string} pitch such as "Bb3"
 * @property {string} spoken the pitch in the library's language
 * @property {string} beat
 * @property {number} midi
 * @property {"left" | "right"} hand
 * @property {string[]} sources
 * @property {string[]} noteheads
 * @property {string} value its length in words
 *
 * @typedef {[bar: number, onset: string, pitch: string, beat: string, fn: string, why: string]} ScoreNoteRow
 * @typedef {[id: string, bar: number, onset: string, duration: string, pitch: string, beat: number, hand: 0 | 1, sources?: string[], noteheads?: string[]]} CardRow
 * @typedef {{cards: CardRow[], pitches: Record<string, [spoken: string, midi: number]>, values: Record<string, string>, beats: string[]}} Cards
 */

/** The systems of a layout in order, each with its place on its sheet. @param {SheetRow[]} sheets @returns {SystemPlace[]} */
export function systemsOf(sheets) {
  return sheets.flatMap(([file, width, rows]) => {
    return rows.map(([first, last, y, height], index) => ({ file, index, first, last, y, width, height }));
  });
}

/** A fraction of a quarter as a number. @param {string} text */
export function quarters(text) {
  const [above, below] = text.split("/");
  return Number(above) / Number(below ?? 1);
}

/**
 * Fetches what a piece's folder holds.
 * @param {URL} folder
 */
export function openPiece(folder) {
  /** @type {Map<string, Promise<any>>} */
  const fetched = new Map();
  /** The sheets among them, the last used at the end. @type {Set<string>} */
  const sheets = new Set();

  /** @param {string} file */
  const url = (file) => new URL(file, folder).href;

  /** @param {string} file */
  function json(file) {
    return remembered(file, (response) => response.json());
  }

  /** @param {string} file @param {(response: Response) => Promise<any>} read */
  function remembered(file, read) {
    let promise = fetched.get(file);
    if (!promise) {
      promise = fetch(url(file)).then((response) => {
        if (!response.ok) throw new Error(`${file}: ${response.status}`);
        return read(response);
      });
      // A failure is not remembered: the next tap may find a connection.
      promise.catch(() => fetched.delete(file));
      fetched.set(file, promise);
    }
    return promise;
  }

  return {
    url,
    /** @returns {Promise<PieceData>} */
    piece: () => json("piece.json"),
    /** @param {StageData} stage @returns {Promise<import("../play/timeline.js").Timing>} */
    timing: (stage) => remembered(stage.timing, read),
    /** @returns {Promise<Record<string, ScoreNoteRow>>} */
    scoreNotes: () => json("notes.json"),
    /** Why each of the piece's harmonies is what it is. @returns {Promise<string[]>} */
    harmonies: () => json("harmonies.json"),
    /** @param {StageData} stage @returns {Promise<StageNote[]>} */
    async stageNotes(stage) {
      return (await remembered(stage.timing, read)).stageNotes;
    },
    /** @param {string} file @returns {Promise<Element>} */
    sheet(file) {
      const sheet = remembered(file, async (response) => readSheet(await response.text()));
      sheets.delete(file);
      sheets.add(file);
      if (sheets.size > SHEETS) {
        const [oldest] = sheets;
        sheets.delete(oldest);
        fetched.delete(oldest);
      }
      return sheet;
    },
  };
}

/** @typedef {ReturnType<typeof openPiece>} PieceFiles */

/**
 * The timing file: when notes sound, and their cards, of which each note has its pitch and its hand.
 * @param {Response} response
 */
async function read(response) {
  /** @type {import("../play/timeline.js").Timing & Cards & {velocities: number[]}} */
  const told = await response.json();
  const stageNotes = told.cards.map((row) => stageNote(row, told));
  const known = new Map(stageNotes.map((note) => [note.id, note]));
  told.notes.forEach((note, index) => {
    const { midi, hand } = /** @type {StageNote} */ (known.get(note.id));
    Object.assign(note, { midi, hand, velocity: told.velocities[index] });
  });
  return { ...told, stageNotes };
}

/** @param {CardRow} row @param {Cards} words @returns {StageNote} */
function stageNote([id, bar, onset, duration, pitch, beat, hand, sources, noteheads], { pitches, values, beats }) {
  const [spoken, midi] = pitches[pitch];
  return {
    ...{ id, bar, onset: quarters(onset), duration: quarters(duration), pitch, spoken, midi },
    hand: hand ? "left" : "right",
    beat: beats[beat],
    value: values[duration],
    sources: sources?.length ? sources : [id],
    noteheads: noteheads ?? [],
  };
}
