// @ts-check
/**
 * A picture under the drawing: sent, given its scale by two known points, moved, and traced.
 * Points are kept in the picture's own points of colour, so they move with it.
 */

import { byId, el } from "./dom.js";
import { on, send } from "./link.js";
import { notice } from "./notices.js";
import { say } from "./words.js";

/** @typedef {{x: number, y: number, size: number, turn: number, width: number, height: number, marks: [number, number][], distance: number, opacity: number, shown: boolean, picture: string}} Placed */
/** @typedef {{x0: number, y1: number, k: number}} View left and top of the model seen, and pixels for a millimetre */

const SVG = "http://www.w3.org/2000/svg";
const MM = 96 / 25.4;
const MOST_BYTES = 4_400_000;
const LONGEST = 3000; // points of colour of the longer side of a picture made smaller
const ARROWS = /** @type {Record<string, [number, number]>} */ ({
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1],
});
const project = (document.body.dataset.project ?? "").split("/").map(encodeURIComponent).join("/");

/** @type {Placed | null} */
let placed = null;
/** @type {View} what the drawing shows */
let drawn = { x0: 0, y1: 0, k: 1 };
/** @type {View | null} what is seen while tracing */
let own = null;
let step = "scale";
/** @type {[number, number][]} */
let marks = [];
/** @type {[number, number][]} */
let points = [];
/** Where the cross is on the sheet, in pixels. */
const cross = { x: 0, y: 0 };
let part = "";
/** @type {HTMLImageElement} */
let image;
/** @type {number | undefined} */
let later;
/** What the server was last asked. @type {Promise<unknown>} */
let sending = Promise.resolve();

const tracing = () => own !== null;
const view = () => own ?? drawn;

// -- places ---------------------------------------------------------------------------------

/** Place in the model of a point of the picture. @param {Placed} p @param {[number, number]} at @returns {[number, number]} */
function model(p, [px, py]) {
  const [c, s] = [Math.cos(p.turn), Math.sin(p.turn)];
  return [p.x + p.size * (px * c + py * s), p.y + p.size * (px * s - py * c)];
}

/** Point of the picture at a place of the sheet. @param {Placed} p @param {number} x @param {number} y @returns {[number, number]} */
function onPicture(p, x, y) {
  const v = view();
  const [dx, dy] = [(v.x0 + x / v.k - p.x) / p.size, (v.y1 - y / v.k - p.y) / p.size];
  const [c, s] = [Math.cos(p.turn), Math.sin(p.turn)];
  return [dx * c + dy * s, dx * s - dy * c];
}

/** @param {Placed} p @param {[number, number]} at @returns {[number, number]} */
function onSheet(p, at) {
  const [x, y] = model(p, at);
  const v = view();
  return [(x - v.x0) * v.k, (v.y1 - y) * v.k];
}

/** See all of the picture. @param {Placed} p */
function whole(p) {
  const corners = /** @type {[number, number][]} */ ([[0, 0], [p.width, 0], [0, p.height], [p.width, p.height]]).map((at) => model(p, at));
  const [xs, ys] = [corners.map((c) => c[0]), corners.map((c) => c[1])];
  const { width, height } = byId("sheet").getBoundingClientRect();
  const k = 0.94 * Math.min(width / (Math.max(...xs) - Math.min(...xs)), height / (Math.max(...ys) - Math.min(...ys)));
  const [cx, cy] = [(Math.max(...xs) + Math.min(...xs)) / 2, (Math.max(...ys) + Math.min(...ys)) / 2];
  own = { x0: cx - width / 2 / k, y1: cy + height / 2 / k, k };
}

/** Look closer or further, about a place of the sheet. @param {number} times @param {number} x @param {number} y */
function zoom(times, x, y) {
  if (!own || !placed) return;
  const k = Math.min(Math.max(own.k * times, 1e-4), 60 / placed.size);
  own = { x0: own.x0 + x / own.k - x / k, y1: own.y1 - y / own.k + y / k, k };
  lay();
}

// -- drawing it -----------------------------------------------------------------------------

/** The drawing changed. @param {any} given */
export function under(given) {
  const there = given.mode === "curve" && given.window;
  if (there) drawn = { x0: given.window[0], y1: given.window[3], k: given.scale * MM };
  byId("trace-picture").hidden = !placed?.shown || !there;
  byId("trace-open").hidden = given.mode !== "curve";
  if (!there && tracing()) close();
  lay();
}

