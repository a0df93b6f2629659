// @ts-check
/** The drawing, its handles, and the strip under it. */

import { byId, el } from "./dom.js";
import { on, send } from "./link.js";

const MM = 96 / 25.4; // pixels for a millimetre on the sheet
const ARROWS = /** @type {Record<string, [number, number]>} */ ({
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1],
});

/** @type {[number, number][]} places along the part on the sheet [mm] */
let track = [];
let strip = { left: 0, right: 1 };
/** @type {HTMLElement | null} the handle that is dragged */
let held = null;

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
  byId("picture").innerHTML = given.svg;
  byId("key").hidden = given.mode !== "curve";
  track = given.track;
  handles(given.handles);
}

/** @param {any[]} wanted */
function handles(wanted) {
  const place = byId("handles");
  const old = new Map([...place.children].map((h) => [/** @type {HTMLElement} */ (h).dataset.id, h]));
  for (const h of wanted) {
    const made = /** @type {HTMLElement} */ (old.get(h.id) ?? fresh(h.id));
    old.delete(h.id);
    dress(made, h);
    if (made !== held) put(made, h.x * MM, h.y * MM);
    if (!made.isConnected) place.append(made);
  }
  for (const gone of old.values()) gone.remove();
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
  if (h.held) made.dataset.held = h.held; else delete made.dataset.held;
  const tip = made.firstElementChild;
  if (tip && tip.textContent !== label) tip.textContent = label;
}

/** @param {HTMLElement} handle @param {number} x @param {number} y pixels on the sheet */
function put(handle, x, y) {
  const { width } = byId("sheet").getBoundingClientRect();
  handle.style.left = `${x}px`;
  handle.style.top = `${y}px`;
  handle.classList.toggle("low", y < 48);
  handle.classList.toggle("left", x < 110);
  handle.classList.toggle("right", x > width - 110);
}

// -- dragging -------------------------------------------------------------------------------

/** @param {KeyboardEvent | PointerEvent} event */
const grain = (event) => (event.altKey ? "fine" : event.shiftKey ? "coarse" : "usual");

/** @param {PointerEvent} event */
function grab(event) {
  if (event.button !== 0) return;
  const handle = /** @type {HTMLElement} */ (event.currentTarget);
  if (handle.dataset.held) return;
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
  const sheet = byId("sheet").getBoundingClientRect();
  const [x, y] = [event.clientX - sheet.left, event.clientY - sheet.top];
  put(held, x, y);
  send({ type: "pull", handle: held.dataset.id, x: x / MM, y: y / MM, grain: grain(event) });
}

/** @param {PointerEvent} event */
function release(event) {
  end();
  send({ type: event.type === "pointerup" ? "drop" : "cancel" });
}

function end() {
  held?.classList.remove("held");
  held?.removeEventListener("pointermove", pull);
  held?.removeEventListener("pointerup", release);
  held?.removeEventListener("pointercancel", release);
  held = null;
}

/** @param {KeyboardEvent} event */
function nudge(event) {
  const handle = /** @type {HTMLElement} */ (event.currentTarget);
  const id = handle.dataset.id ?? "";
  if (event.key === "Escape" && held) { end(); send({ type: "cancel" }); return; }
  if (event.key === "Delete" && id.startsWith("point.")) {
    event.preventDefault();
    handle.dispatchEvent(new CustomEvent("take-out", { bubbles: true, detail: Number(id.slice(6)) }));
    return;
  }
  const way = ARROWS[event.key];
  if (!way || event.ctrlKey || event.metaKey) return;
  event.preventDefault();
  send({ type: "nudge", handle: id, dx: way[0], dy: way[1], grain: grain(event) });
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

/** Begin to listen. */
export function start() {
  byId("strip").addEventListener("pointermove", overStrip);
  byId("strip").addEventListener("pointerleave", dark);
  byId("sheet").addEventListener("pointermove", overSheet);
  byId("sheet").addEventListener("pointerleave", dark);
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && held) { end(); send({ type: "cancel" }); }
  });
  on("down", end);
}
