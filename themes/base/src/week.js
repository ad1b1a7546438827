// The page of the week: what is set between this Monday and Sunday, and everything where it is asked for.

import { byId } from "./common/dom.js";
import { prepareSheets } from "./common/sheets.js";
import { mondayOf, moved, today } from "./set/days.js";

prepareSheets();
const first = mondayOf(today());
const last = moved(first, 6);
const parts = /** @type {HTMLElement[]} */ ([...document.querySelectorAll(".week-part")]);
const all = byId("show-all", HTMLButtonElement);
const none = byId("none", HTMLElement);

show(false);
all.hidden = !parts.some((part) => part.hidden || part.querySelector("li[hidden]"));
all.addEventListener("click", () => {
  show(true);
  all.hidden = true;
});
const print = byId("print", HTMLButtonElement);
print.hidden = false;
print.addEventListener("click", () => window.print());

/** @param {boolean} everything */
function show(everything) {
  for (const part of parts) {
    const { begins = "", ends = "" } = part.dataset;
    part.hidden = !everything && (ends < first || begins > last);
    for (const task of /** @type {NodeListOf<HTMLElement>} */ (part.querySelectorAll("li[data-date]"))) {
      const { date = "" } = task.dataset;
      task.hidden = !everything && (date < first || date > last);
    }
  }
  none.hidden = parts.some((part) => !part.hidden);
}
