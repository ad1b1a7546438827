// The task of today stands at the head of the page: the first of the plan that has no tick. Ticked there it is ticked
// in the plan, stays to be seen for a moment, in which the tick can be taken back, and makes room for the next.

import { say } from "./common/words.js";
import { PLAN_SHOWN } from "./plan.js";

/** Milliseconds for which a task that is done is still to be seen. */
const MOMENT = 2000;

export function prepareToday() {
  const line = document.getElementById("today");
  const plan = document.getElementById("plan");
  const tick = document.getElementById("today-tick");
  if (!line || !plan || !(tick instanceof HTMLInputElement)) return;
  const boxes = /** @type {HTMLInputElement[]} */ ([...plan.querySelectorAll("input[data-task]")]);
  /** The task that is shown. @type {HTMLInputElement | undefined} */
  let task = boxes[0];
  let timer = 0;

  const show = () => {
    task = boxes.find((box) => !box.checked);
    tick.checked = false;
    tick.hidden = !task;
    write("today-day", task?.closest("ul")?.previousElementSibling?.textContent ?? "");
    write("today-task", task?.labels?.[0]?.textContent ?? say("plan-done"));
    const link = task?.closest("li")?.querySelector("a.to-bars");
    document.getElementById("today-bars")?.replaceChildren(...(link ? [link.cloneNode(true)] : []));
  };

  plan.addEventListener(PLAN_SHOWN, () => {
    clearTimeout(timer);
    if (!task?.checked || !tick.checked) show();
    else timer = window.setTimeout(show, MOMENT);
  });
  tick.addEventListener("change", () => {
    if (!task) return;
    task.checked = tick.checked;
    task.dispatchEvent(new Event("input", { bubbles: true }));
  });
  tick.disabled = false;
  show();
}

/** @param {string} id @param {string} text */
function write(id, text) {
  const place = document.getElementById(id);
  if (place) place.textContent = text;
}