/** Put picture, drawing and points where they belong. */
function lay() {
  const v = view();
  const svg = byId("picture");
  if (tracing()) {
    const r = v.k / drawn.k;
    svg.style.transform = `translate(${(drawn.x0 - v.x0) * v.k}px, ${(v.y1 - drawn.y1) * v.k}px) scale(${r})`;
  } else svg.style.transform = "";
  if (!placed) return;
  const [c, s] = [placed.size * v.k * Math.cos(placed.turn), placed.size * v.k * Math.sin(placed.turn)];
  image.style.transform = `matrix(${c}, ${-s}, ${s}, ${c}, ${(placed.x - v.x0) * v.k}, ${(v.y1 - placed.y) * v.k})`;
  image.style.opacity = String(placed.opacity);
  image.hidden = !(placed.shown || tracing());
  if (tracing()) put();
}

/** @param {string} name @param {Record<string, string | number>} set */
function svg(name, set) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(set)) made.setAttribute(key, String(value));
  return made;
}

/** Points, marks and the cross over the picture. */
function put() {
  const place = byId("trace-points");
  if (!placed) return;
  const p = placed;
  const shown = (step === "scale" ? marks : points).map((at) => onSheet(p, at));
  const line = shown.map(([x, y], i) => `${i ? "L" : "M"}${x} ${y}`).join("");
  const kind = step === "scale" ? "mark" : "spot";
  place.replaceChildren(
    svg("path", { d: line, class: kind }),
    ...shown.map(([x, y]) => (kind === "mark" ? svg("path", { class: "mark", d: `M${x - 9} ${y}H${x + 9}M${x} ${y - 9}V${y + 9}` }) : svg("circle", { cx: x, cy: y, r: 4, class: "spot" }))),
    svg("path", { class: "cross", d: `M${cross.x - 14} ${cross.y}H${cross.x - 4}M${cross.x + 4} ${cross.y}H${cross.x + 14}M${cross.x} ${cross.y - 14}V${cross.y - 4}M${cross.x} ${cross.y + 4}V${cross.y + 14}` }),
  );
}

// -- the server -----------------------------------------------------------------------------

/** @param {string} method @param {BodyInit} [body] @returns {Promise<any>} undefined when it was refused */
function ask(method, body) {
  sending = fetch(`/trace/${project}`, { method, body }).then(async (answer) => {
    if (answer.ok) return answer.json();
    notice(await answer.text(), { kind: "trace", seconds: 0 });
    return undefined;
  });
  return sending;
}

/** Keep where the picture lies, at once or when it rests. @param {number} [wait] */
function save(wait = 250) {
  clearTimeout(later);
  later = setTimeout(keep, wait);
}

/** Send where the picture lies. */
function keep() {
  clearTimeout(later);
  later = undefined;
  if (placed) ask("PUT", JSON.stringify({ placed }));
}

/** When what was changed about the picture has reached the server. */
export function sent() {
  if (later !== undefined) keep();
  return sending;
}

/** A picture that a browser shows at once and the server takes: large ones are made smaller here. @param {File} file */
async function fit(file) {
  if (file.size <= MOST_BYTES) return file;
  try {
    const bitmap = await createImageBitmap(file);
    const k = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [Math.round(bitmap.width * k), Math.round(bitmap.height * k)];
    canvas.getContext("2d")?.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", 0.9); });
    return blob instanceof Blob ? new File([blob], file.name.replace(/\.\w+$/, ".jpg")) : file;
  } catch { return file; }
}

/** @param {File} chosen */
async function upload(chosen) {
  const file = await fit(chosen);
  if (file.size > MOST_BYTES * 1.02) { notice(say("trace.large", { name: chosen.name }), { kind: "trace", seconds: 0 }); return; }
  const seen = await createImageBitmap(file).catch(() => null);
  const body = new FormData();
  body.set("picture", file, file.name);
  if (seen) body.set("placed", JSON.stringify(first(seen))); else body.set("look", "yes");
  const got = await ask("POST", body);
  if (got) { take(got); begin("scale"); }
  else if (got === null) notice(say("trace.kind", { name: chosen.name }), { kind: "trace", seconds: 0 });
}

/** A fresh picture fills what the drawing shows. @param {ImageBitmap} picture */
function first({ width, height }) {
  const box = byId("sheet").getBoundingClientRect();
  const size = Math.min(box.width / width, box.height / height) / drawn.k;
  const x = drawn.x0 + (box.width / drawn.k - width * size) / 2;
  const y = drawn.y1 - (box.height / drawn.k - height * size) / 2;
  return { x, y, size, turn: 0, width, height, marks: [], distance: 0, opacity: 0.6, shown: true };
}

