// @ts-check
/**
 * The piece in space, drawn by the plotting library from this machine's own copy, which is
 * fetched when the piece is first looked at. It draws when something changed and rests otherwise.
 */

import { byId, el } from "./dom.js";
import { say } from "./words.js";
import { edgeTone, edgesOf, facesOf, mixed } from "./tubes.js";

const FAR = 2; // of the camera; without meaning in parallel projection
const FILL = 0.84; // share of the sheet that the piece fills
const UNIT = 0.4716; // share of the sheet's height that one unit of the scene takes
const TURN = Math.PI / 12;
const AWAKE = 700; // ms that it goes on drawing after something happened
/** Directions to look from: degrees from the front to the left, degrees above. @type {Record<string, [number, number]>} */
const WAYS = { angle: [-38, 24], front: [0, 0], right: [-90, 0], back: [180, 0], left: [90, 0], above: [-90, 89.95] };

/** @type {any} */
let plot = null;
/** @type {any} */
let given = null;
let kind = "";
let seeThrough = false;
let zoomed = 1;
/** @type {[number, number]} where it is seen from [rad] */
let from = [WAYS.angle[0] * Math.PI / 180, WAYS.angle[1] * Math.PI / 180];
/** @type {{pick: (kind: string) => void, point: (kind: string) => void}} */
let acts = { pick: () => {}, point: () => {} };
let pointed = "";

const place = byId("round");

// -- the library ----------------------------------------------------------------------------

/** @type {Promise<any> | null} */
let library = null;

/**
 * Fetch the library. It carries a map's style sheet, which it would write into the page while
 * it is read; the page lets nobody do that, so a style made meanwhile is an empty template.
 */
function load() {
  return new Promise((done, fail) => {
    const make = document.createElement;
    document.createElement = (/** @type {string} */ tag, /** @type {any[]} */ ...more) => make.call(document, tag === "style" ? "template" : tag, ...more);
    const script = el("script", { src: "/plotly.js" });
    script.onload = () => { document.createElement = make; done(/** @type {any} */ (window).Plotly); };
    script.onerror = () => { document.createElement = make; fail(new Error("plotly")); };
    document.head.append(script);
  });
}

/** Whether the browser draws in space at all. */
function able() {
  try { return Boolean(document.createElement("canvas").getContext("webgl")); } catch { return false; }
}

// -- drawing on demand ----------------------------------------------------------------------

const frame = window.requestAnimationFrame.bind(window);
/** @type {FrameRequestCallback[]} */
const resting = [];
/** @type {FrameRequestCallback | null} */
let running = null;
let until = 0;

/** The library asks for frame after frame, changed or not: a call that asks for itself waits here. */
function restful() {
  window.requestAnimationFrame = (act) => {
    if (act === running && performance.now() > until) { resting.push(act); return 0; }
    return frame((time) => {
      running = act;
      try { act(time); } finally { running = null; }
    });
  };
}

function wake() {
  until = performance.now() + AWAKE;
  for (const act of resting.splice(0)) window.requestAnimationFrame(act);
}

// -- showing --------------------------------------------------------------------------------

/**
 * Draw the piece, or draw it again after a change.
 * @param {any} scene from the server @param {string} chosen @param {typeof acts} doing
 */
export async function show(scene, chosen, doing) {
  acts = doing;
  const same = given?.solid === scene.solid;
  given = scene;
  kind = chosen;
  place.hidden = false;
  if (!able()) { without(); return; }
  if (!library) { restful(); library = load(); }
  let Plotly;
  try { Plotly = await library; } catch { library = null; without(); return; }
  if (!plot) begin(Plotly);
  else if (!same || place.hidden) zoomed = Math.min(Math.max(zoomed, 0.2), 12);
  draw();
}

function without() {
  place.replaceChildren(el("p", { class: "blank" }, say("round.none")));
  byId("turns").hidden = true;
}

/** @param {any} Plotly */
function begin(Plotly) {
  plot = Plotly;
  place.setAttribute("tabindex", "0");
  place.setAttribute("role", "application");
  place.addEventListener("keydown", keyed);
  for (const what of ["pointermove", "pointerdown", "pointerup", "wheel", "touchmove"]) place.addEventListener(what, wake, { passive: true });
  place.addEventListener("pointerdown", press);
  place.addEventListener("pointerleave", () => { pointed = ""; acts.point(""); });
  new ResizeObserver(() => { if (place.clientWidth && place.childElementCount) draw(); }).observe(place);
  new MutationObserver(draw).observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme"] });
}

