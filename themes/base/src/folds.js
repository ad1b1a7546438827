// What is unfolded from the head of the page lies over the music, and goes at a tap beside it or at Escape. A link in it
// to another part of the page leads there.

export function prepareFolds() {
  const folds = /** @type {HTMLDetailsElement[]} */ ([...document.querySelectorAll("details.fold")]);
  const opened = () => folds.find((fold) => fold.open);

  document.addEventListener("click", ({ target }) => {
    const fold = opened();
    if (!fold || !(target instanceof Element)) return;
    const leads = target.closest(".unfolded a");
    if (leads || (!fold.contains(target) && !target.closest("dialog, .player"))) fold.open = false;
    const part = leads?.getAttribute("href") ?? "";
    const goal = part.startsWith("#") && document.getElementById(part.slice(1));
    if (goal instanceof HTMLDetailsElement) goal.open = true;
  });
  document.addEventListener("keydown", (event) => {
    const fold = opened();
    if (event.key !== "Escape" || !fold || document.querySelector("dialog[open]")) return;
    fold.open = false;
    fold.querySelector("summary")?.focus();
  });
}