/** @param {Placed | null} given */
function take(given) {
  placed = given;
  if (!placed) {
    image.removeAttribute("src");
    image.hidden = true;
    [points, marks] = [[], []];
    if (tracing()) panel();
    return;
  }
  const src = `/trace-picture/${project}?v=${placed.picture}`;
  if (image.getAttribute("src") !== src) image.src = src;
  marks = placed.marks.length === 2 ? [...placed.marks] : marks;
  lay();
}

/** The picture lies elsewhere, by another tab or a step back. @param {Placed | null} given */
function elsewhere(given) {
  if (JSON.stringify(given) === JSON.stringify(placed)) return;
  const before = placed;
  take(given);
  if (!tracing() || !given) return;
  if (given.size !== before?.size || given.turn !== before.turn) whole(given);
  lay();
  panel();
}

// -- pointing -------------------------------------------------------------------------------

/** @param {number} x @param {number} y pixels on the sheet */
function click(x, y) {
  if (!placed || step === "move") return;
  const at = onPicture(placed, x, y);
  if (step === "scale") marks = marks.length >= 2 ? [at] : [...marks, at];
  else points = [...points, at];
  Object.assign(cross, { x, y });
  put();
  panel();
}

/** Take the last point or mark off. */
function back() {
  if (step === "scale") marks = marks.slice(0, -1);
  else points = points.slice(0, -1);
  put();
  panel();
}

/** Take back what is not sent yet, the last point or mark; whether there was any. */
export function takeBack() {
  const unsent = step === "points" ? points.length : step === "scale" ? marks.length && !placed?.marks.some((at, i) => String(at) === String(marks[i])) : 0;
  if (!tracing() || !unsent) return false;
  back();
  return true;
}

/** @param {PointerEvent} event */
function pressed(event) {
  if (event.button !== 0 || !placed || !own) return;
  const surface = byId("trace-surface");
  surface.setPointerCapture(event.pointerId);
  const from = { x: event.clientX, y: event.clientY, view: { ...own }, at: { x: placed.x, y: placed.y }, moved: false };
  const follow = (/** @type {PointerEvent} */ e) => {
    const [dx, dy] = [e.clientX - from.x, e.clientY - from.y];
    if (!from.moved && Math.hypot(dx, dy) < 5) return;
    from.moved = true;
    if (step === "move" && placed && own) Object.assign(placed, { x: from.at.x + dx / own.k, y: from.at.y - dy / own.k });
    else own = { ...from.view, x0: from.view.x0 - dx / from.view.k, y1: from.view.y1 + dy / from.view.k };
    lay();
  };
  const up = (/** @type {PointerEvent} */ e) => {
    surface.removeEventListener("pointermove", follow);
    surface.removeEventListener("pointerup", up);
    surface.removeEventListener("pointercancel", up);
    if (from.moved) { if (step === "move") save(0); return; }
    const box = surface.getBoundingClientRect();
    if (e.type === "pointerup") click(e.clientX - box.left, e.clientY - box.top);
  };
  surface.addEventListener("pointermove", follow);
  surface.addEventListener("pointerup", up);
  surface.addEventListener("pointercancel", up);
}

/** @param {KeyboardEvent} event */
function keyed(event) {
  const way = ARROWS[event.key];
  const far = event.shiftKey ? 1 : event.ctrlKey || event.metaKey ? 60 : 10;
  if (way && step === "move" && placed && own) {
    placed.x += (way[0] * far) / own.k;
    placed.y -= (way[1] * far) / own.k;
    save();
    lay();
  } else if (way) {
    cross.x += way[0] * far;
    cross.y += way[1] * far;
    put();
  } else if (event.key === "Enter" || event.key === " ") click(cross.x, cross.y);
  else if (event.key === "Backspace" || event.key === "Delete") back();
  else if (event.key === "+" || event.key === "=") zoom(1.4, cross.x, cross.y);
  else if (event.key === "-") zoom(1 / 1.4, cross.x, cross.y);
  else if (event.key === "0" && placed) { whole(placed); lay(); }
  else if (event.key === "Escape") close();
  else return;
  event.preventDefault();
}

// -- the panel ------------------------------------------------------------------------------

