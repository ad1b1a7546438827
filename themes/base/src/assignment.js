// An assignment: today's tasks first, ticks that stay on this device, and a text of what was done, to be sent by hand.

import { byId } from "./common/dom.js";
import { keep, recall } from "./common/kept.js";
import { keepOffline } from "./common/offline.js";
import { prepareSheets } from "./common/sheets.js";
import { datedFirst, today } from "./set/days.js";
import { reportOf } from "./set/report.js";

/** @typedef {{done: string[], word: string}} Kept */

prepareSheets();
const set = byId("set", HTMLElement);
const boxes = /** @type {HTMLInputElement[]} */ ([...set.querySelectorAll("input[data-task]")]);
const word = byId("own-word", HTMLTextAreaElement);
const report = byId("report", HTMLTextAreaElement);
const place = `set:${set.dataset.place}`;

const days = /** @type {HTMLElement[]} */ ([...set.querySelectorAll("section[data-date]")]);
showToday();
// on paper, which is read on other days too, the days stand in their order
addEventListener("beforeprint", inOrder);
addEventListener("afterprint", showToday);
prepareTicks();
prepareReport();
const print = byId("print", HTMLButtonElement);
print.hidden = false;
print.addEventListener("click", () => window.print());
keepOffline({ piece: new URL("./", location.href) });

/** Lays the tasks of today at the top; where there are none, those of the next day that has some. */
function showToday() {
  const first = datedFirst(days.map((day) => day.dataset.date ?? ""), today());
  const day = first === null ? undefined : days[first];
  const title = day?.querySelector("h2");
  if (!day || !title) return;
  const told = day.dataset.date === today() ? set.dataset.today : set.dataset.next;
  title.textContent = (told ?? "").replace("{date}", day.dataset.words ?? "");
  byId("set-today", HTMLElement).append(day);
}

function inOrder() {
  for (const day of days) {
    const title = day.querySelector("h2");
    if (title) title.textContent = day.dataset.words ?? "";
    byId("days", HTMLElement).append(day);
  }
}

function prepareTicks() {
  const kept = read(recall(place));
  if (kept) show(kept);
  // What is ticked in another tab is ticked here, so that neither writes over the other.
  addEventListener("storage", ({ key, newValue }) => {
    const there = key === place ? read(newValue) : null;
    if (there) show(there);
  });
  for (const box of boxes) box.disabled = false;
  let isKept = true;
  for (const field of [...boxes, word]) {
    field.addEventListener("input", () => {
      // also what this tab has not heard of yet, as one that has slept
      const there = isKept ? read(recall(place)) : null;
      if (there) show(there, field);
      isKept = keep(place, JSON.stringify({ done: done(), word: word.value }));
      tell();
    });
  }
}

function prepareReport() {
  byId("report-part", HTMLElement).hidden = false;
  tell();
  const copy = byId("copy", HTMLButtonElement);
  const said = byId("copy-said", HTMLElement);
  copy.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(report.value);
      said.textContent = copy.dataset.copied ?? "";
    } catch {
      // a browser may refuse, and over plain http it has no clipboard for pages
      report.focus();
      report.select();
      said.textContent = copy.dataset.here ?? "";
    }
  });
  const send = byId("send", HTMLButtonElement);
  if (!navigator.share) return;
  send.hidden = false;
  send.addEventListener("click", () => navigator.share({ text: report.value }).catch(() => undefined));
}

function tell() {
  const ticked = boxes.filter((box) => box.checked).map((box) => box.dataset.told ?? "");
  report.value = reportOf(
    { head: set.dataset.said ?? "", done: set.dataset.saidDone ?? "", left: set.dataset.saidLeft ?? "", nothing: set.dataset.saidNothing ?? "" },
    ticked,
    boxes.length - ticked.length,
    word.value,
  );
}

/** The tasks that are ticked, and those of an earlier version of this page that were. */
function done() {
  const here = new Set(boxes.map((box) => box.dataset.task ?? ""));
  const before = (read(recall(place))?.done ?? []).filter((task) => !here.has(task));
  return [...before, ...boxes.filter((box) => box.checked).map((box) => box.dataset.task ?? "")];
}

/** @param {Kept} kept @param {EventTarget} [but] a field that stays as it is */
function show(kept, but) {
  for (const box of boxes) if (box !== but) box.checked = kept.done.includes(box.dataset.task ?? "");
  if (word !== but) word.value = kept.word;
  tell();
}

/** @param {string | null} text @returns {Kept | null} */
function read(text) {
  try {
    const value = JSON.parse(text ?? "null");
    return Array.isArray(value?.done) && typeof value.word === "string" ? value : null;
  } catch {
    return null;
  }
}
