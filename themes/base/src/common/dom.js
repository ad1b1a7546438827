// The few things done to the document everywhere.

export const SVG = "http://www.w3.org/2000/svg";

/**
 * The element with this id. A page whose template lacks it is at fault, so its absence is an error.
 * @template {HTMLElement} T
 * @param {string} id
 * @param {new () => T} kind
 * @returns {T}
 */
export function byId(id, kind) {
  const found = document.getElementById(id);
  if (!(found instanceof kind)) throw new Error(`The page lacks #${id}`);
  return found;
}

/**
 * A new HTML element with attributes and children.
 * @param {string} name
 * @param {Record<string, string>} [attributes]
 * @param {(Node | string)[]} [children]
 */
export function element(name, attributes = {}, children = []) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

/**
 * A new SVG element with attributes.
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} name
 * @param {Record<string, string | number>} [attributes]
 * @returns {SVGElementTagNameMap[K]}
 */
export function drawn(name, attributes = {}) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}