/** @param {string} text @param {() => void} act @param {Record<string, any>} [set] */
function button(text, act, set = {}) {
  const made = el("button", set, text);
  made.onclick = act;
  return made;
}

/** Everything that is said and chosen while tracing. */
function panel() {
  const place = byId("trace-panel");
  const focused = document.activeElement instanceof HTMLElement && place.contains(document.activeElement) ? document.activeElement.id : "";
  const typed = byId("trace-distance")?.value ?? "";
  const named = byId("trace-name")?.value ?? "";
  const head = el("div", { class: "head" }, el("h3", {}, say("trace.title")), button(say("trace.close"), close, { id: "trace-close" }));
  if (!placed) place.replaceChildren(head, choosing());
  else place.replaceChildren(head, steps(), ...inside(typed, named), tools());
  if (focused) (byId(focused) ?? byId("trace-surface")).focus();
}

function choosing() {
  const file = el("input", { type: "file", id: "trace-file", accept: "image/png,image/jpeg,image/webp" });
  file.onchange = () => {
    const chosen = file.files?.[0];
    file.value = ""; // so that the same file can be chosen again
    if (chosen) upload(chosen);
  };
  return el("div", {}, el("p", { class: "small" }, say("trace.about")), el("label", {}, `${say("trace.choose")} (${say("trace.kinds")}) `, file));
}

function steps() {
  return el("div", { class: "steps", role: "group", "aria-label": say("trace.title") }, ...["scale", "points", "move"].map((name) =>
    button(say(`trace.step.${name}`), () => { step = name; put(); panel(); }, { id: `trace-step-${name}`, "aria-pressed": String(step === name) })));
}

/** @param {string} typed @param {string} named @returns {Node[]} */
function inside(typed, named) {
  if (step === "move") return [el("p", {}, say("trace.move.about"))];
  if (step === "scale") return scaling(typed);
  const count = points.length;
  const name = el("input", { id: "trace-name", "aria-label": say("trace.points.name"), maxlength: 60, size: 14, placeholder: say("trace.points.name"), autocomplete: "off" });
  name.value = named;
  return [
    ...(placed?.distance ? [] : [el("p", { class: "trouble" }, say("trace.scale.unset"))]),
    el("p", {}, say("trace.points.about")),
    el("p", { class: "row", role: "status" }, say("trace.points.count", { count }), " ", button(say("trace.points.back"), back, { id: "trace-back", disabled: !count })),
    el("p", { class: "row" },
      ...(part ? [button(say("trace.points.use", { part }), () => use(false), { id: "trace-use", class: "strong", disabled: count < 2 })] : []),
      name, button(say("trace.points.new"), () => use(true), { id: "trace-new", disabled: count < 2 })),
  ];
}

/** @param {string} typed @returns {Node[]} */
function scaling(typed) {
  const said = marks.length === 0 ? "first" : marks.length === 1 ? "second" : "ready";
  const now = placed?.distance ? el("p", { class: "small" }, say("trace.scale.said", { size: length(placed.size) })) : "";
  const first = el("p", { role: "status" }, say(`trace.scale.${said}`));
  if (marks.length < 2) return [first, now].filter((n) => n !== "");
  const distance = el("input", { id: "trace-distance", "aria-label": say("trace.scale.distance"), size: 9, autocomplete: "off" });
  distance.value = typed || (placed?.distance ? length(placed.distance) : "");
  const level = el("select", { id: "trace-level", "aria-label": say("trace.scale.level"), class: "choice" }, ...["none", "level", "plumb"].map((v) => el("option", { value: v }, say(`trace.scale.level.${v}`))));
  const form = el("form", { class: "row" },
    el("label", {}, say("trace.scale.distance"), " ", distance),
    el("label", {}, say("trace.scale.level"), " ", level), el("button", { id: "trace-set", class: "strong" }, say("trace.scale.set")));
  form.onsubmit = (/** @type {SubmitEvent} */ event) => { event.preventDefault(); setScale(distance.value, level.value); };
  return [first, form, now].filter((n) => n !== "");
}

const unit = () => (document.querySelector("input[name=units]:checked") instanceof HTMLInputElement ? /** @type {HTMLInputElement} */ (document.querySelector("input[name=units]:checked")).value : "mm");

/** @param {number} mm */
function length(mm) {
  const value = unit() === "in" ? mm / 25.4 : mm;
  return `${Number(value.toPrecision(value < 10 ? 3 : 6))} ${unit()}`;
}

