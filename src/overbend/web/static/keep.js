// @ts-check
/** Small choices that stay from one visit to the next: units, paper, what is open. */

/** @param {string} name @returns {string | null} */
export function kept(name) {
  try { return localStorage.getItem(name); } catch { return null; }
}

/** @param {string} name @param {string} value */
export function keep(name, value) {
  try { localStorage.setItem(name, value); } catch { /* private windows may refuse */ }
}
