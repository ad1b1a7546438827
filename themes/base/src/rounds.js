// The fields of the practice sheet for the rounds of a loop.

import { byId } from "./common/dom.js";

/** @param {import("./play/player.js").Player} player */
export function prepareRounds(player) {
  const pause = byId("loop-pause", HTMLInputElement);
  const rise = byId("loop-rise", HTMLInputElement);
  const figures = /** @type {const} */ (["from", "by", "every", "to"]).map((name) => {
    return /** @type {const} */ ([name, byId(`rise-${name}`, HTMLInputElement)]);
  });

  pause.addEventListener("change", () => player.setRounds({ pause: pause.checked }));
  rise.addEventListener("change", () => {
    player.setRounds({ rise: rise.checked });
    if (rise.checked) player.setTempo(player.state.get().rounds.from);
  });
  for (const [name, input] of figures) {
    input.addEventListener("change", () => {
      if (input.reportValidity()) player.setRounds({ [name]: input.valueAsNumber });
      if (name === "from" && rise.checked) player.setTempo(player.state.get().rounds.from);
    });
  }
  player.state.on((value, before) => {
    if (value.rounds !== before.rounds) show(value.rounds);
  });
  show(player.state.get().rounds);

  /** @param {import("./play/rounds.js").Rounds} rounds */
  function show(rounds) {
    pause.checked = rounds.pause;
    rise.checked = rounds.rise;
    for (const [name, input] of figures) {
      input.value = String(rounds[name]);
      input.disabled = !rounds.rise;
    }
  }
}