/** @param {string} text @param {string} level */
async function setScale(text, level) {
  clearTimeout(later);
  later = undefined;
  const got = await ask("PUT", JSON.stringify({ placed, marks, text, level, unit: unit() }));
  if (!got) return;
  take(got);
  whole(got);
  step = "points";
  lay();
  panel();
  byId("trace-surface").focus();
}

/** @param {boolean} alone */
function use(alone) {
  if (!placed) return;
  const p = placed;
  send({ type: "curve", act: "trace", points: points.map((at) => model(p, at)), own: alone, name: byId("trace-name")?.value ?? "" });
  points = [];
  if (alone) { put(); panel(); } else close();
}

function tools() {
  const strength = el("input", { type: "range", id: "trace-opacity", min: 10, max: 100, step: 5 });
  strength.value = String(Math.round((placed?.opacity ?? 0.6) * 100));
  strength.oninput = () => { if (placed) { placed.opacity = Number(strength.value) / 100; lay(); save(); } };
  const shown = el("input", { type: "checkbox", id: "trace-shown" });
  shown.checked = Boolean(placed?.shown);
  shown.onchange = () => { if (placed) { placed.shown = shown.checked; save(0); } };
  const { width, height } = byId("sheet").getBoundingClientRect();
  return el("p", { class: "row tools" },
    button(say("trace.closer"), () => zoom(1.6, width / 2, height / 2), { id: "trace-closer" }),
    button(say("trace.further"), () => zoom(1 / 1.6, width / 2, height / 2), { id: "trace-further" }),
    button(say("trace.whole"), () => { if (placed) { whole(placed); lay(); } }, { id: "trace-whole" }),
    el("label", {}, say("trace.opacity"), " ", strength), el("label", {}, shown, " ", say("trace.show")),
    button(say("trace.remove"), async () => { if ((await ask("DELETE")) === null) { take(null); notice(say("trace.removed"), { kind: "trace", seconds: 6 }); } }, { id: "trace-remove" }));
}

/** @param {string} [at] the step to begin with */
function begin(at) {
  if (placed) whole(placed); else own = { ...drawn };
  step = at ?? (placed?.distance ? "points" : "scale");
  document.querySelector(".board")?.classList.add("tracing");
  byId("trace-panel").hidden = false;
  byId("trace-surface").hidden = false;
  const { width, height } = byId("sheet").getBoundingClientRect();
  Object.assign(cross, { x: width / 2, y: height / 2 });
  panel();
  if (placed) whole(placed);
  lay();
  (placed ? byId("trace-surface") : byId("trace-file")).focus();
}

function close() {
  own = null;
  document.querySelector(".board")?.classList.remove("tracing");
  byId("trace-panel").hidden = true;
  byId("trace-surface").hidden = true;
  lay();
  byId("trace-open").focus();
}

// -- beginning ------------------------------------------------------------------------------

/** Make what is needed on the sheet and listen. */
export function start() {
  image = el("img", { id: "trace-picture", alt: "", hidden: true, draggable: "false" });
  image.onload = lay;
  byId("sheet").prepend(image);
  const surface = el("div", { id: "trace-surface", class: "surface", tabindex: "0", role: "application", hidden: true });
  const over = svg("svg", { id: "trace-points", "aria-hidden": "true", class: "layer" });
  surface.append(over);
  byId("sheet").append(surface);
  byId("strip").before(el("section", { id: "trace-panel", class: "trace-panel", hidden: true }));
  const open = el("button", { id: "trace-open", class: "toggle" });
  open.onclick = () => begin();
  byId("key").append(open);
  surface.addEventListener("pointerdown", pressed);
  surface.addEventListener("keydown", keyed);
  surface.addEventListener("wheel", (/** @type {WheelEvent} */ event) => {
    event.preventDefault();
    const box = surface.getBoundingClientRect();
    zoom(Math.exp(-event.deltaY / 400), event.clientX - box.left, event.clientY - box.top);
  }, { passive: false });
  new ResizeObserver(() => { if (tracing()) lay(); }).observe(byId("sheet"));
  on("hello", () => {
    open.textContent = say("trace.open");
    surface.setAttribute("aria-label", say("trace.surface"));
    byId("trace-panel").setAttribute("aria-label", say("trace.title"));
    ask("GET").then((got) => { if (got) take(got); });
  });
  on("trace", (message) => elsewhere(message.placed));
  on("answers", (message) => { if (message.part !== undefined) part = message.part; });
}
