// Links from the commentary and the plan into the music: they open the stage, go to the bars and loop them.

/**
 * @param {object} page
 * @param {import("./play/player.js").Player} page.player
 * @param {import("./stages.js").Stages} page.stages
 * @param {import("./score/systems.js").Systems} page.systems
 */
export function prepareLinks({ player, stages, systems }) {
  /** @param {string | undefined} stage @param {number} first @param {number} last */
  async function go(stage, first, last) {
    if (stage) await stages.open(stage);
    if (Number.isNaN(first)) return;
    player.setLoop({ first, last });
    player.goTo(first);
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    systems.systemOf(first)?.box.scrollIntoView({ block: "center", behavior: calm ? "instant" : "smooth" });
  }

  document.addEventListener("click", async (event) => {
    const link = event.target instanceof Element ? event.target.closest("a.to-bars") : null;
    if (!(link instanceof HTMLAnchorElement) || event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    await go(link.dataset.stage, Number(link.dataset.first ?? NaN), Number(link.dataset.last ?? NaN));
    if (link.dataset.first !== undefined) player.play();
  });

  const asked = location.hash.match(/^#bars-(\d+)-(\d+)$/);
  if (asked) stages.onOpen(once(() => go(undefined, Number(asked[1]), Number(asked[2]))));
}

/** @param {() => void} action */
function once(action) {
  let done = false;
  return () => {
    if (!done) action();
    done = true;
  };
}
