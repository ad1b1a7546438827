// Words in the library's language and addresses, laid in by the script of all pages (templates/tools.js.j2).

const { given } = /** @type {{given: {words: Record<string, string>, root: string, engine: string}}} */ (/** @type {unknown} */ (globalThis));

/** The folder of the site, and the script that holds the sound: absolute, whatever the page's address becomes. */
export const rootUrl = new URL(given.root);
export const engineUrl = new URL(given.engine);

/** How the language of the page counts: `few` for 2 in Polish. */
const plurals = new Intl.PluralRules(document.documentElement.lang || "en");

/**
 * The message called `key` with its places filled; of one with plural forms, the form for `count`.
 * @param {string} key
 * @param {Record<string, string | number>} [values]
 */
export function say(key, values = {}) {
  const { count } = values;
  const forms = typeof count === "number" ? [`${key}.${plurals.select(count)}`, `${key}.other`] : [];
  const chosen = forms.find((form) => form in given.words) ?? key;
  return (given.words[chosen] ?? key).replace(/\{(\w+)\}/g, (place, name) => String(values[name] ?? place));
}
