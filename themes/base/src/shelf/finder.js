// The gallery's finder: what is chosen and typed stands in the address, so that a link shows the same, and Back leads
// to what was looked for before.

import { byId } from "../common/dom.js";
import { say } from "../common/words.js";
import { openIndex } from "./index.js";
import { leafOf, slugOf } from "./leaves.js";
import { choose, fetchPieces } from "./pieces.js";

/** Milliseconds after the last letter before the address is written. */
const REST = 250;

/** @param {(buttons: Iterable<Element>) => void} onLeaves is told of leaves that are laid in */
export async function prepareFinder(onLeaves) {
  const finder = document.getElementById("finder");
  if (!finder) return;
  const pieces = await fetchPieces().catch(() => null);
  if (!pieces) return;
  const search = byId("search", HTMLInputElement);
  const found = byId("found", HTMLElement);
  const shelf = byId("shelf", HTMLElement);
  const more = byId("more", HTMLButtonElement);
  const order = document.getElementById("order");
  const opens = document.getElementById("open-filters");
  const selects = /** @type {HTMLSelectElement[]} */ ([...finder.querySelectorAll("select")]);
  const facets = selects.filter((each) => each !== order);
  const again = document.getElementById("all-again");
  const look = openIndex(pieces.of);
  const atOnce = Number(shelf.dataset.shown);
  const first = /** @type {HTMLElement[]} */ ([...shelf.children]);
  const leaves = new Map(first.map((leaf) => [slugOf(leaf), leaf]));
  let room = history.state?.room ?? atOnce;
  let turn = 0;
  /** @type {number[]} */
  let shown = [];
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let rest;

  /** @returns {import("./pieces.js").Wish} */
  const wish = () => ({
    text: search.value.trim(),
    chosen: Object.fromEntries(facets.filter((each) => each.value).map((each) => [each.name, each.value])),
    order: order instanceof HTMLSelectElement ? order.value : "",
  });

  /** What stands in the address is put into the fields. */
  function readAddress() {
    const said = new URLSearchParams(location.search);
    search.value = said.get("q") ?? "";
    for (const each of selects) {
      const value = said.get(each.name) ?? "";
      each.value = [...each.options].some((option) => option.value === value) ? value : "";
    }
  }

  /** @param {"push" | "replace"} how */
  function writeAddress(how) {
    const { text, chosen, order: by } = wish();
    const said = new URLSearchParams([...(text ? [["q", text]] : []), ...Object.entries(chosen), ...(by ? [["order", by]] : [])]);
    const query = String(said);
    const address = location.pathname + (query ? `?${query}` : "");
    if (address === location.pathname + location.search) history.replaceState({ room }, "");
    else if (how === "push") history.pushState({ room }, "", address);
    else history.replaceState({ room }, "", address);
  }

  /** How a search is written: Back leads to what was there before it, not through its letters. */
  const searched = () => (new URLSearchParams(location.search).has("q") ? "replace" : "push");

  /** Lays out what is looked for; what was asked before and comes later is dropped. */
  async function lay() {
    turn += 1;
    const mine = turn;
    const wished = wish();
    let words;
    try {
      words = await look(wished.text);
    } catch {
      if (mine === turn) found.textContent = say("no-index");
      return;
    }
    if (mine !== turn || !pieces) return;
    const chosen = choose(pieces, wished, words);
    shown = chosen.shown;
    fill();
    for (const select of facets) tellCounts(select, chosen.counts[pieces.facets.findIndex(([name]) => name === select.name)]);
    const set = Object.keys(wished.chosen).length;
    const all = pieces.pieces.length;
    found.textContent = !shown.length ? say("found-none") : say(shown.length < all ? "found-some" : "found-all", { count: shown.length, all });
    if (opens) opens.textContent = set ? say("filters-set", { count: set }) : say("filters");
    if (again instanceof HTMLButtonElement) again.disabled = !set && !wished.text && !wished.order;
  }

  /** The leaves of the pieces that are shown, as many as there is room for. */
  function fill() {
    if (!pieces) return;
    /** @type {HTMLElement[]} */
    const made = [];
    const wanted = shown.slice(0, room).map((number) => {
      const row = pieces.pieces[number];
      const known = leaves.get(row[0]);
      if (known) return known;
      const leaf = leafOf(row, first[0]);
      leaves.set(row[0], leaf);
      made.push(leaf);
      return leaf;
    });
    // Where they stand already nothing is touched: pictures would be asked for again.
    if (wanted.length !== shelf.children.length || wanted.some((leaf, place) => shelf.children[place] !== leaf)) {
      shelf.replaceChildren(...wanted);
    }
    more.hidden = shown.length <= room;
    onLeaves(made.flatMap((leaf) => [...leaf.querySelectorAll(".keep")]));
  }

  /** @param {"push" | "replace"} how */
  function changed(how) {
    room = atOnce;
    clearTimeout(rest);
    writeAddress(how);
    void lay();
  }

  search.addEventListener("input", () => {
    room = atOnce;
    void lay();
    clearTimeout(rest);
    rest = setTimeout(() => writeAddress(searched()), REST);
  });
  search.addEventListener("change", () => changed(searched()));
  for (const select of selects) select.addEventListener("change", () => changed("push"));
  again?.addEventListener("click", () => {
    for (const each of [search, ...selects]) each.value = "";
    changed("push");
    search.focus();
  });
  opens?.addEventListener("click", () => {
    const open = byId("filters", HTMLElement).classList.toggle("open");
    opens.setAttribute("aria-expanded", String(open));
  });
  more.addEventListener("click", () => {
    const from = room;
    room += atOnce;
    history.replaceState({ room }, "");
    fill();
    shelf.children[from]?.querySelector("a")?.focus();
  });
  addEventListener("popstate", (event) => {
    room = event.state?.room ?? atOnce;
    clearTimeout(rest);
    readAddress();
    void lay();
  });

  readAddress();
  finder.removeAttribute("data-waits");
  await lay();
}

/** How many pieces each choice would show; what would show none cannot be chosen. @param {HTMLSelectElement} select @param {number[] | undefined} counts */
function tellCounts(select, counts) {
  if (!counts) return;
  [...select.options].slice(1).forEach((option, choice) => {
    option.textContent = `${option.dataset.words} (${counts[choice]})`;
    option.disabled = !counts[choice] && !option.selected;
  });
}
