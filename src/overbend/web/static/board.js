// @ts-check
/** The drawing, its handles, and the strip under it. */

import * as beside from "./beside.js";
import { byId, el } from "./dom.js";
import { keep, kept } from "./keep.js";
import { on, send } from "./link.js";
import * as trace from "./trace.js";
import { say } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const MM = 96 / 25.4; // pixels for a millimetre on the sheet
const NEAR = 10; // millimetres on the sheet from the curve that a double click still means it
const ARROWS = /** @type {Record<string, [number, number]>} */ ({
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1],
});

/** @type {[number, number][]} places along the part on the sheet [mm] */
let track = [];
let strip = { left: 0, right: 1 };
/** @type {HTMLElement | null} the handle that is dragged */
let held = null;
/** Where in the handle it was taken hold of, and whether the pointer has moved since. */
const grip = { dx: 0, dy: 0, x: 0, y: 0, moved: false };

/** Size of the sheet and the strip, in millimetres. */
export function sizes() {
  const sheet = byId("sheet").getBoundingClientRect();
  return { width: sheet.width / MM, height: sheet.height / MM, strip: byId("strip").clientHeight / MM };
}

/** @param {any} message */
export function draw(message) {
  if (message.scene) scene(message.scene);
  if (message.strip) {
    strip = message.strip;
    byId("strip").innerHTML = message.strip.svg;
  }
}

/** @param {any} given */
function scene(given) {
  const width = byId("sheet").clientWidth; // asked before anything changes: afterwards it costs a layout
  byId("picture").innerHTML = given.svg;
  byId("key").hidden = given.mode !== "curve";
  track = given.track;
  comb(given.comb);
  handles(given.handles, width);
  trace.under(given);
  if (!held) ghost();
}

// -- the comb -------------------------------------------------------------------------------

/** @param {string} name @param {Record<string, string>} [set] @returns {any} */
function svg(name, set = {}) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(set)) made.setAttribute(key, value);
  return made;
}

/** @param {Record<string, string> | undefined} given paths on the sheet */
function comb(given) {
  const place = byId("comb");
  for (const name of ["teeth", "edge", "limit"]) place.querySelector(`.${name}`).setAttribute("d", given?.[name] ?? "");
}

/** @param {boolean} shown */
function combed(shown) {
  byId("sheet").classList.toggle("combed", shown);
  byId("comb-show").setAttribute("aria-pressed", String(shown));
  byId("comb-show").textContent = say("comb.show");
}

/** A curve that is offered, over the one there is. @param {number[][]} [line] @param {number[][]} [points] on the sheet [mm] */
export function ghost(line = [], points = []) {
  const place = byId("ghost");
  place.replaceChildren();
  if (!line.length) return;
  const d = line.map(([x, y], i) => `${i ? "L" : "M"}${x * MM} ${y * MM}`).join("");
  place.append(svg("path", { d }), ...points.map(([x, y]) => svg("circle", { cx: String(x * MM), cy: String(y * MM), r: "3.5" })));
}

// -- handles --------------------------------------------------------------------------------

/** @param {any[]} wanted @param {number} width of the sheet */
function handles(wanted, width) {
  const place = byId("handles");
  const old = new Map([...place.children].map((h) => [/** @type {HTMLElement} */ (h).dataset.id, h]));
  for (const h of wanted) {
    const made = /** @type {HTMLElement} */ (old.get(h.id) ?? fresh(h.id));
    old.delete(h.id);
    dress(made, h);
    if (made !== held) put(made, h.x * MM, h.y * MM, width);
    if (!made.isConnected) place.append(made);
  }
  for (const gone of old.values()) gone.remove();
  beside.learn(wanted, track.map(([x, y]) => [x * MM, y * MM]));
  levers();
}

/** @param {string} id */
function fresh(id) {
  const made = el("button", { class: "handle", "data-id": id, "aria-describedby": "handle-help" }, el("span", { class: "tip", "aria-hidden": "true" }));
  made.addEventListener("pointerdown", grab);
  made.addEventListener("keydown", nudge);
  return made;
}

