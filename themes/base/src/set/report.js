// What was done, as a short text that goes into a message.

/**
 * @param {{head: string, done: string, left: string, nothing: string}} words
 * @param {string[]} done the tasks that are done, in words
 * @param {number} left how many are not
 * @param {string} word of the pupil's own
 */
export function reportOf(words, done, left, word) {
  const lines = [words.head];
  lines.push(...(done.length ? [words.done, ...done.map((task) => `- ${task}`)] : [words.nothing]));
  if (done.length && left) lines.push(words.left.replace("{count}", String(left)));
  if (word.trim()) lines.push(word.trim());
  return lines.join("\n");
}
