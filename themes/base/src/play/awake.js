// Keeps the screen on while there is a reason to, where the device lets a page ask for it.

/** @type {WakeLockSentinel | null} */
let lock = null;
/** @type {Set<string>} */
const reasons = new Set();
let asking = false;

/** @param {"playing" | "open"} reason @param {boolean} on */
export function stayAwake(reason, on) {
  if (on) reasons.add(reason);
  else reasons.delete(reason);
  settle();
}

async function settle() {
  if (asking) return;
  if (reasons.size && !lock && "wakeLock" in navigator && document.visibilityState === "visible") {
    asking = true;
    const taken = await navigator.wakeLock.request("screen").catch(() => null);
    asking = false;
    lock = taken;
    taken?.addEventListener("release", () => {
      if (lock === taken) lock = null;
    });
  }
  if (!reasons.size && lock) {
    const held = lock;
    lock = null;
    await held.release();
  }
}

// The device takes the lock away when the page is hidden.
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") settle();
});
