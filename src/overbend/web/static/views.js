// @ts-check
/**
 * The whole piece beside the selected part: its views, parts to point at, places of joints.
 * The drawing itself comes from the server and is put in place by the board.
 */

import { byId } from "./dom.js";
import { on } from "./link.js";
import { say } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";
const WHOLE = ["side", "front", "plan", "round"];

/** @type {any} what is drawn now, as the server sent it */
let scene = null;
let wanted = "curve";
/** Name of the part selected on the page. */
let chosen = "";
/** A part that was pointed at and is not one of those that can be selected on the page. */
let looked = "";
/** @type {Promise<typeof import("./round.js")> | null} */
let space = null;

// -- what is wanted -------------------------------------------------------------------------

/** Make room for a view before the server is asked, so that it is drawn at the right size. @param {string} mode */
function turnTo(mode) {
  wanted = mode;
  const whole = WHOLE.includes(mode);
  byId("sheet").dataset.view = mode;
  byId("strip").hidden = whole;
  byId("told").hidden = !whole;
  byId("turns").hidden = mode !== "round";
  if (whole) byId("key").hidden = true;
  if (mode !== "round") byId("round").hidden = true;
  settle();
}

document.addEventListener("change", (event) => {
  if (event.target instanceof HTMLInputElement && event.target.name === "view") turnTo(event.target.value);
});

/** Dim what is drawn until what is wanted has come. */
function settle() {
  const late = scene && scene.mode !== wanted;
  byId("sheet").classList.toggle("late", Boolean(late));
  if (late) byId("whole").replaceChildren();
}

on("answers", (message) => {
  if (message.part !== undefined && message.part !== chosen) {
    chosen = message.part;
    looked = "";
    light();
  }
  if (message.scene) show(message.scene);
});

/** @param {any} given */
function show(given) {
  const before = scene?.mode;
  scene = { mode: "curve", ...given };
  if (!WHOLE.includes(scene.mode)) { plain(before); return; }
  settle();
  const blank = byId("blank");
  const fetching = scene.mode === "round" && !space;
  blank.hidden = !given.none && !fetching;
  blank.textContent = given.none ?? (fetching ? say("view.drawing") : "");
  byId("whole").replaceChildren();
  if (given.shapes) outlines(given.shapes);
  if (marking) mark(marking);
  if (scene.mode === "round" && !given.none) solid(given);
  else byId("round").hidden = true;
  queueMicrotask(light); // the board puts the lines in place after this
}

/** A drawing of the part alone, which comes with every move of a drag: no more than is needed. @param {string | undefined} before */
function plain(before) {
  if (before !== scene.mode || scene.mode !== wanted) {
    settle();
    byId("blank").hidden = true;
    byId("round").hidden = true;
    byId("whole").replaceChildren();
  }
  if (marking) mark(marking);
}

/** What is laid over the drawing is in its millimetres. */
function sized() {
  const [x0, y0, x1, y1] = scene?.window ?? [0, 0, 1, 1];
  const scale = scene?.scale ?? 1;
  byId("whole").setAttribute("viewBox", `0 0 ${(x1 - x0) * scale} ${(y1 - y0) * scale}`);
}

/** @param {any} given */
async function solid(given) {
  space ??= import("./round.js");
  const round = await space;
  if (scene.solid !== given.solid) return;
  await round.show(given, current(), { pick, point });
  if (!given.none) byId("blank").hidden = true;
}

// -- parts ----------------------------------------------------------------------------------

/** Outlines to point at, the farthest first. @param {any[]} shapes */
function outlines(shapes) {
  sized();
  byId("whole").append(...shapes.map((shape) => {
    const made = document.createElementNS(SVG, "path");
    made.setAttribute("class", "part");
    made.setAttribute("d", shape.d);
    made.dataset.kind = shape.kind;
    return made;
  }));
}

const current = () => looked || chosen;

