// Words in the library's language and addresses, laid in the page by its template.

/** @type {{words: Record<string, string>, root: string, engine: string, language: string}} */
const given = JSON.parse(document.getElementById("for-scripts")?.textContent ?? "{}");

/** The folder of the site, and the script that holds the sound: absolute, whatever the page's address becomes. */
export const rootUrl = new URL(given.root || "./", location.href);
export const engineUrl = new URL(given.engine, location.href);

/**
 * The message called `key` with its places filled.
 * @param {string} key
 * @param {Record<string, string | number>} [values]
 */
export function say(key, values = {}) {
  return (given.words[key] ?? key).replace(/\{(\w+)\}/g, (place, name) => String(values[name] ?? place));
}
