// Keeps the screen on while the music plays, where the device lets a page ask for it.

/** @type {WakeLockSentinel | null} */
let lock = null;
let wished = false;

/** @param {boolean} on */
export async function stayAwake(on) {
  wished = on;
  if (on && !lock && "wakeLock" in navigator && document.visibilityState === "visible") {
    lock = await navigator.wakeLock.request("screen").catch(() => null);
    lock?.addEventListener("release", () => {
      lock = null;
    });
  }
  if (!wished && lock) {
    const held = lock;
    lock = null;
    await held.release();
  }
}

// The device takes the lock away when the page is hidden.
document.addEventListener("visibilitychange", () => {
  if (wished && document.visibilityState === "visible") stayAwake(true);
});
