// The systems of the open stage: pictures until they come near the screen, then live engravings.

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
    const sheet = await files.sheet(system.file).catch(() => null);
    if (sheet === null || system.engraving || byBox.get(system.box) !== system) return;
    system.engraving = readEngraving(sheet, system);
    system.engraving.svg.setAttribute("aria-label", label(system.first, system.last));
    system.engraving.svg.setAttribute("role", "img");
    system.box.querySelector(".cut")?.replaceWith(system.engraving.svg);
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
    return element("span", { class: "cut" }, [
      // The room for it: a picture that is part of a file has no shape of its own.
      drawn("svg", { viewBox: `0 0 ${Math.round(system.width)} ${Math.round(system.height)}` }),
      element("img", { src: viewOf(files.url(system.file), system), alt: label(system.first, system.last) }),
    ]);
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

  /** @param {HTMLElement} holder @param {import("./data.js").SheetRow[]} sheets */
  function fill(holder, sheets) {
    const made = systemsOf(sheets).map((place) => {
      const box = element("div", { class: "system", "data-first": String(place.first), "data-last": String(place.last) });
      /** @type {System} */
      const system = { ...place, box, engraving: null };
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

    /** Takes over the pictures that the page came with; larger notes, which none come with, are laid out. @param {import("./data.js").StageData} stage */
    adopt(stage) {
      const name = layout(stage);
      const holder = music.querySelector(`:scope > .systems[data-layout="${name}"]`);
      if (!holder?.children.length) {
        this.show(stage);
        return;
      }
      const boxes = /** @type {HTMLElement[]} */ ([...(holder?.children ?? [])]);
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
