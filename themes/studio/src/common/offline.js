// Keeping pages on the device: the worker does it, this starts it and tells it what was opened.

import { rootUrl } from "./words.js";

/**
 * Starts the worker, and asks it to keep the piece whose folder this is with its sounds. Waits until the page is at
 * rest, and keeps nothing unasked where the device saves data.
 * @param {{piece?: URL, sounds?: () => Promise<string[]>, onNewer?: () => void}} [wish]
 */
export async function keepOffline({ piece, sounds, onNewer } = {}) {
  if (!("serviceWorker" in navigator)) return;
  await rest();
  const registration = await navigator.serviceWorker
    .register(new URL("worker.js", rootUrl), { scope: rootUrl.pathname })
    .catch(() => null);
  if (!registration) return;
  navigator.serviceWorker.addEventListener("message", (event) => {
    if (event.data?.about === "newer") onNewer?.();
  });
  const worker = (await navigator.serviceWorker.ready).active;
  worker?.postMessage({ keep: rootUrl.href });
  const connection = /** @type {{connection?: {saveData?: boolean}}} */ (navigator).connection;
  if (!piece || connection?.saveData) return;
  worker?.postMessage({ keep: piece.href });
  if (sounds) worker?.postMessage({ sounds: await sounds() });
}

/** Whether a piece is whole on this device. @param {URL} folder */
export async function isKept(folder) {
  const lists = await caches.open("lists");
  return (await lists.match(new URL("offline.json", folder))) !== undefined;
}

/**
 * Keeps a piece that has not been opened yet, and resolves when it is whole on this device.
 * @param {URL} folder @param {() => Promise<string[]>} sounds
 */
export async function keepPiece(folder, sounds) {
  const worker = (await navigator.serviceWorker.ready).active;
  const kept = new Promise((resolve) => {
    navigator.serviceWorker.addEventListener("message", function hear(event) {
      if (event.data?.folder !== folder.href) return;
      navigator.serviceWorker.removeEventListener("message", hear);
      resolve(undefined);
    });
  });
  worker?.postMessage({ sounds: await sounds() });
  worker?.postMessage({ keep: folder.href });
  await kept;
}

/** Resolves when the page is loaded and has had a moment of rest. */
function rest() {
  return new Promise((resolve) => {
    const wait = () => setTimeout(resolve, 1500);
    if (document.readyState === "complete") wait();
    else addEventListener("load", wait, { once: true });
  });
}
