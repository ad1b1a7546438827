// What the browser's own printing puts on paper: the open stage as it is printed, not the screen. Its pictures are lazy
// and not shown, so that none is fetched before the browser makes ready to print.

import { drawn, element } from "./common/dom.js";
import { systemsOf } from "./score/data.js";
import { viewOf } from "./score/sheet.js";

/** The layout that is drawn for paper (layouts.py). */
const PRINTED = "wide";

/**
 * @param {object} page
 * @param {import("./score/data.js").PieceFiles} page.files
 * @param {import("./score/data.js").PieceData} page.piece
 * @param {import("./stages.js").Stages} page.stages
 * @param {(first: number, last: number) => string} page.label says which bars a picture shows
 */
export function preparePaper({ files, piece, stages, label }) {
  const paper = element("section", { class: "on-paper paper" });
  document.body.append(paper);

  /** @param {import("./score/data.js").StageData} stage */
  function write(stage) {
    if (paper.dataset.stage === stage.slug) return;
    paper.dataset.stage = stage.slug;
    paper.replaceChildren(
      element("header", { class: "opening" }, [
        element("p", { class: "title" }, [piece.title]),
        ...copies(".by"),
        ...copies(".licence"),
        ...copies(".care"),
      ]),
      element("header", { class: "printed-head" }, [
        element("div", {}, [element("h2", {}, [stage.title]), element("p", { class: "listen" }, [stage.listen])]),
      ]),
      ...systemsOf(stage.layouts[PRINTED] ?? []).map((system) => picture(system)),
    );
  }

  /** @param {import("./score/data.js").SystemPlace} system */
  function picture(system) {
    const room = drawn("svg", { viewBox: `0 0 ${Math.round(system.width)} ${Math.round(system.height)}` });
    const alt = label(system.first, system.last);
    return element("span", { class: "cut" }, [
      room,
      element("img", { loading: "lazy", alt, src: viewOf(files.url(system.file), system) }),
    ]);
  }

  stages.onOpen(write);
}

/** What the page says of the piece; an id stands in a page only once. @param {string} chosen */
function copies(chosen) {
  return [...document.querySelectorAll(`:not(.on-paper > .opening) > ${chosen}`)].map((each) => {
    const copy = /** @type {Element} */ (each.cloneNode(true));
    copy.removeAttribute("id");
    return copy;
  });
}
