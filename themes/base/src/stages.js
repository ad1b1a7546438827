// Which stage is open: changing it changes drawing, words, sound and address, and keeps the place.

import { byId, element } from "./common/dom.js";
import { settings } from "./common/settings.js";
import { say } from "./common/words.js";
import { announce, sayAt } from "./say.js";

/**
 * @param {object} page
 * @param {HTMLElement} page.article
 * @param {HTMLElement} page.music
 * @param {import("./score/data.js").PieceFiles} page.files
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./score/systems.js").Systems} page.systems
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./place.js").Place} page.place
 */
export function createStages({ article, music, files, piece, systems, player, place }) {
  let index = Math.max(0, piece.stages.findIndex((stage) => stage.slug === article.dataset.stage));
  /** The turn of the last wish: of two quick taps the later counts. */
  let turn = 0;
  /** @type {((stage: import("./score/data.js").StageData) => void)[]} */
  const listeners = [];
  const links = /** @type {HTMLAnchorElement[]} */ ([...document.querySelectorAll(".ladder a")]);

  /** What the title of the page says behind that of the stage. */
  const library = document.title.slice(`${piece.title}: ${piece.stages[index].title}`.length);

  const current = () => piece.stages[index];

  for (const link of links) {
    link.addEventListener("click", (event) => {
      if (event.metaKey || event.ctrlKey || event.shiftKey) return;
      event.preventDefault();
      open(link.dataset.stage ?? "");
    });
  }
  // Another layout, or another scale of the same, comes with another width of the screen, and with larger notes.
  let width = 0;
  const resized = () => {
    const first = systems.all()[0];
    const holder = first?.box.closest(".systems");
    if (!(holder instanceof HTMLElement)) return;
    if (holder.dataset.layout !== systems.layout(current())) redraw();
    else if (width && first.box.offsetWidth && first.box.offsetWidth !== width) place.stay();
    width = systems.all()[0]?.box.offsetWidth ?? 0;
  };
  new ResizeObserver(resized).observe(music);
  settings.on((value, before) => value.size !== before.size && resized());

  /** @param {string} slug */
  async function open(slug) {
    const next = piece.stages.findIndex((stage) => stage.slug === slug);
    if (next < 0) return;
    // also a wish for the open stage, which takes back one that is on its way
    const mine = ++turn;
    if (next === index) return;
    const stage = piece.stages[next];
    try {
      await files.timing(stage);
    } catch {
      announce(say("no-data"));
      return;
    }
    if (mine !== turn) return;
    index = next;
    await player.open(stage);
    if (mine !== turn) return;
    words(stage);
    await redraw();
    if (mine !== turn) return;
    history.replaceState(history.state, "", files.url(stage.url) + location.hash);
    announce(sayAt("stage", piece.bars, place.bar(), { title: stage.title }), { unseen: true });
  }

  /** Lays out the open stage with the place where the eye is kept at its height. */
  async function redraw() {
    const laid = place.keep(() => systems.show(current()));
    for (const listener of listeners) listener(current());
    await laid;
  }

  /** @param {import("./score/data.js").StageData} stage */
  function words(stage) {
    article.dataset.stage = stage.slug;
    byId("stage-title", HTMLElement).textContent = stage.title;
    for (const line of document.querySelectorAll(".listen")) line.textContent = stage.listen;
    list(byId("stage-hands", HTMLElement), stage.hands);
    const techniques = byId("stage-techniques", HTMLElement);
    techniques.hidden = !stage.techniques.length;
    list(techniques.querySelector("ul"), stage.techniques);
    const described = byId("stage-words", HTMLElement);
    const summary = described.querySelector("p");
    if (summary) summary.textContent = stage.described[0];
    list(described.querySelector("ol"), stage.described.slice(1));
    for (const link of links) {
      if (link.dataset.stage === stage.slug) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    const places = { "print-stage": stage.print, "file-midi": stage.midi, "file-musicxml": stage.musicxml };
    for (const [id, file] of Object.entries(places)) byId(id, HTMLAnchorElement).href = files.url(file);
    document.title = `${piece.title}: ${stage.title}${library}`;
  }

  return {
    current,
    open,
    /**
     * The step of the ladder below (-1) or above (1), if there is one; what is practised beside the ladder is no step.
     * @param {number} by
     */
    neighbour(by) {
      let next = index + by;
      while (piece.stages[next]?.side_study) next += by;
      return piece.stages[next] ?? null;
    },
    /** The stages as they will be needed: the open one, what is above it, what is below. */
    asNeeded: () => [...piece.stages.slice(index), ...piece.stages.slice(0, index).reverse()].map((stage) => stage.slug),
    /** @param {(stage: import("./score/data.js").StageData) => void} listener hears when a stage has been laid out */
    onOpen(listener) {
      listeners.push(listener);
    },
    /** Takes over the stage that the page came with. */
    async adopt() {
      systems.adopt(current());
      await player.open(current());
      for (const listener of listeners) listener(current());
    },
  };
}

/** @typedef {ReturnType<typeof createStages>} Stages */

/** @param {Element | null} holder @param {string[]} lines */
function list(holder, lines) {
  holder?.replaceChildren(...lines.map((line) => element("li", {}, [line])));
}