/** Show which part is selected, in the lines and in words. */
function light() {
  const kind = current();
  for (const path of byId("whole").querySelectorAll(".part")) path.classList.toggle("chosen", path.dataset.kind === kind);
  for (const path of byId("picture").querySelectorAll("[data-name]")) {
    path.classList.toggle("chosen", WHOLE.includes(scene?.mode) && path.dataset.name?.split("/")[0] === kind);
  }
  if (scene?.mode === "round") space?.then((round) => round.choose(kind));
  tell(kind);
}

/** Say what a part is. @param {string} kind */
function tell(kind) {
  byId("told").textContent = scene?.kinds?.[kind] ?? (WHOLE.includes(wanted) ? say("view.help") : "");
}

/** Point at a part, or at none. @param {string} kind */
function point(kind) {
  for (const path of byId("whole").querySelectorAll(".part")) path.classList.toggle("at", path.dataset.kind === kind);
  tell(kind || current());
}

/** Select a part: on the page when it can be, else here only. @param {string} kind */
function pick(kind) {
  const button = byId("parts").querySelector(`[data-part="${CSS.escape(kind)}"]`);
  looked = button ? "" : kind;
  if (button && kind !== chosen) button.click();
  light();
}

/** @param {Event} event */
const kindAt = (event) => (event.target instanceof SVGElement ? event.target.dataset.kind ?? "" : "");
byId("whole").addEventListener("pointerover", (/** @type {Event} */ event) => point(kindAt(event)));
byId("whole").addEventListener("pointerleave", () => point(""));
byId("whole").addEventListener("click", (/** @type {Event} */ event) => { if (kindAt(event)) pick(kindAt(event)); });

// -- joints ---------------------------------------------------------------------------------

/** @type {HTMLElement | null} the line of the notes whose joint is shown */
let marking = null;

/** Show where a joint of the notes is. @param {HTMLElement | null} from */
function mark(from) {
  marking = from;
  const name = from?.dataset.joint ?? "";
  for (const old of byId("whole").querySelectorAll(".joint")) old.remove();
  if (scene?.mode === "round") { space?.then((round) => round.mark(name)); return; }
  const places = scene?.joints?.[name] ?? onTrack(from?.dataset.spots ?? "");
  if (!places.length) return;
  sized();
  const sheet = byId("sheet").getBoundingClientRect();
  const radius = Math.min(2.4, 0.004 * Math.min(sheet.width, sheet.height) + 0.4);
  byId("whole").append(...places.map((/** @type {number[]} */ [x, y]) => {
    const made = document.createElementNS(SVG, "circle");
    for (const [key, value] of Object.entries({ class: "joint", cx: x, cy: y, r: radius })) made.setAttribute(key, String(value));
    return made;
  }));
}

/** Places on the part as drawn, from shares of its length. @param {string} spots */
function onTrack(spots) {
  const track = scene?.track ?? [];
  if (!track.length || !spots) return [];
  return spots.split(" ").map((share) => track[Math.round(Number(share) * (track.length - 1))]).filter(Boolean);
}

/** @param {Event} event */
function over(event) {
  const from = event.target instanceof Element ? event.target.closest("[data-joint]") : null;
  mark(from instanceof HTMLElement ? from : null);
}
byId("notes").addEventListener("pointerover", over);
byId("notes").addEventListener("focusin", over);
byId("notes").addEventListener("pointerleave", () => mark(null));

// -- turning --------------------------------------------------------------------------------

byId("turns").addEventListener("click", async (/** @type {Event} */ event) => {
  const button = event.target instanceof Element ? event.target.closest("button") : null;
  const round = await space;
  if (!button || !round) return;
  const { turn, zoom, through } = button.dataset;
  if (turn) round.turn(turn);
  else if (zoom) round.zoom(Number(zoom));
  else if (through) button.setAttribute("aria-pressed", String(round.through()));
});

byId("sheet").dataset.view = wanted;
