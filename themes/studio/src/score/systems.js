// The systems of the open stage: pictures until they come near the screen, then live engravings.

import { element } from "../common/dom.js";
import { readEngraving } from "./engraving.js";

/**
 * @typedef {object} System
 * @property {HTMLElement} box
 * @property {number} first index of its first bar
 * @property {number} last
 * @property {string} file
 * @property {number} width
 * @property {number} height
 * @property {import("./engraving.js").Engraving | null} engraving
 */

/**
 * @param {HTMLElement} music
 * @param {import("./data.js").PieceFiles} files
 * @param {(first: number, last: number) => string} label says which bars a picture shows
 */
export function createSystems(music, files, label) {
  /** @type {System[]} */
  let open = [];
  /** @type {Map<Element, System>} */
  const byBox = new Map();
  /** @type {((system: System) => void)[]} */
  const drawnListeners = [];
  /** @type {Set<System>} */
  const waiting = new Set();
  let busy = false;

  const near = new IntersectionObserver(
    (entries) => {
      for (const entry of entries) {
        const system = byBox.get(entry.target);
        if (!system) continue;
        if (entry.isIntersecting) waiting.add(system);
        else putAway(system);
      }
      drawWaiting();
    },
    { rootMargin: "100% 0px" },
  );

  /** Draws what has come near, one system at a time, so that a tap never waits long. */
  async function drawWaiting() {
    if (busy) return;
    busy = true;
    for (let system = nextWaiting(); system; system = nextWaiting()) {
      waiting.delete(system);
      await draw(system);
      await new Promise((resolve) => setTimeout(resolve));
    }
    busy = false;
  }

  /** What is on the screen goes before what is near. */
  function nextWaiting() {
    const all = [...waiting];
    return all.find((system) => onScreen(system.box)) ?? all[0];
  }

  /** @param {System} system */
  async function draw(system) {
    if (system.engraving) return;
    const text = await files.drawing(system.file).catch(() => null);
    if (text === null || system.engraving || byBox.get(system.box) !== system) return;
    system.engraving = readEngraving(text, system.first);
    system.engraving.svg.setAttribute("aria-label", label(system.first, system.last));
    system.engraving.svg.setAttribute("role", "img");
    system.box.querySelector("img")?.replaceWith(system.engraving.svg);
    for (const listener of drawnListeners) listener(system);
  }

  /** @param {System} system */
  function putAway(system) {
    waiting.delete(system);
    if (!system.engraving) return;
    system.engraving.svg.replaceWith(picture(system));
    system.engraving = null;
  }

  /** @param {System} system */
  function picture(system) {
    return element("img", {
      class: "engraved",
      src: files.url(system.file),
      width: String(Math.round(system.width)),
      height: String(Math.round(system.height)),
      alt: label(system.first, system.last),
    });
  }

  /** The layout that the style sheet shows now. @param {import("./data.js").StageData} stage */
  function layout(stage) {
    const boxes = /** @type {HTMLElement[]} */ ([...music.querySelectorAll(":scope > .systems")]);
    const shown = boxes.find((box) => getComputedStyle(box).display !== "none");
    return shown?.dataset.layout ?? Object.keys(stage.layouts)[0];
  }

  /** @param {System[]} next */
  function watch(next) {
    near.disconnect();
    waiting.clear();
    byBox.clear();
    open = next;
    for (const system of open) {
      byBox.set(system.box, system);
      near.observe(system.box);
    }
  }

  /** @param {HTMLElement} holder @param {import("./data.js").SystemRow[]} rows */
  function fill(holder, rows) {
    const made = rows.map(([file, first, last, width, height]) => {
      const box = element("div", { class: "system", "data-first": String(first), "data-last": String(last) });
      /** @type {System} */
      const system = { box, first, last, file, width, height, engraving: null };
      box.append(picture(system));
      return system;
    });
    holder.replaceChildren(...made.map((system) => system.box));
    return made;
  }

  return {
    layout,
    /** @returns {readonly System[]} */
    all: () => open,
    /** @param {number} bar */
    systemOf: (bar) => open.find((system) => system.first <= bar && bar <= system.last) ?? null,
    /** @param {(system: System) => void} listener hears of each system as it comes alive */
    onDrawn(listener) {
      drawnListeners.push(listener);
    },

    /** Takes over the pictures that the page came with. @param {import("./data.js").StageData} stage */
    adopt(stage) {
      const name = layout(stage);
      const holder = music.querySelector(`:scope > .systems[data-layout="${name}"]`);
      const boxes = /** @type {HTMLElement[]} */ ([...(holder?.children ?? [])]);
      watch(
        stage.layouts[name].map(([file, first, last, width, height], index) => {
          return { box: boxes[index], first, last, file, width, height, engraving: null };
        }),
      );
    },

    /** Lays out another stage. @param {import("./data.js").StageData} stage */
    show(stage) {
      /** @type {System[]} */
      let shown = [];
      const name = layout(stage);
      for (const holder of music.querySelectorAll(":scope > .systems")) {
        if (!(holder instanceof HTMLElement)) continue;
        if (holder.dataset.layout === name) shown = fill(holder, stage.layouts[name] ?? []);
        else holder.replaceChildren();
      }
      watch(shown);
      // The pictures on the screen are replaced at once, so that no flash of an old stage is seen.
      return Promise.all(shown.filter((system) => onScreen(system.box)).map(draw));
    },
  };
}

/** @typedef {ReturnType<typeof createSystems>} Systems */

/** @param {HTMLElement} box */
export function onScreen(box) {
  const place = box.getBoundingClientRect();
  return place.bottom > 0 && place.top < innerHeight;
}
