// Words in the library's language and addresses, laid in by the script of all pages (templates/tools.js.j2).

const { given } = /** @type {{given: {words: Record<string, string>, root: string, engine: string}}} */ (/** @type {unknown} */ (globalThis));

/** The folder of the site, and the script that holds the sound: absolute, whatever the page's address becomes. */
export const rootUrl = new URL(given.root);
export const engineUrl = new URL(given.engine);

/**
 * The message called `key` with its places filled.
 * @param {string} key
 * @param {Record<string, string | number>} [values]
 */
export function say(key, values = {}) {
  return (given.words[key] ?? key).replace(/\{(\w+)\}/g, (place, name) => String(values[name] ?? place));
}
