// On the gallery: pieces that are set for the week are kept on the device before they are opened.

import { isKept, keepPiece } from "./common/offline.js";
import { say } from "./common/words.js";
import { openPiece } from "./score/data.js";

/** Shows the buttons where the device can keep anything, and what is kept already. @param {Iterable<Element>} buttons */
export async function prepareKeeping(buttons) {
  if (!("serviceWorker" in navigator) || !("caches" in globalThis)) return;
  for (const button of buttons) {
    if (!(button instanceof HTMLButtonElement)) continue;
    const folder = new URL(button.dataset.keep ?? "", location.href);
    if (await isKept(folder)) show(button);
    button.classList.remove("waits");
    button.addEventListener("click", async () => {
      if (button.getAttribute("aria-pressed") === "true") return;
      button.textContent = say("keeping");
      button.setAttribute("aria-busy", "true");
      const sounds = async () => (await import("./sound/needed.js")).soundsOf(openPiece(folder));
      try {
        const { bytes } = await keepPiece(folder, sounds, (news) => (button.textContent = wordsFor(news)));
        show(button, bytes);
      } catch (fault) {
        const { why } = /** @type {Partial<import("./common/offline.js").News>} */ (fault);
        button.textContent = say(why === "full" ? "keep-full" : "keep-failed");
      }
      button.removeAttribute("aria-busy");
    });
  }
}

/** How far a piece is kept, in words. @param {import("./common/offline.js").News} news */
export function wordsFor({ about, done = 0, all = 1, bytes, why }) {
  if (about === "progress") return say("keeping-part", { percent: Math.floor((100 * done) / all), size: megabytes(bytes ?? 0) });
  if (about === "stopped") return say(why === "full" ? "keep-full" : "keep-broken");
  return bytes ? say("kept-size", { size: megabytes(bytes) }) : say("kept");
}

/** @param {number} bytes */
function megabytes(bytes) {
  return (bytes / 1e6).toLocaleString(document.documentElement.lang, { minimumFractionDigits: 1, maximumFractionDigits: 1 });
}

/** @param {HTMLButtonElement} button @param {number} [bytes] */
function show(button, bytes) {
  button.setAttribute("aria-pressed", "true");
  button.textContent = bytes ? say("kept-size", { size: megabytes(bytes) }) : say("kept");
}
