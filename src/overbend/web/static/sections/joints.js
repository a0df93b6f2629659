// @ts-check
/** Joints: a line for each that opens to its sizes, places and marks; each points at the drawing. */

import { block, pieces } from "../blocks.js";
import { el } from "../dom.js";
import { register } from "../notes.js";
import { say } from "../words.js";

/** @type {string[]} */
let heads = [];

register({
  id: "joints",
  special: (kind, data) => {
    switch (kind) {
      case "joint-head": heads = data.heads; return el("div", { class: "joint-row joint-head", "aria-hidden": "true" }, ...heads.map((text) => el("span", {}, text)));
      case "joint": return one(data);
      case "pointing": return el("p", { class: "hold", ...points(data) }, ...pieces(data.pieces));
      default: return null;
    }
  },
});

/** @param {any} data */
const points = (data) => ({ "data-joint": data.joint, "data-spots": data.spots });

/** @param {any} data */
function one(data) {
  const cells = data.cells.map((/** @type {string} */ text, /** @type {number} */ i) => el("span", {}, text && i > 0 ? el("span", { class: "sr" }, ` ${heads[i + 1]} `) : " ", text));
  return el("details", { class: "joint-fold", id: `joint-${data.joint}`, ...points(data) },
    el("summary", { class: "joint-row" }, el("b", {}, data.joint), ...cells, el("span", {}, " ", ...pieces([data.word]))),
    el("p", { class: "small" }, `${data.about}. `, data.rules),
    block({ kind: "facts", rows: data.sizes }),
    el("h3", {}, say("joints.places")), block(data.places),
    el("h3", {}, say("joints.marks")), block(data.marks));
}