/** @type {Promise<void>} */
let drawing = Promise.resolve();

/** Draw everything from what is known now. */
function draw() {
  wake();
  drawing = drawing.then(async () => {
    if (!plot || place.hidden || !place.clientWidth) return;
    const fresh = !place.querySelector(".plot-container");
    await plot.react(place, traces(), layout(), { displayModeBar: false, scrollZoom: innerWidth >= 1100 ? "gl3d" : false, doubleClick: false, showTips: false });
    if (fresh) listen();
    place.setAttribute("aria-label", `${say("round.label")}. ${given.about} ${say("round.keys")}`);
    place.dataset.drawn = String(Number(place.dataset.drawn ?? 0) + 1);
    wake();
  });
}

function listen() {
  const graph = /** @type {any} */ (place);
  graph.on("plotly_hover", (/** @type {any} */ event) => {
    const part = given.solid.parts[event.points[0]?.curveNumber];
    pointed = part?.kind ?? "";
    acts.point(pointed);
  });
  graph.on("plotly_unhover", () => { pointed = ""; acts.point(""); });
  graph.on("plotly_relayout", (/** @type {any} */ change) => {
    const eye = change["scene.camera"]?.eye;
    if (eye) from = [Math.atan2(eye.y, eye.x), Math.atan2(eye.z, Math.hypot(eye.x, eye.y))];
    const shape = change["scene.aspectratio"];
    if (shape) zoomed = shape.z / (base().z * fitting());
  });
}

// -- what is drawn --------------------------------------------------------------------------

/** @param {string} name */
const token = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();

function traces() {
  const { parts, pegs } = given.solid;
  const accent = token("accent");
  const solids = parts.map((/** @type {any} */ part) => {
    const tint = part.kind === kind ? mixed(part.tint, accent, 0.4) : part.tint;
    return { type: "mesh3d", ...facesOf([part], tint), name: part.id, hoverinfo: "name", flatshading: true, opacity: seeThrough ? 0.3 : 1, lighting: LIGHT };
  });
  const lines = [...Map.groupBy(parts, (/** @type {any} */ p) => (p.kind === kind ? accent : mixed(p.tint, edgeTone(p.tint), 0.75)))].map(([color, of]) => (
    { type: "scatter3d", mode: "lines", ...edgesOf(of), line: { color, width: 2.5 }, hoverinfo: "skip" }));
  const inside = { type: "mesh3d", ...facesOf(pegs, accent), flatshading: true, hoverinfo: "skip", visible: seeThrough, lighting: LIGHT };
  return [...solids, inside, ...lines, floor()];
}

const LIGHT = { ambient: 1, diffuse: 0, specular: 0, fresnel: 0 }; // the faces have their light already

/** Least and greatest x, y, z [mm], the floor in it. */
function box() {
  const [low, high] = given.solid.box.map((/** @type {number[]} */ corner) => corner.map((v) => v / 10));
  return { low: [low[0], low[1], Math.min(low[2], 0)], high };
}

/** The floor the piece stands on: a rectangle a little larger than it. */
function floor() {
  const { low, high } = box();
  const out = 0.05 * Math.max(high[0] - low[0], high[1] - low[1]);
  const [x0, x1, y0, y1] = [low[0] - out, high[0] + out, low[1] - out, high[1] + out];
  return { type: "scatter3d", mode: "lines", x: [x0, x1, x1, x0, x0], y: [y0, y0, y1, y1, y0], z: [0, 0, 0, 0, 0], line: { color: token("faint"), width: 1.5 }, hoverinfo: "skip" };
}

/** Proportions of the scene, its longest side 1. */
function base() {
  const { low, high } = ranges();
  const most = Math.max(...high.map((h, k) => h - low[k]));
  const [x, y, z] = high.map((h, k) => (h - low[k]) / most);
  return { x, y, z };
}

/** What the axes span: the piece, its floor, and a little air. */
function ranges() {
  const { low, high } = box();
  const out = 0.07 * Math.max(high[0] - low[0], high[1] - low[1]);
  return { low: [low[0] - out, low[1] - out, low[2] - 5], high: [high[0] + out, high[1] + out, high[2] + 5] };
}

