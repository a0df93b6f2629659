// @ts-check
/** What stands beside the handle that has the focus: its values to type, and what else to do with it. */

import { pieces } from "./blocks.js";
import { byId, el } from "./dom.js";
import { send } from "./link.js";
import { morph } from "./morph.js";
import { say } from "./words.js";

const KINDS = ["line", "arc", "easement"];
const ROOM = 16; // pixels between the part and what stands beside a handle
const GRID = 16; // pixels between the places that are tried for it

/** @type {Map<string, any>} handles as the server sent them */
const known = new Map();
let chosen = "";
/** A handle that gets the focus when it comes. */
let next = "";
/** @type {number[][]} places along the part, pixels on the sheet */
let along = [];

/** @param {any[]} handles @param {number[][]} track places along the part, pixels on the sheet */
export function learn(handles, track) {
  along = track;
  known.clear();
  for (const h of handles) known.set(h.id, h);
  if (next && known.has(next)) {
    const wanted = next;
    next = "";
    handle(wanted)?.focus();
  }
  if (!known.has(chosen)) chosen = "";
  if (!byId("beside").classList.contains("away")) render(); // out of sight while a handle is dragged
}

/** @param {string} id @returns {HTMLElement | null} */
const handle = (id) => byId("handles").querySelector(`[data-id="${CSS.escape(id)}"]`);

/** @param {any} h @param {string} act @param {string} text @param {string} label @param {boolean} [before] */
function button(h, act, text, label, before = false) {
  const made = el("button", { "data-do": act, "data-before": before ? "yes" : null, "aria-label": label }, text);
  made.onclick = () => act_on(h.id, act, before);
  return made;
}

/** @param {any} h */
function acts(h) {
  const number = h.index + 1;
  const made = [];
  for (const before of [false, true]) {
    if (!h.acts.includes("line") || (before && !h.acts.includes("before"))) continue;
    const label = before ? "act.before.label" : "act.after.label";
    made.push(el("span", {}, say(before ? "act.before" : "act.add"), ...KINDS.flatMap((kind) => [" ", button(h, kind, say(`act.${kind}`), say(label, { number, kind: say(`act.${kind}`) }), before)])));
  }
  for (const act of ["point", "split", "free", "remove"]) {
    if (h.acts.includes(act)) made.push(button(h, act, say(`act.${act}`), say(`act.${act}.label`, { number })));
  }
  return made;
}

/** Do something with a handle. @param {string} id @param {string} act @param {boolean} [before] */
function act_on(id, act, before = false) {
  const h = known.get(id);
  if (!h) return;
  if (act === "free" || (act === "remove" && h.index < 0)) send({ type: "put", key: h.values[0].key, value: null });
  else send({ type: "curve", act, index: h.index, before });
  if (act === "point") next = `point.${h.index + 1}`;
  else if (act === "remove") next = h.shape === "point" ? `point.${Math.max(h.index - 1, 0)}` : "";
}

/** A key on a handle that means more than moving it; whether it did. @param {KeyboardEvent} event @param {string} id */
export function key(event, id) {
  const h = known.get(id);
  if (!h || event.ctrlKey || event.metaKey || event.altKey) return false;
  if (event.key === "Enter") { byId("beside").querySelector("input, button")?.focus(); return true; }
  if (event.key === "Delete" && (h.acts.includes("remove") || h.acts.includes("free"))) {
    act_on(id, h.acts.includes("remove") ? "remove" : "free");
    return true;
  }
  if ((event.key === "Insert" || event.key === "+") && h.acts.includes("point")) { act_on(id, "point"); return true; }
  if ((event.key === "Insert" || event.key === "+") && h.acts.includes("split")) { act_on(id, "split"); return true; }
  return false;
}

function render() {
  const place = byId("beside");
  const h = known.get(chosen);
  const made = el("div", { id: "beside", class: place.className, role: "group", "aria-label": say("act.beside"), hidden: !h });
  if (h) {
    const values = h.values.map((/** @type {any} */ v) => el("label", {}, el("span", { "aria-hidden": "true" }, v.label, " "), ...pieces(v)));
    made.append(el("p", { class: "of" }, h.label));
    if (h.why) made.append(el("p", { class: "small" }, h.why));
    if (values.length) made.append(el("div", { class: "values" }, ...values));
    if (h.acts.length) made.append(el("div", { class: "acts" }, ...acts(h)));
  }
  if (place.dataset.for === chosen) morph(place, made); else place.replaceChildren(...made.childNodes);
  place.dataset.for = chosen;
  place.hidden = made.hidden;
  for (const b of place.querySelectorAll("button[data-do]")) b.onclick = () => act_on(chosen, b.dataset.do, b.dataset.before === "yes");
  if (h) lay(place);
}

/** Lay it near its handle, inside the sheet, where it covers least of the part. @param {HTMLElement} place */
function lay(place) {
  const at = handle(chosen);
  const sheet = byId("sheet").getBoundingClientRect();
  if (!at || place.hidden) return;
  const spot = (/** @type {HTMLElement} */ h) => [parseFloat(h.style.left), parseFloat(h.style.top)];
  const [x, y] = spot(at);
  const { offsetWidth: wide, offsetHeight: high } = place;
  const taken = [...along, ...[...byId("handles").children].flatMap((h) => Array(h === at ? 60 : 3).fill(spot(h)))];
  let [best, left, top] = [Infinity, 0, 0];
  for (let l = 0; l <= Math.max(sheet.width - wide, 0); l += GRID) {
    for (let t = 0; t <= Math.max(sheet.height - high, 0); t += GRID) {
      const covered = taken.filter(([a, b]) => a > l - ROOM && a < l + wide + ROOM && b > t - ROOM && b < t + high + ROOM).length;
      const cost = covered + Math.hypot(l + wide / 2 - x, t + high / 2 - y) / 90;
      if (cost < best) [best, left, top] = [cost, l, t];
    }
  }
  place.style.left = `${left}px`;
  place.style.top = `${top}px`;
}

/** @param {string} id */
function choose(id) {
  if (id === chosen) return;
  chosen = id;
  render();
}

/** Begin to listen. */
export function start() {
  byId("sheet").append(el("div", { id: "beside", class: "beside", role: "group", hidden: true }));
  byId("handles").addEventListener("focusin", (/** @type {FocusEvent} */ event) => {
    const at = event.target instanceof Element ? event.target.closest(".handle") : null;
    if (at instanceof HTMLElement) choose(at.dataset.id ?? "");
  });
  byId("sheet").addEventListener("focusout", (/** @type {FocusEvent} */ event) => {
    const to = event.relatedTarget;
    if (to instanceof Element && to.closest(".handle, .beside")) return;
    if (to === null && document.hasFocus() === false) return;
    if (!next) choose("");
  });
  byId("beside").addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => {
    if (event.key === "Escape") { const id = chosen; setTimeout(() => handle(id)?.focus()); }
  });
  byId("beside").addEventListener("pointerdown", (/** @type {PointerEvent} */ event) => {
    if (!(event.target instanceof HTMLInputElement)) event.preventDefault(); // the focus stays
  });
}
