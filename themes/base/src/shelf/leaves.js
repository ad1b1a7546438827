// A piece on the shelf, where the page does not hold it already.

import { element } from "../common/dom.js";

/**
 * A leaf like those of the page, of which one is copied (templates/leaf.html.j2).
 * @param {import("./pieces.js").Row} row @param {HTMLElement} like
 */
export function leafOf([slug, title, composer, summary, facts, file, width, height], like) {
  const name = element("h3", { id: `name-${slug}` }, [title]);
  const size = { width: String(width), height: String(height), alt: "", loading: "lazy" };
  const picture = file ? [element("span", { class: "first-bars" }, [element("img", { class: "engraved", src: `pieces/${slug}/${file}`, ...size })])] : [];
  const keep = like.querySelector(".keep")?.cloneNode(true);
  const leaf = element("li", { class: "leaf" }, [
    element("a", { href: `pieces/${slug}/index.html` }, [...picture, name]),
    element("p", { class: "by" }, [composer]),
    ...(summary ? [element("p", {}, [summary])] : []),
    element("p", { class: "facts" }, [facts]),
  ]);
  if (keep instanceof HTMLButtonElement) {
    keep.dataset.keep = `pieces/${slug}/`;
    keep.setAttribute("aria-describedby", name.id);
    keep.setAttribute("aria-pressed", "false");
    leaf.append(keep);
  }
  return leaf;
}

/** The slug of the piece of a leaf. @param {HTMLElement} leaf */
export function slugOf(leaf) {
  return leaf.querySelector("h3")?.id.replace(/^name-/, "") ?? "";
}
