// @ts-check
/** Sentences, tables, facts and pictures as elements. */

import { el } from "./dom.js";

/** @typedef {string | Record<string, any>} Piece */

/** @param {Piece | Piece[]} given @returns {Node[]} */
export function pieces(given) {
  return (Array.isArray(given) ? given : [given]).map(piece);
}

/** @param {Piece} p @returns {Node} */
function piece(p) {
  if (typeof p === "string") return document.createTextNode(p);
  if (p.options) return choice(p);
  if (p.key && !p.act) return number(p);
  if (p.word) return el("strong", { class: "word", "data-word": p.word }, p.text);
  if (p.act) return el("button", { class: "act", "data-act": p.act, "data-key": p.key, "data-index": p.index, "aria-label": p.label }, p.text);
  if (p.file) return el("a", { href: fileLink(p.file), download: true, "aria-label": p.label }, p.text);
  if (p.href) return el("a", { class: "way", href: p.href }, p.text);
  if (p.stamp) return el("span", { class: "stamp" }, p.stamp);
  return el("span", { class: "lit", "data-place": p.place?.join(" ") }, p.text);
}

/** @param {string} name */
export function fileLink(name) {
  const project = (document.body.dataset.project ?? "").split("/").map(encodeURIComponent).join("/");
  return `/file/${encodeURIComponent(name)}/${project}`;
}

/** @param {Record<string, any>} p */
function number(p) {
  const made = el("input", {
    class: p.raw === "" ? "num unset" : "num", "data-key": p.key, "data-raw": p.raw, "data-text": p.text, "data-step": p.step,
    "aria-label": p.label, size: Math.max(String(p.text).length, 2), autocomplete: "off", spellcheck: "false",
    "data-place": p.place?.join(" "),
  });
  made.value = p.text;
  return made;
}

/** @param {Record<string, any>} p */
function choice(p) {
  const made = el("select", { class: "choice", "data-key": p.key, "aria-label": p.label });
  for (const [value, text] of p.options) {
    made.append(el("option", { value, selected: value === p.value }, text));
  }
  made.value = p.value;
  return made;
}

/** @param {any} b @returns {HTMLElement} */
export function block(b) {
  switch (b.kind) {
    case "heading": return el("h3", {}, ...pieces(b.pieces));
    case "table": return table(b);
    case "facts": return el("dl", {}, ...b.rows.flatMap((/** @type {any} */ [name, value]) => [el("dt", {}, name), el("dd", {}, ...pieces(value))]));
    case "picture": return picture(b);
    default: return el("p", { class: b.kind }, ...pieces(b.pieces));
  }
}

/** @param {any} b */
function table(b) {
  const side = (/** @type {number} */ i) => (b.right.includes(i) ? "right" : null);
  const head = el("tr", {}, ...b.head.map((/** @type {string} */ text, /** @type {number} */ i) => (text ? el("th", { scope: "col", class: side(i) }, text) : el("td", {}))));
  const rows = b.rows.map((/** @type {any[]} */ row) => el("tr", {}, ...row.map((cell, i) => el("td", { class: side(i) }, ...pieces(cell)))));
  const made = el("table", {}, el("thead", {}, head), el("tbody", {}, ...rows));
  if (b.caption) made.prepend(el("caption", {}, b.caption));
  return el("div", { class: "scroll", tabindex: "0", role: "group", "aria-label": b.caption || b.head.filter(Boolean).join(", ") }, made);
}

/** @param {any} b */
function picture(b) {
  const holder = el("div", { class: "picture" });
  holder.ready = b.svg;
  holder.innerHTML = b.svg;
  return el("figure", { class: b.natural ? "natural" : null }, holder, el("figcaption", {}, b.caption));
}
