// @ts-check
/** Fields for every value of the file, made from its schema. */

import { el } from "../dom.js";
import { send } from "../link.js";
import { say } from "../words.js";

/** @type {any} */
let schema = null;
/** @type {Set<string>} */
const opened = new Set();

/** Fetch the schema once. */
export async function learnSchema() {
  schema ??= await (await fetch("/schema.json")).json();
}

/** @param {any} node @returns {any} */
function resolved(node) {
  if (node.$ref) return { ...resolved(schema.$defs[node.$ref.split("/").pop()]), ...(node.description ? { description: node.description } : {}) };
  const real = (node.anyOf ?? []).filter((/** @type {any} */ n) => n.type !== "null");
  return real.length === 1 ? { ...resolved(real[0]), ...node, anyOf: undefined } : node;
}

/** @param {HTMLElement} place @param {any} raw */
export function fieldsOf(place, raw) {
  if (!schema) return;
  const root = resolved(schema);
  place.replaceChildren(...Object.entries(root.properties).map(([name, node]) => field(name, name, node, raw[name])));
}

/**
 * @param {string} key @param {string} name @param {any} given @param {any} value
 * @returns {HTMLElement}
 */
function field(key, name, given, value) {
  const node = kindOf(resolved(given), value);
  if (node.patternProperties) return tables(key, name, node, value ?? {});
  if (node.properties) return fold(key, name, value !== undefined, () => Object.entries(node.properties).map(([n, p]) => field(`${key}.${n}`, n, p, value?.[n])));
  if (node.type === "array" || node.prefixItems) return list(key, name, node, value);
  return leaf(key, name, node, value);
}

/** The schema of a part by its kind. @param {any} node @param {any} value */
function kindOf(node, value) {
  const ref = node.discriminator?.mapping?.[value?.kind];
  return ref ? resolved({ $ref: ref }) : node;
}

/** @param {string} key @param {string} name @param {boolean} there @param {() => Node[]} inside */
function fold(key, name, there, inside) {
  const made = el("details", { "data-fold": key }, el("summary", {}, name, there ? "" : el("span", { class: "small" }, `  ${say("file.empty")}`)));
  let filled = false;
  const fill = () => {
    if (!filled) made.firstElementChild?.after(...inside());
    filled = true;
  };
  made.addEventListener("toggle", () => {
    if (made.open) { opened.add(key); fill(); } else opened.delete(key);
  });
  if (opened.has(key)) { made.open = true; fill(); }
  return made;
}

/** Named tables, such as parts. @param {string} key @param {string} name @param {any} node @param {any} value */
function tables(key, name, node, value) {
  const inner = Object.values(node.patternProperties)[0];
  return fold(key, name, Object.keys(value).length > 0, () => [
    ...Object.entries(value).map(([n, v]) => {
      const made = field(`${key}.${n}`, n, inner, v);
      made.append(remover(`${key}.${n}`, n));
      return made;
    }),
    adder(key, name, value),
  ]);
}

/** A new table like one there is. @param {string} key @param {string} table @param {any} value */
function adder(key, table, value) {
  const first = Object.values(value)[0];
  if (first === undefined) return el("span", {});
  const name = el("input", { class: "choice", "aria-label": say("file.add.name", { table }), size: 12 });
  const button = el("button", {}, `${say("file.add")}: ${Object.keys(value)[0]} +`);
  button.onclick = () => { if (name.value.trim()) send({ type: "put", key: `${key}.${name.value.trim()}`, value: first }); };
  return el("div", { class: "adder" }, name, button);
}

/** @param {string} key @param {string} what */
function remover(key, what) {
  const button = el("button", {}, say("file.remove", { what }));
  button.onclick = () => send({ type: "put", key, value: null });
  return el("div", { class: "adder" }, button);
}

/** @param {string} key @param {string} name @param {any} node @param {any} value */
function list(key, name, node, value) {
  const rows = Array.isArray(value) ? value : [];
  return fold(key, name, value !== undefined, () => [
    ...rows.map((v, i) => field(`${key}.${i}`, `${i + 1}`, node.prefixItems?.[i] ?? node.items ?? {}, v)),
    ...(rows.length && !node.prefixItems ? [lengthen(key, name, rows.length)] : []),
  ]);
}

/** @param {string} key @param {string} what @param {number} count */
function lengthen(key, what, count) {
  const add = el("button", {}, say("file.list.add", { what }));
  add.onclick = () => send({ type: "element", act: "insert", key, index: count - 1 });
  const out = el("button", {}, say("file.remove", { what: `${what} ${count}` }));
  out.onclick = () => send({ type: "element", act: "remove", key, index: count - 1 });
  return el("div", { class: "adder" }, add, out);
}

/** @param {string} key @param {string} name @param {any} node @param {any} value */
function leaf(key, name, node, value) {
  const id = `field-${key}`;
  const options = node.enum ?? (node.type === "boolean" ? ["true", "false"] : null);
  const given = value === undefined ? "" : String(value);
  let input;
  if (options) {
    input = el("select", { class: "choice", id, "data-key": key }, ...(value === undefined ? [el("option", { value: "" }, String(node.default ?? say("file.empty")))] : []), ...options.map((/** @type {any} */ o) => el("option", { value: o }, String(o))));
    input.value = given;
  } else {
    input = el("input", { class: "num", id, "data-key": key, "data-raw": given, "data-text": given, "data-step": node["x-kind"] === "length" ? 0.1 : 1, autocomplete: "off", spellcheck: "false", placeholder: node.default === undefined ? say("file.empty") : String(node.default), size: Math.max(given.length, 8) });
    input.value = given;
  }
  const about = node.description ? [el("small", {}, node.description)] : [];
  return el("div", { class: "row" }, el("label", { for: id }, name), el("div", {}, input), ...about);
}
