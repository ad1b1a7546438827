// The gallery: finding a piece among those on the shelf.

import { keepOffline } from "./common/offline.js";
import { prepareKeeping } from "./keeping.js";
import { prepareSheets } from "./common/sheets.js";

prepareSheets();
prepareSearch();
keepOffline();
prepareKeeping();

function prepareSearch() {
  const input = document.getElementById("search");
  const found = document.getElementById("nothing-found");
  if (!(input instanceof HTMLInputElement) || !found) return;
  const leaves = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("#shelf .leaf")]);
  const search = () => {
    const words = plain(input.value).split(/\s+/);
    let shown = 0;
    for (const leaf of leaves) {
      leaf.hidden = !words.every((word) => plain(leaf.dataset.words ?? "").includes(word));
      if (!leaf.hidden) shown += 1;
    }
    found.textContent = shown ? "" : (found.dataset.text ?? "");
  };
  input.addEventListener("input", search);
  input.closest("p")?.removeAttribute("data-waits");
  if (input.value) search();
}

/** Lower case without accents, so that "etude" finds "Étude". @param {string} text */
function plain(text) {
  return text.normalize("NFD").replace(/\p{Diacritic}/gu, "").toLowerCase().trim();
}
