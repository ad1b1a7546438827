// The systems of the open stage: live engravings near the screen, empty rooms of the same shape elsewhere. A picture of
// a system holds the whole sheet that it is part of, so there is one only where a drawing is not to be had.

import { drawn, element } from "../common/dom.js";
import { systemsOf } from "./data.js";
import { readEngraving } from "./engraving.js";
import { viewOf } from "./sheet.js";

/**
 * `first` and `last` are the indices of its bars; `file` and `index` say where it is drawn.
 * @typedef {import("./data.js").SystemPlace & {box: HTMLElement, engraving: import("./engraving.js").Engraving | null}} System
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
  /** What is to be drawn, or is drawn. @type {Set<System>} */
  const isNear = new Set();
  let busy = false;
  /** How much of the height of a system is shown, as long as it is not drawn. */
  let share = 1;

  const near = new IntersectionObserver(
    (entries) => {
      for (const entry of entries) {
        const system = byBox.get(entry.target);
        if (!system) continue;
        if (entry.isIntersecting) {
          isNear.add(system);
          waiting.add(system);
        } else putAway(system);
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
    const sheet = await files.sheet(system.file).catch(() => null);
    if (system.engraving || byBox.get(system.box) !== system || !isNear.has(system)) return;
    if (sheet === null) {
      fillRoom(system);
      return;
    }
    system.engraving = readEngraving(sheet, system);
    system.engraving.svg.setAttribute("aria-label", label(system.first, system.last));
    system.engraving.svg.setAttribute("role", "img");
    system.box.querySelector(".cut")?.replaceWith(system.engraving.svg);
    for (const listener of drawnListeners) listener(system);
  }

  /** @param {System} system */
  function putAway(system) {
    waiting.delete(system);
    isNear.delete(system);
    if (system.engraving) system.engraving.svg.replaceWith(room(system, share));
    else system.box.querySelector(".cut > img")?.remove();
    system.engraving = null;
  }

  /** Takes a picture away: a lazy one would be fetched for paper even when it is gone, and from the address that the
   * page has by then. @param {Element | null} picture */
  function forget(picture) {
    picture?.removeAttribute("src");
    picture?.remove();
  }

  /** Lays the picture of a system into its room. @param {System} system */
  function fillRoom(system) {
    const src = viewOf(files.url(system.file), system);
    const holder = system.box.querySelector(".cut");
    if (!holder?.querySelector("img")) holder?.append(element("img", { src, alt: label(system.first, system.last) }));
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
    isNear.clear();
    byBox.clear();
    open = next;
    for (const system of open) {
      byBox.set(system.box, system);
      near.observe(system.box);
    }
  }

  /** @param {HTMLElement} holder @param {import("./data.js").SheetRow[]} sheets */
  function fill(holder, sheets) {
    const made = systemsOf(sheets).map((place) => {
      const box = element("div", { class: "system", "data-first": String(place.first), "data-last": String(place.last) });
      /** @type {System} */
      const system = { ...place, box, engraving: null };
      box.append(room(system, share));
      return system;
    });
    holder.replaceChildren(...made.map((system) => system.box));
    return made;
  }

  return {
    layout,
    /** Gives systems that are not drawn the room of some of their staves. @param {number} shown @param {number} staves */
    showStaves(shown, staves) {
      share = shown / staves;
      for (const system of open) if (!system.engraving) system.box.querySelector(".cut")?.replaceWith(room(system, share));
    },
    /** @returns {readonly System[]} */
    all: () => open,
    /** @param {number} bar */
    systemOf: (bar) => open.find((system) => system.first <= bar && bar <= system.last) ?? null,
    /** @param {(system: System) => void} listener hears of each system as it comes alive */
    onDrawn(listener) {
      drawnListeners.push(listener);
    },

    /** Takes over the pictures that the page came with; larger notes, which none come with, are laid out. @param {import("./data.js").StageData} stage */
    adopt(stage) {
      const name = layout(stage);
      const holder = music.querySelector(`:scope > .systems[data-layout="${name}"]`);
      if (!holder?.children.length) {
        this.show(stage);
        return;
      }
      const boxes = /** @type {HTMLElement[]} */ ([...(holder?.children ?? [])]);
      for (const box of boxes) if (!onScreen(box)) forget(box.querySelector(".cut > img"));
      watch(
        systemsOf(stage.layouts[name]).map((place, index) => ({ ...place, box: boxes[index], engraving: null })),
      );
    },

    /** Lays out another stage. @param {import("./data.js").StageData} stage */
    show(stage) {
      /** @type {System[]} */
      let shown = [];
      const name = layout(stage);
      for (const holder of music.querySelectorAll(":scope > .systems")) {
        if (!(holder instanceof HTMLElement)) continue;
        for (const picture of holder.querySelectorAll("img")) forget(picture);
        if (holder.dataset.layout === name) shown = fill(holder, stage.layouts[name] ?? []);
        else holder.replaceChildren();
      }
      watch(shown);
      // The pictures on the screen are replaced at once, so that no flash of an old stage is seen.
      const seen = shown.filter((system) => onScreen(system.box));
      for (const system of seen) isNear.add(system);
      return Promise.all(seen.map(draw));
    },
  };
}

/** @typedef {ReturnType<typeof createSystems>} Systems */

/** The place of a system that is not drawn, in its shape. @param {System} system @param {number} share of its height */
function room({ width, height }, share) {
  return element("span", { class: "cut" }, [drawn("svg", { viewBox: `0 0 ${Math.round(width)} ${Math.round(share * height)}` })]);
}

/** @param {HTMLElement} box */
export function onScreen(box) {
  const place = box.getBoundingClientRect();
  return place.bottom > 0 && place.top < innerHeight;
}
