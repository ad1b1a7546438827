// The words of a text as they are looked for: small letters, accents folded. The index is made by the same rule
// (sitegen/publishing/browsing/words.py).

const LONGEST = 40;
/** @type {Record<string, string>} */
const SIGNS = { "♯": " sharp ", "♭": " flat ", ß: "ss", æ: "ae", œ: "oe", ø: "o", ł: "l", đ: "d" };

/** @param {string} text @returns {string[]} */
export function wordsIn(text) {
  const plain = text.toLowerCase().replace(/[♯♭ßæœøłđ]/g, (sign) => SIGNS[sign]);
  const found = plain.normalize("NFKD").replace(/\p{M}/gu, "").match(/[\p{L}\p{N}]+/gu) ?? [];
  return found.map((word) => word.slice(0, LONGEST));
}
