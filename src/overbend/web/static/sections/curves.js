// @ts-check
/** Curves: the points or segments as tables, points in their place, and a drawing instead. */

import { ghost } from "../board.js";
import { byId, el } from "../dom.js";
import { on, send } from "../link.js";
import { notice } from "../notices.js";
import { register } from "../notes.js";
import { say } from "../words.js";

const UNITS = ["", "mm", "cm", "m", "in", "ft", "px"];
const SVG = "http://www.w3.org/2000/svg";

register({
  id: "curves",
  special: (kind, data) => (kind === "import" ? bring(data) : kind === "turn" ? turn() : kind === "place" ? place() : null),
});

// -- buttons of the tables ------------------------------------------------------------------

document.addEventListener("click", (event) => {
  const at = event.target instanceof Element ? event.target.closest('[data-act^="curve."]') : null;
  if (!(at instanceof HTMLElement)) return;
  event.stopPropagation();
  const [act, before] = (at.dataset.act ?? "").slice(6).split("-");
  if (act === "off") send({ type: "put", key: at.dataset.key, value: null });
  else send({ type: "curve", act, index: Number(at.dataset.index), before: before === "before" });
}, true);

/** A field and a button for a named place. */
function place() {
  const name = el("input", { class: "choice", "aria-label": say("places.new"), placeholder: say("places.new"), maxlength: 60, size: 16, autocomplete: "off" });
  const made = el("form", { class: "adder own-form", "data-own": "place" }, name, el("button", {}, say("places.add")));
  return made;
}

byId("sections").addEventListener("submit", (/** @type {SubmitEvent} */ event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (form.dataset.own !== "place") return;
  event.preventDefault();
  const field = form.querySelector("input");
  if (!field?.value.trim()) { field?.focus(); return; }
  send({ type: "curve", act: "station", name: field.value.trim() });
  field.value = "";
});

// -- points in place of segments ------------------------------------------------------------

/** A button that offers points, and what was offered. */
function turn() {
  return el("div", { class: "turn", "data-own": "turn", id: "turn" }, el("button", { id: "turn-ask" }, say("points.turn")), el("div", { id: "turn-offer", role: "status" }));
}

on("offer", (message) => {
  const holder = byId("turn-offer");
  if (!holder) return;
  const again = (/** @type {number} */ count) => send({ type: "curve", act: "points", count });
  const offered = { count: message.count, part: document.querySelector('.parts [aria-pressed="true"]')?.getAttribute("data-part") };
  const button = (/** @type {string} */ key, /** @type {() => void} */ act, set = {}) => {
    const made = el("button", set, say(key));
    made.onclick = act;
    return made;
  };
  holder.replaceChildren(
    el("p", {}, message.text),
    el("p", { class: "small" }, say("points.about")),
    el("p", { class: "adder" },
      button("points.fewer", () => again(offered.count - 1), { disabled: offered.count <= 3 }),
      button("points.morepoints", () => again(offered.count + 1), { disabled: offered.count >= message.most }),
      button("points.use", () => { leave(); send({ type: "curve", act: "points", count: offered.count, use: true }); }, { class: "strong", id: "turn-use" }),
      button("points.leave", leave)));
  ghost(message.line, message.points);
});

function leave() {
  byId("turn-offer")?.replaceChildren();
  ghost();
}

document.addEventListener("click", (event) => {
  if (event.target instanceof Element && event.target.id === "turn-ask") send({ type: "curve", act: "points", count: 0 });
});

// -- a drawing ------------------------------------------------------------------------------

/** A form that brings in a drawing. @param {any} data */
function bring(data) {
  const unit = el("select", { name: "unit", class: "own", "data-own": "unit" }, ...UNITS.map((u) => el("option", { value: u }, u || say("curves.import.unit.own"))));
  const form = el("form", { "data-part": data.part },
    el("label", {}, say("curves.import.file"), " ", el("input", { type: "file", name: "drawing", accept: ".dxf,.svg", required: true })),
    el("label", {}, say("curves.import.unit"), " ", unit),
    el("div", { class: "look", "data-own": "look", role: "status" }),
    el("button", {}, say("curves.import.send")));
  return el("details", { class: "bring" }, el("summary", {}, say("curves.import")), el("p", { class: "small" }, say("curves.import.about")), form);
}

const address = () => `/drawing/${(document.body.dataset.project ?? "").split("/").map(encodeURIComponent).join("/")}`;

/** @param {HTMLFormElement} form */
function body(form) {
  const made = new FormData(form);
  made.set("part", form.dataset.part ?? "");
  return made;
}

/** Look at the chosen drawing before it is used. @param {HTMLFormElement} form */
async function look(form) {
  const holder = /** @type {HTMLElement} */ (form.querySelector(".look"));
  const file = /** @type {HTMLInputElement} */ (form.querySelector("input[type=file]"));
  if (!file.files?.length) { holder.replaceChildren(); return; }
  const asked = body(form);
  asked.set("look", "yes");
  asked.set("shown", document.querySelector("input[name=units][value=in]:checked") ? "in" : "mm");
  holder.replaceChildren(el("p", { class: "small" }, say("curves.import.reading")));
  const answer = await fetch(address(), { method: "POST", body: asked });
  if (!answer.ok) { holder.replaceChildren(el("p", { class: "trouble" }, plain(await answer.text()))); return; }
  const got = await answer.json();
  const select = /** @type {HTMLSelectElement} */ (form.querySelector("select"));
  const lengths = new Map(got.units);
  for (const option of select.options) if (option.value) option.textContent = lengths.has(option.value) ? `${option.value} (${lengths.get(option.value)})` : option.value;
  holder.replaceChildren(...got.says.map((/** @type {string} */ text) => el("p", {}, text)), ...(got.line.length ? [sketch(got.line, got.now)] : []));
  if (got.ask) select.focus();
}

/** @param {number[][]} line @param {number[][]} now */
function sketch(line, now) {
  const all = [...line, ...now];
  const [xs, ys] = [all.map((p) => p[0]), all.map((p) => p[1])];
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const pad = 0.04 * (x1 - x0);
  const made = document.createElementNS(SVG, "svg");
  made.setAttribute("viewBox", `${x0 - pad} ${y0 - pad} ${x1 - x0 + 2 * pad} ${y1 - y0 + 2 * pad}`);
  made.setAttribute("class", "sketch");
  made.setAttribute("role", "img");
  made.setAttribute("aria-label", say("curves.import.picture"));
  for (const [points, kind] of /** @type {[number[][], string][]} */ ([[now, "now"], [line, "drawn"]])) {
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("d", points.map(([x, y], i) => `${i ? "L" : "M"}${x} ${y}`).join(""));
    path.setAttribute("class", kind);
    made.append(path);
  }
  return el("figure", {}, made, el("figcaption", {}, say("curves.import.picture")));
}

byId("sections").addEventListener("change", (/** @type {Event} */ event) => {
  const form = event.target instanceof Element ? event.target.closest(".bring form") : null;
  if (form instanceof HTMLFormElement) look(form);
});

byId("sections").addEventListener("submit", async (/** @type {SubmitEvent} */ event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (!form.closest(".bring")) return;
  event.preventDefault();
  const answer = await fetch(address(), { method: "POST", body: body(form) });
  const text = await answer.text();
  notice(answer.ok ? text : plain(text), { kind: "drawing", seconds: answer.ok ? 8 : 0 });
  if (!answer.ok) return;
  form.reset();
  form.querySelector(".look")?.replaceChildren();
});

/** Words of an error page. @param {string} html */
function plain(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  return page.querySelector(".lead")?.textContent ?? html.slice(0, 300);
}