/** @param {HTMLElement} made @param {any} h */
function dress(made, h) {
  const label = h.why ? `${h.label} (${h.why})` : h.label;
  if (made.getAttribute("aria-label") !== label) made.setAttribute("aria-label", label);
  made.dataset.shape = h.shape;
  if (h.root) made.dataset.root = h.root.join(" "); else delete made.dataset.root;
  if (h.held) made.dataset.held = h.held; else delete made.dataset.held;
  const tip = made.firstElementChild;
  if (tip && tip.textContent !== label) tip.textContent = label;
}

/** @param {HTMLElement} handle @param {number} x @param {number} y pixels on the sheet @param {number} width of the sheet */
function put(handle, x, y, width) {
  handle.style.left = `${x}px`;
  handle.style.top = `${y}px`;
  handle.classList.toggle("low", y < 48);
  handle.classList.toggle("left", x < 110);
  handle.classList.toggle("right", x > width - 110);
}

/** Lines from the curve to the handles that do not lie on it. */
function levers() {
  const lines = [];
  for (const handle of byId("handles").children) {
    if (!handle.dataset.root) continue;
    const [x1, y1] = handle.dataset.root.split(" ").map((/** @type {string} */ v) => String(Number(v) * MM));
    lines.push(svg("line", { x1, y1, x2: handle.style.left.replace("px", ""), y2: handle.style.top.replace("px", "") }));
  }
  byId("levers").replaceChildren(...lines);
}

// -- dragging -------------------------------------------------------------------------------

/** How finely a drag snaps: Shift finer, Alt not at all. @param {PointerEvent} event */
const snap = (event) => (event.altKey ? "free" : event.shiftKey ? "fine" : "usual");

/** How far an arrow key goes: Shift finer, Control further. @param {KeyboardEvent} event */
const grain = (event) => (event.shiftKey ? "fine" : event.ctrlKey || event.metaKey ? "coarse" : "usual");

/** @param {PointerEvent} event */
function grab(event) {
  if (event.button !== 0) return;
  const handle = /** @type {HTMLElement} */ (event.currentTarget);
  if (handle.dataset.held) return;
  const box = handle.getBoundingClientRect();
  Object.assign(grip, { x: event.clientX, y: event.clientY, moved: false, dx: box.left + box.width / 2 - event.clientX, dy: box.top + box.height / 2 - event.clientY });
  held = handle;
  handle.classList.add("held");
  handle.setPointerCapture(event.pointerId);
  handle.addEventListener("pointermove", pull);
  handle.addEventListener("pointerup", release);
  handle.addEventListener("pointercancel", release);
}

/** @param {PointerEvent} event */
function pull(event) {
  if (!held) return;
  if (!grip.moved && Math.hypot(event.clientX - grip.x, event.clientY - grip.y) < 3) return;
  grip.moved = true;
  byId("beside").classList.add("away");
  const sheet = byId("sheet").getBoundingClientRect();
  const [x, y] = [event.clientX + grip.dx - sheet.left, event.clientY + grip.dy - sheet.top];
  put(held, x, y, sheet.width);
  levers();
  send({ type: "pull", handle: held.dataset.id, x: x / MM, y: y / MM, grain: snap(event) });
}

/** @param {PointerEvent} event */
function release(event) {
  end();
  if (grip.moved) send({ type: event.type === "pointerup" ? "drop" : "cancel" });
}

function end() {
  byId("beside").classList.remove("away");
  held?.classList.remove("held");
  held?.removeEventListener("pointermove", pull);
  held?.removeEventListener("pointerup", release);
  held?.removeEventListener("pointercancel", release);
  held = null;
}

/** @param {KeyboardEvent} event */
function nudge(event) {
  const id = /** @type {HTMLElement} */ (event.currentTarget).dataset.id ?? "";
  if (event.key === "Escape" && held) { end(); send({ type: "cancel" }); return; }
  if (beside.key(event, id)) { event.preventDefault(); return; }
  const way = ARROWS[event.key];
  if (!way || event.altKey) return;
  event.preventDefault();
  send({ type: "nudge", handle: id, dx: way[0], dy: way[1], grain: grain(event) });
}