/** Size at which the piece, seen from here, fills the sheet. */
function fitting() {
  const b = base();
  const [a, e] = from;
  const wide = b.x * Math.abs(Math.sin(a)) + b.y * Math.abs(Math.cos(a));
  const deep = b.x * Math.abs(Math.cos(a)) + b.y * Math.abs(Math.sin(a));
  const high = b.z * Math.cos(e) + deep * Math.abs(Math.sin(e));
  return (FILL / UNIT) * Math.min(place.clientWidth / place.clientHeight / wide, 1 / high);
}

function layout() {
  const { low, high } = ranges();
  const axis = (/** @type {number} */ k) => ({ visible: false, range: [low[k], high[k]], showspikes: false });
  const b = base();
  const size = fitting() * zoomed;
  const [a, e] = from;
  const eye = { x: FAR * Math.cos(a) * Math.cos(e), y: FAR * Math.sin(a) * Math.cos(e), z: FAR * Math.sin(e) };
  return {
    width: place.clientWidth, height: place.clientHeight, margin: { l: 0, r: 0, t: 0, b: 0 }, showlegend: false, autosize: false,
    paper_bgcolor: "rgba(0,0,0,0)", uirevision: "kept", font: { family: token("sans"), color: token("ink") },
    hoverlabel: { namelength: -1, bgcolor: token("paper"), bordercolor: token("faint"), font: { family: token("sans"), size: 13, color: token("ink") } },
    scene: {
      xaxis: axis(0), yaxis: axis(1), zaxis: axis(2), bgcolor: "rgba(0,0,0,0)", dragmode: "turntable", hovermode: "closest", uirevision: JSON.stringify([low, high, from, zoomed, place.clientWidth, place.clientHeight]),
      aspectmode: "manual", aspectratio: { x: b.x * size, y: b.y * size, z: b.z * size },
      camera: { eye, up: { x: 0, y: 0, z: 1 }, center: { x: 0, y: 0, z: 0 }, projection: { type: "orthographic" } },
      annotations: marks(),
    },
  };
}

let marked = "";

/** Rings at the places of a joint. */
function marks() {
  const size = Math.min(26, 10 + 0.03 * place.clientHeight);
  return (given.solid.joints[marked] ?? []).map(([x, y, z]) => ({
    x: x / 10, y: y / 10, z: z / 10, text: "○", showarrow: false, font: { size, color: token("accent") },
  }));
}

// -- what a maker does ----------------------------------------------------------------------

/** @param {string} chosen */
export function choose(chosen) {
  if (chosen === kind || !plot) { kind = chosen; return; }
  kind = chosen;
  draw();
}

/** @param {string} joint */
export function mark(joint) {
  if (joint === marked) return;
  marked = joint;
  if (plot) draw();
}

/** @param {string} way */
export function turn(way) {
  from = [WAYS[way][0] * Math.PI / 180, WAYS[way][1] * Math.PI / 180];
  zoomed = 1;
  draw();
}

/** @param {number} step 1 nearer, -1 further */
export function zoom(step) {
  zoomed = Math.min(Math.max(zoomed * 1.25 ** step, 0.2), 12);
  draw();
}

/** See the tenons through the wood, or no longer. */
export function through() {
  seeThrough = !seeThrough;
  draw();
  return seeThrough;
}

/** @param {KeyboardEvent} event */
function keyed(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  const near = { "+": 1, "=": 1, "-": -1 }[event.key];
  if (!way && !near) return;
  event.preventDefault();
  if (near) { zoom(near); return; }
  const step = event.shiftKey ? TURN / 3 : TURN;
  const before = fitting();
  const most = Math.PI / 2 - 0.001;
  from = [from[0] + step * way[0], Math.min(Math.max(from[1] + step * way[1], -most), most)];
  zoomed *= before / fitting();
  draw();
}

/** A press that does not move is a choice. @param {PointerEvent} down */
function press(down) {
  const up = (/** @type {PointerEvent} */ event) => {
    window.removeEventListener("pointerup", up, true);
    if (Math.hypot(event.clientX - down.clientX, event.clientY - down.clientY) < 4 && pointed) acts.pick(pointed);
  };
  window.addEventListener("pointerup", up, true);
}
