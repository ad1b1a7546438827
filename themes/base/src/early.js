// Runs before the page is drawn, so that a kept choice of light and size is there from the first pixel.

const root = document.documentElement;
// Opened by a double click there is no server: browsers then run no modules and keep nothing, and the page says so.
if (location.protocol === "file:") root.classList.add("opened-as-file");
else root.dataset.arriving = "";
// Scripts that do not come leave the page as it is without any.
addEventListener("error", () => delete root.dataset.arriving, true);
try {
  const kept = JSON.parse(localStorage.getItem("settings") ?? "{}");
  if (kept.light === "light" || kept.light === "dark") root.dataset.light = kept.light;
  if (kept.size === "larger" || kept.size === "largest") root.dataset.size = kept.size;
} catch {
  // A device may keep nothing, or something else under this name: the page is drawn as it comes.
}
