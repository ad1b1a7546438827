// The sheets that lie over a page: settings, help, practice.

import { NOTHING_KEPT } from "./kept.js";
import { settings } from "./settings.js";
import { say } from "./words.js";

/** Makes every button with `data-opens` open its sheet, and binds the settings that every page has. */
export function prepareSheets() {
  for (const button of document.querySelectorAll("button[data-opens]")) {
    if (!(button instanceof HTMLButtonElement)) continue;
    button.hidden = false;
    button.addEventListener("click", () => openSheet(button.dataset.opens ?? ""));
  }
  for (const input of document.querySelectorAll("#settings input")) {
    if (!(input instanceof HTMLInputElement)) continue;
    if (input.name === "keys" || input.name === "awake") {
      const name = input.name;
      input.checked = settings.get()[name];
      input.addEventListener("change", () => settings.set({ [name]: input.checked }));
    } else {
      const name = /** @type {"light" | "size"} */ (input.name);
      input.checked = settings.get()[name] === input.value;
      input.addEventListener("change", () => settings.set({ [name]: input.value }));
    }
  }
  document.addEventListener(NOTHING_KEPT, () => {
    for (const place of document.querySelectorAll("[data-keeps]")) place.textContent = say("nothing-kept");
  });
  for (const sheet of document.querySelectorAll("dialog")) {
    // A tap beside the sheet lands on the dialog itself, and so does one on its own edge.
    sheet.addEventListener("click", ({ target, clientX, clientY }) => {
      const { left, right, top, bottom } = sheet.getBoundingClientRect();
      const within = left <= clientX && clientX <= right && top <= clientY && clientY <= bottom;
      if (target === sheet && !within) sheet.close();
    });
  }
}

/** @param {string} id */
export function openSheet(id) {
  const sheet = document.getElementById(id);
  if (sheet instanceof HTMLDialogElement && !sheet.open) sheet.showModal();
}
