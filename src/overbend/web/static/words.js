// @ts-check
/** The language's texts, as the server sent them. */

/** @type {Record<string, string>} */
let texts = {};

/** @param {Record<string, string>} given */
export function learn(given) { texts = given; }

/**
 * Text under a key with its values filled in.
 * @param {string} key
 * @param {Record<string, string | number>} [values]
 */
export function say(key, values = {}) {
  return (texts[key] ?? key).replace(/\{(\w+)\}/g, (_, name) => String(values[name] ?? ""));
}
