// @ts-check
/** Whether something is being typed: a narrow page gives it the drawing's room. */

const WHILE = 300; // ms a tap takes: what is under the finger stays there until it is over

/** @type {number | undefined} */
let over;

/** @param {boolean} on */
export function typing(on) {
  clearTimeout(over);
  if (on) document.body.classList.add("typing");
  else over = setTimeout(() => document.body.classList.remove("typing"), WHILE);
}
