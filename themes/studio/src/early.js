// Runs before the page is drawn, so that a kept choice of light and size is there from the first pixel.

const kept = JSON.parse(localStorage.getItem("settings") ?? "{}");
const root = document.documentElement;
if (kept.light === "light" || kept.light === "dark") root.dataset.light = kept.light;
if (kept.large) root.dataset.large = "";
