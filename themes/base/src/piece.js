// The page of a piece: opens its data and ties the parts of the page together.

import { byId } from "./common/dom.js";
import { keepOffline } from "./common/offline.js";
import { onDemand } from "./common/on-demand.js";
import { settings } from "./common/settings.js";
import { NOTHING_KEPT } from "./common/kept.js";
import { prepareSheets } from "./common/sheets.js";
import { say } from "./common/words.js";
import { prepareControls } from "./controls.js";
import { wordsFor } from "./keeping.js";
import { prepareFolds } from "./folds.js";
import { prepareKeys } from "./keys.js";
import { prepareLadder } from "./ladder.js";
import { prepareLinks } from "./links.js";
import { preparePaper } from "./paper.js";
import { preparePlan } from "./plan.js";
import { createPlace } from "./place.js";
import { stayAwake } from "./play/awake.js";
import { createFollow } from "./play/follow.js";
import { createMarker } from "./play/marker.js";
import { createPlayer } from "./play/player.js";
import { announce, sayAt } from "./say.js";
import { prepareHands } from "./hands.js";
import { prepareRounds } from "./rounds.js";
import { createBars } from "./score/bars.js";
import { openPiece } from "./score/data.js";
import { createSystems } from "./score/systems.js";
import { resume, resumePlace } from "./resuming.js";
import { prepareSharing } from "./sharing.js";
import { soundsOf } from "./sound/needed.js";
import { createStages } from "./stages.js";
import { prepareTapped } from "./tapped.js";
import { prepareToday } from "./today.js";
import { prepareTouch } from "./touch.js";
import { prepareView } from "./view.js";
import { prepareWritten } from "./written.js";

const article = byId("piece", HTMLElement);
const music = byId("music", HTMLElement);
const bar = byId("player", HTMLElement);

// The address will follow the open stage: what the template wrote relative to the first one is made absolute now.
const folder = new URL(article.dataset.piece || "./", location.href);
for (const link of document.querySelectorAll("a[href]:not([href^='#']), link[rel~=icon], link[rel=apple-touch-icon], link[rel=manifest]")) {
  if (link instanceof HTMLAnchorElement || link instanceof HTMLLinkElement) link.href = String(link.href);
}

// said after what the same tap has to say
document.addEventListener(NOTHING_KEPT, () => setTimeout(() => announce(say("nothing-kept"), { stays: true })));
prepareSheets();
prepareFolds();
preparePlan();
prepareToday();
open()
  .catch(() => announce(say("no-data"), { stays: true }))
  .finally(() => delete document.documentElement.dataset.arriving);

async function open() {
  const files = openPiece(folder);
  const piece = await files.piece();
  /** @param {number} first @param {number} last */
  const label = (first, last) => `${sayAt("place", piece.bars, first)} – ${piece.bars[last].number}`;
  const systems = createSystems(music, files, label);
  const player = createPlayer(files, piece);
  const bars = createBars(systems);
  const place = createPlace({ piece, systems, player });
  const stages = createStages({ article, music, files, piece, systems, player, place });
  const follow = createFollow(systems.all, bar);
  const marker = createMarker(music, {
    timing: player.timing,
    position: player.position,
    hears: player.hears,
    engravings: () => [...systems.all().flatMap((system) => system.engraving ?? []), ...view.engravings()],
    companion: () => view.companion(),
    moved({ step }) {
      const timing = player.timing();
      if (!timing) return;
      const playing = timing.bars[step].bar;
      player.state.set({ bar: playing });
      if (settings.get().follow) follow.follow(playing);
    },
  });

  systems.onDrawn((system) => {
    bars.draw(system);
    if (system.engraving) marker.renew(system.engraving);
  });
  stages.onOpen(() => {
    marker.forget();
    follow.reset();
  });
  player.state.on((value, before) => {
    if (value.playing !== before.playing) {
      if (value.playing) marker.start();
      else marker.stop();
      follow.reset();
    }
    bars.mark(value);
  });

  const hands = prepareHands({ article, piece, systems, player, place });
  const view = prepareView({ music, files, piece, systems, player, marker, stages, hands, place });
  const tapped = prepareTapped({ files, piece, systems, player, stages });
  const written = prepareWritten({ piece, stages });
  const ladder = prepareLadder(stages);
  const controls = prepareControls({ piece, player, stages, place });
  prepareRounds(player);
  const rhythm = onDemand(
    async () => (await import("./rhythm/pad.js")).prepareRhythm({ files, piece, player, stages, place }),
    () => announce(say("no-data")),
  );
  byId("open-rhythm", HTMLButtonElement).addEventListener("click", () => rhythm.ask((pad) => pad.open()));
  prepareLinks({ files, piece, player, stages, systems });
  prepareTouch({ music, player, systems, stages, tapped, controls });
  preparePaper({ files, piece, stages, label });
  prepareSharing({ files, piece, player, stages, place });
  await resumePlace({ article, piece, stages, place });
  resume({ piece, player, hands });
  prepareKeys({ piece, player, ladder, written, systems, bar, view, tapped, controls, hands });
  bar.hidden = false;
  // what is scrolled to stands above the bar, however high it is
  new ResizeObserver(() => document.documentElement.style.setProperty("--foot", `${bar.offsetHeight}px`)).observe(bar);
  stayAwake("open", settings.get().awake);
  settings.on((value) => stayAwake("open", value.awake));

  keepOffline({
    piece: folder,
    order: () => ({ stages: stages.asNeeded(), layout: systems.layout(stages.current()) }),
    sounds: () => soundsOf(files, stages.asNeeded()),
    onNews(news) {
      if (news.about === "newer") announce(say("update"));
      else byId("kept", HTMLElement).textContent = wordsFor(news);
    },
  });
}
