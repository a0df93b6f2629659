// @ts-check
/** The page of a piece: what is chosen, what comes from the server, what goes there. */

import * as board from "./board.js";
import { byId, el } from "./dom.js";
import { keep, kept } from "./keep.js";
import { on, open, send } from "./link.js";
import { morph, value } from "./morph.js";
import { notice, unsay } from "./notices.js";
import * as notes from "./notes.js";
import { watch } from "./numbers.js";
import "./sections/all.js";
import * as trace from "./trace.js";
import { told } from "./trouble.js";
import "./views.js";
import { makeBook } from "./sections/book.js";
import { learn, say } from "./words.js";

const view = { part: kept(`part-${document.body.dataset.project}`) ?? "", mode: "curve", units: kept("units") };
let savedAt = 0;
let saved = true;

function look() { send({ type: "view", ...view, units: view.units || null, open: notes.opened(), ...board.sizes() }); }

// -- from the server ------------------------------------------------------------------------

on("hello", (message) => {
  learn(message.words);
  unsay("down");
  look();
});

on("answers", (message) => {
  if (message.name !== undefined) {
    const name = byId("name");
    name.dataset.raw = message.name;
    name.dataset.text = message.name;
    value(name, message.name);
    document.title = message.name;
  }
  if (message.units) check("units", message.units);
  if (message.parts) parts(message.parts, message.part);
  board.draw(message);
  if (message.sections) notes.show(message.sections, message.draft);
  if (message.holds) notes.waits(message.holds);
  trouble(message);
  byId("sections").classList.toggle("draft", Boolean(message.draft));
  document.documentElement.dataset.seq = String(message.seq);
  document.documentElement.dataset.tick = String(message.tick);
  if (message.stage !== "news") document.documentElement.dataset.stage = message.stage;
});

on("text", (message) => {
  steps(message);
  saved = message.saved;
  if (saved) savedAt = Date.now();
  if (!message.own && message.by && message.by !== say("change.disk")) {
    notice(say("notice.other", { what: message.by }), { kind: "other", seconds: 8 });
  }
  tellSaved();
});

on("steps", steps);
on("saved", () => { saved = true; savedAt = Date.now(); tellSaved(); });
on("notice", (message) => notice(message.text, { kind: message.kind }));
on("refused", (message) => {
  if (message.key && document.querySelector(`[data-key="${CSS.escape(message.key)}"]`)) return;
  notice([message.problem, message.todo].filter(Boolean).join(". "), { kind: "refused", seconds: 8 });
});
on("down", (message) => {
  if (message.ended) location.assign("/");
  else notice(say("page.offline"), { kind: "down" });
});

/** @param {any} message what can be undone and done again */
function steps(message) {
  byId("undo").disabled = !message.undo;
  byId("redo").disabled = !message.redo;
}

/** @param {any} message */
function trouble(message) {
  const place = byId("trouble");
  if (!message.trouble) { if (message.stage === "quick") place?.remove(); return; }
  const made = el("p", { id: "trouble", class: "trouble", role: "alert" }, ...told(message.trouble));
  if (place) morph(place, made); else byId("waits").before(made);
}

/** @param {any[]} given @param {string} chosen */
function parts(given, chosen) {
  const place = byId("parts");
  const key = JSON.stringify([given, chosen]);
  if (place.dataset.shown === key) return;
  place.dataset.shown = key;
  const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.part : undefined;
  place.replaceChildren(...given.map((part) => {
    const made = el("button", { "aria-pressed": String(part.name === chosen), "data-part": part.name }, part.name, " ");
    if (part.count > 1) made.append(el("span", { class: "count" }, say("page.count", { count: part.count })), " ");
    if (part.word) made.append(el("span", { class: "word", "data-word": part.word }, say(`word.${part.word}`)));
    return made;
  }));
  if (focused) place.querySelector(`[data-part="${CSS.escape(focused)}"]`)?.focus();
}

function tellSaved() {
  const seconds = Math.round((Date.now() - savedAt) / 1000);
  const ago = seconds < 60 ? `${seconds} s` : seconds < 3600 ? `${Math.round(seconds / 60)} min` : `${Math.round(seconds / 3600)} h`;
  byId("saved").textContent = !saved ? say("page.unsaved") : seconds < 3 ? say("page.saved") : say("page.saved.ago", { ago });
}

// -- from the maker -------------------------------------------------------------------------

/** @param {string} name @param {string} chosen */
function check(name, chosen) {
  for (const input of document.querySelectorAll(`input[name=${name}]`)) {
    if (input instanceof HTMLInputElement) input.checked = input.value === chosen;
  }
}

/** @param {string} name @param {(value: string) => void} act */
function pick(name, act) {
  document.addEventListener("change", (event) => {
    const target = event.target;
    if (target instanceof HTMLInputElement && target.name === name) act(target.value);
  });
}

pick("units", (chosen) => { view.units = chosen; keep("units", chosen); look(); });
pick("view", (chosen) => { view.mode = chosen; look(); });
pick("theme", (chosen) => { keep("theme", chosen); document.documentElement.dataset.theme = chosen; });
check("theme", document.documentElement.dataset.theme ?? "light");

/** A step back or forward, after what is on its way; a point that is traced is not sent yet. @param {"undo" | "redo"} type */
async function step(type) {
  if (type === "undo" && trace.takeBack()) return;
  await trace.sent();
  send({ type });
}

byId("undo").onclick = () => step("undo");
byId("redo").onclick = () => step("redo");
byId("make-book").onclick = makeBook;

byId("parts").addEventListener("click", (/** @type {MouseEvent} */ event) => {
  const button = event.target instanceof Element ? event.target.closest("button") : null;
  if (!button) return;
  view.part = button.dataset.part ?? "";
  keep(`part-${document.body.dataset.project}`, view.part);
  look();
});

document.addEventListener("click", (event) => {
  const target = event.target instanceof Element ? event.target.closest("[data-open], [data-act]") : null;
  if (!(target instanceof HTMLElement)) return;
  const { open: id, act, key, index } = target.dataset;
  if (id === "waits") { keep("open-waits", kept("open-waits") === "yes" ? "no" : "yes"); notes.rewait(); }
  else if (id) notes.toggle(id);
  else if (act) send({ type: "element", act, key, index: Number(index) });
});

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
  if (event.target instanceof HTMLTextAreaElement) return;
  event.preventDefault();
  step(event.shiftKey ? "redo" : "undo");
});

/** Light the place in the drawing that a number belongs to. @param {Event} event */
function lit(event) {
  const mark = event.target instanceof Element ? event.target.closest("[data-place]") : null;
  if (!(mark instanceof HTMLElement)) { board.unlight(); return; }
  const [from, to] = (mark.dataset.place ?? "").split(" ").map(Number);
  board.light(from, to);
}
byId("notes").addEventListener("pointerover", lit);
byId("notes").addEventListener("focusin", lit);
byId("notes").addEventListener("pointerleave", () => board.unlight());

watch(document.body);
board.start();
setInterval(tellSaved, 1000);
/** @type {number | undefined} */
let sized;
const bar = /** @type {HTMLElement} */ (document.querySelector(".bar"));
new ResizeObserver(() => {
  document.documentElement.style.setProperty("--bar", `${bar.offsetHeight}px`);
  clearTimeout(sized);
  sized = setTimeout(look, 60);
}).observe(byId("sheet"));
open(document.body.dataset.project ?? "");
