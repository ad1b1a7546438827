// Keeping pages on the device: the worker does it, this starts it and tells it what was opened.

import { rootUrl } from "./words.js";

/**
 * What is told of a piece on its way: `done` of `all` its files, `bytes` of them as they lie on the device; `why` it
 * stopped: the device is "full", or it is the "line".
 * @typedef {{about: "progress" | "kept" | "newer" | "stopped", folder: string, done?: number, all?: number, bytes?: number, why?: "full" | "line"}} News
 * @typedef {{stages: string[], layout: string}} Order stages as they are needed, and the layout of this screen
 */

/**
 * Starts the worker, and asks it to keep the piece whose folder this is with its sounds. Waits until the page is at
 * rest, and keeps nothing unasked where the device saves data.
 * @param {{piece?: URL, order?: () => Order, sounds?: () => Promise<string[]>, onNews?: (news: News) => void}} [wish]
 */
export async function keepOffline({ piece, order, sounds, onNews } = {}) {
  if (!("serviceWorker" in navigator)) return;
  await rest();
  const registration = await navigator.serviceWorker
    .register(new URL("worker.js", rootUrl), { scope: rootUrl.pathname })
    .catch(() => null);
  if (!registration) return;
  navigator.serviceWorker.addEventListener("message", (event) => {
    if (event.data?.folder && (event.data.about === "newer" || event.data.folder === piece?.href)) onNews?.(event.data);
  });
  const worker = (await navigator.serviceWorker.ready).active;
  worker?.postMessage({ keep: rootUrl.href });
  const connection = /** @type {{connection?: {saveData?: boolean}}} */ (navigator).connection;
  if (!piece || connection?.saveData) return;
  worker?.postMessage({ keep: piece.href, order: order?.() });
  if (sounds) worker?.postMessage({ sounds: await sounds() });
}

/** Whether a piece is whole on this device. @param {URL} folder */
export async function isKept(folder) {
  const lists = await caches.open("lists").catch(() => null);
  return (await lists?.match(new URL("offline.json", folder))) !== undefined;
}

/**
 * Keeps a piece that has not been opened yet. Resolves when it is whole on this device, with what was told last;
 * rejects with why it stopped.
 * @param {URL} folder @param {() => Promise<string[]>} sounds @param {(news: News) => void} onNews
 * @returns {Promise<News>}
 */
export async function keepPiece(folder, sounds, onNews) {
  const worker = (await navigator.serviceWorker.ready).active;
  const urls = await sounds();
  const kept = new Promise((resolve, reject) => {
    navigator.serviceWorker.addEventListener("message", function hear(event) {
      if (event.data?.folder !== folder.href) return;
      onNews(event.data);
      if (event.data.about === "progress") return;
      navigator.serviceWorker.removeEventListener("message", hear);
      if (event.data.about === "stopped") reject(event.data);
      else resolve(event.data);
    });
  });
  worker?.postMessage({ keep: folder.href });
  worker?.postMessage({ sounds: urls });
  return /** @type {Promise<News>} */ (kept);
}

/** Resolves when the page is loaded and has had a moment of rest. */
function rest() {
  return new Promise((resolve) => {
    const wait = () => setTimeout(resolve, 1500);
    if (document.readyState === "complete") wait();
    else addEventListener("load", wait, { once: true });
  });
}
