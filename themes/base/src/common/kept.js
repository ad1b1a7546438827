// What a page keeps on the device under a name. A device may keep nothing: then it is said once, and all else works.

/** What a page hears once, where its device keeps nothing. */
export const NOTHING_KEPT = "nothing-kept";
let told = false;

/** @param {string} name @returns {string | null} null too where nothing can be kept */
export function recall(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

/** Returns whether it is kept. @param {string} name @param {string} text */
export function keep(name, text) {
  try {
    localStorage.setItem(name, text);
    return true;
  } catch {
    if (!told) document.dispatchEvent(new Event(NOTHING_KEPT));
    told = true;
    return false;
  }
}
