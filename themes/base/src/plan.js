// The practice plan: ticks and a note that stay on this device, and go elsewhere only as a file the pupil saves.

import { keep as keepText, recall } from "./common/kept.js";
import { say } from "./common/words.js";
import { announce } from "./say.js";

/** Told on the plan whenever its ticks are others. */
export const PLAN_SHOWN = "planshown";

/** @typedef {{kind: "practice plan", piece: string, done: string[], note: string}} KeptPlan */

export function preparePlan() {
  const plan = document.getElementById("plan");
  const note = document.getElementById("plan-note");
  const file = document.getElementById("plan-open");
  const save = document.getElementById("plan-save");
  if (!plan || !(note instanceof HTMLTextAreaElement) || !(file instanceof HTMLInputElement)) return;
  const piece = plan.dataset.slug ?? "";
  const place = `plan:${piece}`;
  const boxes = /** @type {HTMLInputElement[]} */ ([...plan.querySelectorAll("input[data-task]")]);

  /** @returns {KeptPlan} */
  const written = () => ({
    kind: "practice plan",
    piece,
    done: boxes.filter((box) => box.checked).map((box) => box.dataset.task ?? ""),
    note: note.value,
  });
  /** Whether what is kept is what was last shown here: else it has no say. */
  let isKept = true;
  const keep = () => {
    isKept = keepText(place, JSON.stringify(written()));
    plan.dispatchEvent(new Event(PLAN_SHOWN));
  };
  /** @param {KeptPlan} kept @param {EventTarget | null} [but] a field that stays as it is */
  const show = (kept, but) => {
    for (const box of boxes) if (box !== but) box.checked = kept.done.includes(box.dataset.task ?? "");
    if (note !== but) note.value = kept.note;
    plan.dispatchEvent(new Event(PLAN_SHOWN));
  };

  const kept = read(recall(place));
  if (kept) show(kept);
  // What is ticked in another tab is ticked here, so that neither writes over the other.
  addEventListener("storage", ({ key, newValue }) => {
    const there = key === place ? read(newValue) : null;
    if (there) show(there);
  });
  for (const field of [...boxes, note, file, save]) field?.removeAttribute("disabled");
  for (const field of [...boxes, note]) {
    field.addEventListener("input", () => {
      // also what this tab has not heard of yet, as one that has slept
      const there = isKept ? read(recall(place)) : null;
      if (there) show(there, field);
      keep();
    });
  }

  save?.addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(written(), null, 1)], { type: "application/json" }));
    link.download = `${piece}-plan.json`;
    link.click();
    URL.revokeObjectURL(link.href);
  });
  file.addEventListener("change", async () => {
    const opened = read((await file.files?.[0]?.text()) ?? null);
    file.value = "";
    if (!opened || opened.piece !== piece) {
      announce(say("plan-wrong"), { stays: true });
      return;
    }
    show(opened);
    keep();
    announce(say("plan-kept"));
  });
}

/** A saved plan, or null for anything else. @param {string | null} text @returns {KeptPlan | null} */
function read(text) {
  try {
    const value = JSON.parse(text ?? "null");
    const right = value?.kind === "practice plan" && Array.isArray(value.done) && typeof value.note === "string";
    return right ? value : null;
  } catch {
    return null;
  }
}
