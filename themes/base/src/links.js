// Links from the commentary and the plan into the music: they open the stage, go to the bars and loop them.

import { barsAsked } from "./score/address.js";

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceFiles} page.files
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./stages.js").Stages} page.stages
 * @param {import("./score/systems.js").Systems} page.systems
 */
export function prepareLinks({ files, piece, player, stages, systems }) {
  const opened = stages.current().slug;

  /** @param {string | undefined} stage @param {number} first @param {number} last @param {boolean} [atOnce] */
  async function loop(stage, first, last, atOnce) {
    if (stage) await stages.open(stage);
    if (Number.isNaN(first)) return;
    player.setLoop({ first, last });
    show(first, atOnce);
  }

  /** @param {number} first @param {boolean} [atOnce] */
  function show(first, atOnce = false) {
    player.goTo(first);
    const calm = atOnce || matchMedia("(prefers-reduced-motion: reduce)").matches;
    systems.systemOf(first)?.box.scrollIntoView({ block: "start", behavior: calm ? "instant" : "smooth" });
  }

  document.addEventListener("click", async (event) => {
    const link = event.target instanceof Element ? event.target.closest("a.to-bars") : null;
    if (!(link instanceof HTMLAnchorElement) || event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    // the way back leads to the sentence that was read
    history.replaceState({ ...history.state, read: scrollY }, "");
    history.pushState(null, "", link.hash || location.hash);
    await loop(link.dataset.stage, Number(link.dataset.first ?? NaN), Number(link.dataset.last ?? NaN));
    if (link.dataset.first !== undefined) player.play();
  });

  addEventListener("popstate", async ({ state }) => {
    const stage = piece.stages.find((each) => new URL(files.url(each.url)).pathname === location.pathname);
    await stages.open(stage?.slug ?? opened);
    if (typeof state?.read === "number") scrollTo({ top: state.read, behavior: "instant" });
    else goToAddress();
  });

  /** @param {boolean} [atOnce] */
  const goToAddress = (atOnce) => {
    const asked = barsAsked(location.hash, piece.bars);
    if (!asked) return;
    // where the page stood in pixels is not where its bars are now
    history.scrollRestoration = "manual";
    if (asked.stretch) loop(undefined, asked.first, asked.last, atOnce);
    else show(asked.first, atOnce);
  };
  stages.onOpen(once(() => goToAddress(true)));
}

/** @param {() => void} action */
function once(action) {
  let done = false;
  return () => {
    if (!done) action();
    done = true;
  };
}
