// @ts-check
/** What cannot be read or computed, in words; every place it names is a way there. */

import { el } from "./dom.js";
import { say } from "./words.js";

/** @typedef {string | {text: string, key: string, line: number, column: number}} Said */
/** @typedef {{problem: string, said?: Said[]}} Trouble */

/** @param {{key: string, line: number, column: number}} to @param {string} text */
const way = ({ key, line, column }, text) => el("button", { class: "way", "data-go": key, "data-line": line || null, "data-column": column || null }, text);

/** @param {Trouble} trouble @returns {(Node | string)[]} */
export function told(trouble) {
  return (trouble.said ?? [trouble.problem]).map((piece) => (typeof piece === "string" ? piece : way(piece, piece.text)));
}

/** The way to the innermost place it names. @param {Trouble} trouble @returns {Node[]} */
export function out(trouble) {
  const last = (trouble.said ?? []).filter((piece) => typeof piece !== "string").pop();
  return last && typeof last !== "string" ? [way(last, say("wait.field"))] : [];
}