/** A double click on the curve puts a point there, or cuts the segment. @param {MouseEvent} event */
function twice(event) {
  if (event.target instanceof Element && event.target.closest(".handle, .beside, .surface")) return;
  const box = byId("sheet").getBoundingClientRect();
  const [x, y] = [(event.clientX - box.left) / MM, (event.clientY - box.top) / MM];
  if (byId("key").hidden || !track.some(([a, b]) => Math.hypot(a - x, b - y) < NEAR)) return;
  send({ type: "curve", act: "at", x, y });
}

// -- the same place in drawing, strip and notes --------------------------------------------

/** Light a stretch of the part, by shares of its length. @param {number} from @param {number} to */
export function light(from, to) {
  if (!track.length) return;
  const at = (/** @type {number} */ share) => Math.min(Math.max(Math.round(share * (track.length - 1)), 0), track.length - 1);
  const part = track.slice(at(from), at(to) + 2);
  const path = part.map(([x, y], i) => `${i ? "L" : "M"}${x * MM} ${y * MM}`).join("");
  byId("light").querySelector("path").setAttribute("d", path);
}

export function unlight() {
  byId("light").querySelector("path").setAttribute("d", "");
  byId("light").classList.remove("at");
}

/** @param {number} share */
function spot(share) {
  const place = track[Math.round(share * (track.length - 1))];
  if (!place) return;
  const dot = byId("light").querySelector("circle");
  dot.setAttribute("cx", String(place[0] * MM));
  dot.setAttribute("cy", String(place[1] * MM));
  byId("light").classList.add("at");
  for (const mark of document.querySelectorAll("[data-place]")) {
    const [a, b] = (/** @type {HTMLElement} */ (mark).dataset.place ?? "").split(" ").map(Number);
    mark.classList.toggle("on", share >= a && share <= b);
  }
}

function dark() {
  byId("light").classList.remove("at");
  for (const mark of document.querySelectorAll("[data-place].on")) mark.classList.remove("on");
}

/** @param {PointerEvent} event */
function overStrip(event) {
  const box = byId("strip").getBoundingClientRect();
  const share = ((event.clientX - box.left) / MM - strip.left) / (strip.right - strip.left);
  if (share >= 0 && share <= 1) spot(share); else dark();
}

/** @param {PointerEvent} event */
function overSheet(event) {
  if (held || !track.length) return;
  const box = byId("sheet").getBoundingClientRect();
  const [x, y] = [(event.clientX - box.left) / MM, (event.clientY - box.top) / MM];
  const far = track.map(([a, b]) => Math.hypot(a - x, b - y));
  const near = Math.min(...far);
  if (near < 6) spot(far.indexOf(near) / (track.length - 1)); else dark();
}

/** What the drawing is laid between: the comb below, levers and what is offered above. */
function layers() {
  const teeth = svg("g", { transform: `scale(${MM})` });
  teeth.append(...["limit", "teeth", "edge"].map((name) => svg("path", { class: name })));
  const under = svg("svg", { id: "comb", class: "layer", "aria-hidden": "true" });
  under.append(teeth);
  byId("sheet").prepend(under);
  byId("handles").before(svg("svg", { id: "levers", class: "layer", "aria-hidden": "true" }), svg("svg", { id: "ghost", class: "layer", "aria-hidden": "true" }));
  const show = el("button", { id: "comb-show", class: "toggle" });
  show.onclick = () => { keep("comb", kept("comb") === "no" ? "yes" : "no"); combed(kept("comb") !== "no"); };
  byId("key").append(show);
}

/** Begin to listen. */
export function start() {
  layers();
  beside.start();
  trace.start();
  on("hello", () => combed(kept("comb") !== "no"));
  byId("strip").addEventListener("pointermove", overStrip);
  byId("strip").addEventListener("pointerleave", dark);
  byId("sheet").addEventListener("pointermove", overSheet);
  byId("sheet").addEventListener("pointerleave", dark);
  byId("sheet").addEventListener("dblclick", twice);
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && held) { end(); send({ type: "cancel" }); }
  });
  on("down", end);
}
