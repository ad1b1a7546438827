// The ladder in the bar: the name of the open stage, a step down, a step up, and all its stages in a sheet.

import { byId } from "./common/dom.js";
import { openSheet } from "./common/sheets.js";
import { say } from "./common/words.js";

/** @param {import("./stages.js").Stages} stages */
export function prepareLadder(stages) {
  const sheet = byId("stages", HTMLDialogElement);
  const name = byId("stage-name", HTMLButtonElement);
  const links = /** @type {HTMLAnchorElement[]} */ ([...document.querySelectorAll(".ladder a")]);
  /** @type {[HTMLElement, number][]} */
  const steps = [
    [byId("step-down", HTMLButtonElement), -1],
    [byId("step-up", HTMLButtonElement), 1],
  ];

  // the page brings it among its words, where it serves without scripts
  const ladder = links[0]?.closest("nav");
  if (ladder) sheet.querySelector("h2")?.after(ladder);

  for (const [button, by] of steps) button.addEventListener("click", () => step(by));
  name.addEventListener("click", open);
  sheet.addEventListener("click", (event) => {
    const link = event.target instanceof Element ? event.target.closest("a") : null;
    if (link && !event.metaKey && !event.ctrlKey && !event.shiftKey) sheet.close();
  });
  sheet.addEventListener("keydown", ({ key, ctrlKey, metaKey, altKey }) => {
    if (!ctrlKey && !metaKey && !altKey && at(Number(key))) sheet.close();
  });
  stages.onOpen(show);

  /** @param {number} by */
  function step(by) {
    const next = stages.neighbour(by);
    if (next) stages.open(next.slug);
  }

  /** Opens the stage at a place of the ladder, 1 the first; says whether there is one. @param {number} place */
  function at(place) {
    const link = links[place - 1];
    if (link) stages.open(link.dataset.stage ?? "");
    return link !== undefined;
  }

  function open() {
    openSheet("stages");
    links.find((link) => link.hasAttribute("aria-current"))?.focus();
  }

  function show() {
    const { slug, title } = stages.current();
    const label = links.find((link) => link.dataset.stage === slug)?.querySelector(".number")?.textContent;
    const text = name.querySelector(".name");
    if (text) text.textContent = [label, title].filter(Boolean).join(" · ");
    for (const [button, by] of steps) {
      const next = stages.neighbour(by);
      const told = next ? say(by < 0 ? "step-down" : "step-up", { title: next.title }) : say("step-none");
      button.setAttribute("aria-disabled", String(!next));
      button.title = told;
      const words = button.querySelector(".unseen");
      if (words) words.textContent = told;
    }
  }

  return { step, at, open };
}

/** @typedef {ReturnType<typeof prepareLadder>} Ladder */
