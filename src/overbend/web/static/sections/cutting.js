// @ts-check
/** Buying and cutting: how the search for boards stands, and a form for one more board. */

import { byId, el } from "../dom.js";
import { send } from "../link.js";
import { register } from "../notes.js";
import { say } from "../words.js";

const SIZES = ["length", "width", "thickness"];

register({ id: "cutting", special: (kind, data) => (kind === "sawing" ? search(data) : kind === "yard" ? board(data) : null) });

/** @param {any} data */
function search(data) {
  const made = el("div", { class: "sawing", role: "status" });
  if (data.busy) made.append(el("progress", { "aria-label": data.text }));
  if (data.text) made.append(el("span", { class: "small" }, data.text));
  for (const act of data.acts) made.append(el("button", { "data-saw": act.act }, act.text));
  return made;
}

/** A form that adds a board to the yard's list. @param {any} data */
function board(data) {
  const input = (/** @type {string} */ name) => el("label", {}, say(`cutting.yard.${name}`), " ",
    el("input", { name, class: "own", required: true, size: name === "name" ? 14 : 7, autocomplete: "off", spellcheck: "false" }));
  const pick = (/** @type {string} */ name, /** @type {string[][]} */ options) => el("label", {}, say(`cutting.yard.${name}`), " ",
    el("select", { name, class: "own" }, ...options.map(([value, text]) => el("option", { value }, text))));
  const form = el("form", { "data-key": data.key, "data-list": String(data.list), "data-unit": data.unit, "data-own": data.own },
    input("name"), pick("wood", data.woods.map((/** @type {string} */ w) => [w, w])),
    ...SIZES.map(input), input("price"), pick("per", data.per), el("button", {}, say("cutting.yard.addit")));
  return el("details", { class: "yard" }, el("summary", {}, say("cutting.yard.add")), form);
}

/** What was typed as the file holds it: a plain number in the file's own unit, else text. @param {string} text @param {DOMStringMap} units */
function length(text, units) {
  if (units.unit === units.own) return number(text);
  return /[a-z'"′″]/i.test(text) || text.startsWith("=") ? text : `${text} ${units.unit}`;
}

/** @param {string} text */
const number = (text) => (/^\d+(\.\d+)?$/.test(text) ? Number(text) : text);

byId("sections").addEventListener("submit", (/** @type {SubmitEvent} */ event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (!form.closest(".yard")) return;
  event.preventDefault();
  const given = Object.fromEntries([...new FormData(form)].map(([name, value]) => [name, String(value).trim()]));
  const row = {
    name: given.name, wood: given.wood, ...Object.fromEntries(SIZES.map((size) => [size, length(given[size], form.dataset)])),
    price: number(given.price), price_per: given.per,
  };
  send({ type: "put", key: form.dataset.key, value: form.dataset.list === "true" ? [row] : row });
});

byId("sections").addEventListener("click", (/** @type {MouseEvent} */ event) => {
  const button = event.target instanceof Element ? event.target.closest("[data-saw]") : null;
  if (button instanceof HTMLElement) send({ type: "saw", act: button.dataset.saw });
});
