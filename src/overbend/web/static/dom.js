// @ts-check
/**
 * Make an element.
 * @param {string} tag
 * @param {Record<string, any>} [set] attributes; null, undefined and false are left out
 * @param {...(Node | string)} inside
 * @returns {any}
 */
export function el(tag, set = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(set)) {
    if (value === null || value === undefined || value === false) continue;
    made.setAttribute(name, value === true ? "" : String(value));
  }
  made.append(...inside);
  return made;
}

/**
 * @param {string} id
 * @returns {any}
 */
export function byId(id) { return document.getElementById(id); }
