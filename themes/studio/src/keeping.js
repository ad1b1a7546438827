// On the gallery: pieces that are set for the week are kept on the device before they are opened.

import { isKept, keepPiece } from "./common/offline.js";
import { say } from "./common/words.js";
import { openPiece } from "./score/data.js";

/** Shows the buttons where the device can keep anything, and what is kept already. */
export async function prepareKeeping() {
  if (!("serviceWorker" in navigator) || !("caches" in globalThis)) return;
  for (const button of document.querySelectorAll("button[data-keep]")) {
    if (!(button instanceof HTMLButtonElement)) continue;
    const folder = new URL(button.dataset.keep ?? "", location.href);
    if (await isKept(folder)) show(button);
    button.classList.remove("waits");
    button.addEventListener("click", async () => {
      if (button.getAttribute("aria-pressed") === "true") return;
      button.textContent = say("keeping");
      button.setAttribute("aria-busy", "true");
      try {
        await keepPiece(folder, async () => (await import("./sound/needed.js")).soundsOf(openPiece(folder)));
        show(button);
      } catch {
        button.textContent = say("keep-failed");
      }
      button.removeAttribute("aria-busy");
    });
  }
}

/** @param {HTMLButtonElement} button */
function show(button) {
  button.setAttribute("aria-pressed", "true");
  button.textContent = say("kept");
}
