// @ts-check
/** The page of a steam day: one step at a time, its clock, what cracked, notes. */

import { Day, clockText, judged, spanText, timeOfDay } from "./day-steps.js";
import { Line } from "./day-line.js";
import { byId, el } from "./dom.js";
import { keep, kept } from "./keep.js";
import { learn, say } from "./words.js";

const app = byId("app");
const { id, run, plan, steps, say: texts } = JSON.parse(app.dataset.state);
learn(texts);

let bender = Number(kept(`bender-${id}`) ?? 0);
let shown = "";
let writing = false;
let draft = "";
let unfolded = false;
let awake = "";
let announced = "";
let held = false; // a finger is down: what it is on stays until it is up
let late = false;
const line = new Line(id, run, () => {
  app.dataset.heard = String(line.answers);
  app.dataset.unsent = String(line.waiting.length);
  draw();
});

/** What a batch is called. @param {string} step */
function what(step) {
  const batch = day().batch(step);
  if (!batch) return say("day.summary");
  const named = { part: batch.part, number: batch.number, count: batch.pieces };
  return batch.pieces > 1 ? say("day.strips", named) : say("day.piece.of", named);
}

function day() { return new Day(plan, steps, line.all()); }

/** Name of a step in a list. @param {string} step */
function title(step) {
  if (step === "") return say("day.over");
  const kind = step.split(":")[0];
  const text = say(`day.${kind}`, { what: what(step) });
  return text.charAt(0).toUpperCase() + text.slice(1);
}

// -- what a step shows ----------------------------------------------------------------------

/** The big figures of a step. @param {Day} of @param {string} step @param {number} now */
function clock(of, step, now) {
  const kind = step.split(":")[0];
  if (kind === "hot") return boiling(of, now);
  if (kind === "in") return goingIn(of, step, now);
  if (kind === "out") return comingOut(of, step, now);
  if (kind === "clamp") {
    const seconds = of.outside(step, now);
    const word = judged(seconds, of.part(step));
    return { big: clockText(seconds), due: word !== "holds", under: say("day.clamp.outside"), word, spent: seconds };
  }
  return null;
}

/** @param {Day} of @param {number} now */
function boiling(of, now) {
  const lit = of.ticks.get("fire")?.at;
  if (lit === undefined || plan.to_steam === null) return null;
  const left = lit + 60 * plan.to_steam - now;
  return { big: clockText(Math.abs(left)), due: left < 0, under: say("day.hot.from", { minutes: Math.round(plan.to_steam) }) };
}

/** @param {Day} of @param {string} step @param {number} now */
function goingIn(of, step, now) {
  const due = of.due(step);
  if (Number.isNaN(due)) return null;
  const left = due - now;
  return { big: clockText(Math.abs(left)), due: left <= 0, under: say(left > 0 ? "day.in.in" : left > -60 ? "day.in.now" : "day.in.late") };
}

/** @param {Day} of @param {string} step @param {number} now */
function comingOut(of, step, now) {
  const due = of.due(step);
  if (Number.isNaN(due)) return null;
  const left = due - now;
  const under = left > 0 ? say("day.out.until", { time: timeOfDay(due) }) : left > -30 ? say("day.out.now") : say("day.out.over");
  return { big: clockText(left > 0 ? Math.ceil(left) : -left), due: left <= 0, under };
}

/** What stands between heading and button. @param {Day} of @param {string} step */
function about(of, step) {
  const kind = step.split(":")[0];
  if (kind === "cautions") return [el("ul", { class: "cautions" }, ...plan.cautions.map((/** @type {string} */ text) => el("li", {}, text)))];
  if (kind === "fire") return [...plan.facts, say("day.fire.about")].map((text) => el("p", {}, text));
  if (kind === "hot") return [el("p", {}, say("day.hot.about", { hot: hot() }))];
  if (kind === "in") return [el("p", {}, of.part(step).heat)];
  if (kind === "out") return [el("p", {}, say("day.out.aside"))];
  if (kind === "clamp") return clamping(of.part(step));
  return [el("p", {}, say("day.shut.about"))];
}

function hot() {
  return plan.units === "in" ? `${Math.round(1.8 * plan.hot + 32)} °F` : `${Math.round(plan.hot)} °C`;
}

/** @param {any} part */
function clamping(part) {
  const bar = el("div", { class: "window", "aria-hidden": "true" });
  bar.innerHTML = '<svg viewBox="0 0 100 10" preserveAspectRatio="none"><rect class="sure" height="10"/><rect class="spent" height="10" width="0"/><line y1="0" y2="10"/><line y1="0" y2="10"/></svg>';
  const [low, high] = [part.low, part.high].map((s) => (100 * s) / (1.15 * part.high));
  bar.querySelector(".sure")?.setAttribute("width", String(low));
  bar.querySelectorAll("line").forEach((/** @type {Element} */ mark, /** @type {number} */ i) => {
    mark.setAttribute("x1", String(i ? high : low));
    mark.setAttribute("x2", String(i ? high : low));
  });
  const sizes = { low: spanText(part.low), high: spanText(part.high) };
  return [
    bar,
    el("p", {}, el("span", { id: "judged", class: "word" })),
    el("p", {}, say("day.clamp.window", sizes), " ", say("day.clamp.hands", { loading: spanText(part.loading) })),
  ];
}

// -- the page -------------------------------------------------------------------------------

/** Draw anew when what is shown changed; the clock runs by itself. */
function draw() {
  const of = day();
  const step = of.current(bender);
  if (step === "" && line.waiting.length === 0 && line.up) { location.replace(`/day/${line.place}?run=${run}`); return; }
  if (held) { late = true; return; }
  late = false;
  const key = JSON.stringify([step, bender, of.events.length, line.up, line.locked, line.lost, line.waiting.length, writing, unfolded, awake]);
  if (key === shown) { run_clock(); return; }
  const moved = !shown || JSON.parse(shown)[0] !== step;
  shown = key;
  app.dataset.step = step;
  const mark = focused();
  app.replaceChildren(...top(of, step), ...(step ? body(of, step) : [heading("")]), ...bottom(of, step));
  if (moved && mark?.name !== "notes") { app.querySelector("h1")?.focus({ preventScroll: true }); scrollTo(0, 0); } else refocus(mark);
  run_clock();
}

/** What has the focus, by a name that outlasts a redraw, and the place in its text. */
function focused() {
  const at = document.activeElement;
  if (!(at instanceof HTMLElement) || !app.contains(at)) return null;
  const text = at instanceof HTMLTextAreaElement ? at : null;
  return { name: at.dataset.at ?? "title", from: text?.selectionStart ?? 0, to: text?.selectionEnd ?? 0 };
}

/** Give the focus back to what had it, or to the heading where that is gone. @param {ReturnType<typeof focused>} mark */
function refocus(mark) {
  if (!mark) return;
  const at = app.querySelector(`[data-at="${CSS.escape(mark.name)}"]:not(:disabled)`) ?? app.querySelector("h1");
  if (at instanceof HTMLElement) at.focus({ preventScroll: true });
  if (at instanceof HTMLTextAreaElement) at.setSelectionRange(mark.from, mark.to);
}

/** @param {string} step */
function heading(step) { return el("h1", { tabindex: -1, "data-at": "title" }, title(step)); }

/** @param {Day} of @param {string} step */
function top(of, step) {
  const mine = of.of(bender);
  const number = step ? mine.indexOf(step) + 1 : mine.length;
  const said = [el("div", { class: "top" }, el("span", {}, say("day.step", { number, count: mine.length })), ...benders())];
  const trouble = line.locked ? "day.locked" : line.up ? "" : "day.offline";
  if (trouble) said.push(el("p", { class: "line", role: "status" }, say(trouble), " ", line.waiting.length ? say("day.waiting", { count: line.waiting.length }) : ""));
  if (line.lost) said.push(el("p", { class: "line", role: "status", "data-lost": "yes" }, say("day.refused")));
  return said;
}

/** Whose steps are shown, where more than one bends. */
function benders() {
  if (plan.benders < 2) return [];
  const made = el("fieldset", { class: "benders" }, el("legend", { class: "sr" }, say("day.bender")));
  for (let who = 0; who <= plan.benders; who++) {
    const button = el("button", { "aria-pressed": String(who === bender), "data-at": `bender ${who}` }, who ? String(who) : say("day.bender.all"));
    button.onclick = () => { bender = who; keep(`bender-${id}`, String(who)); draw(); };
    made.append(button);
  }
  return [made];
}

/** @param {Day} of @param {string} step */
function body(of, step) {
  const timed = clock(of, step, line.now()) !== null;
  const parts = [heading(step)];
  if (timed) parts.push(el("div", { class: "clock", role: "timer", id: "clock" }), el("p", { class: "under", id: "under" }));
  parts.push(...about(of, step), tick(step));
  const side = el("div", { class: "side" });
  const batch = of.batch(step);
  if (batch && !step.startsWith("in:")) side.append(...cracks(of, batch.key));
  const last = lastClamped(of, step);
  if (last) side.append(...cracks(of, last, true));
  side.append(press(say("day.note"), write));
  parts.push(side);
  if (writing) parts.push(notepad(step));
  return parts;
}

/** The batch clamped last, while the step shown is another's: it may still crack. @param {Day} of @param {string} step */
function lastClamped(of, step) {
  const done = of.of(bender).filter((s) => s.startsWith("clamp:") && of.ticks.has(s));
  const key = of.batch(done[done.length - 1] ?? "")?.key;
  return key && key !== of.batch(step)?.key ? key : "";
}

/** @param {string} name @param {() => void} act @param {string} [look] @param {string} [at] what it is known by */
function press(name, act, look = "", at = name) {
  const made = el("button", { class: look, type: "button", "data-at": at }, name);
  made.onclick = act;
  return made;
}

/** The one button that goes on. @param {string} step */
function tick(step) {
  const kind = step.split(":")[0];
  const made = press(say(`day.${kind}.done`), () => { writing = false; line.add("tick", step); }, "big strong", "tick");
  made.id = "tick";
  return made;
}

/** Buttons for what cracked, one for each kind of strip. @param {Day} of @param {string} key @param {boolean} [named] */
function cracks(of, key, named = false) {
  const part = of.part(`:${key}`);
  const had = of.cracked(key);
  const made = part.kinds.map((/** @type {any} */ kind) => {
    const count = had.filter((e) => e.text === kind.key).length;
    const label = named ? `${key.replace("/", " ")}: ${say("day.cracked")}` : part.kinds.length > 1 ? say("day.cracked.of", { kind: kind.label }) : say("day.cracked");
    const button = press(count ? `${label} (${count})` : label, () => line.add("cracked", key, kind.key), "", `cracked ${key} ${kind.key}`);
    button.disabled = count >= kind.count;
    return button;
  });
  const last = had[had.length - 1];
  if (last) made.push(press(say("day.uncrack"), () => line.add("back", key, last.uid), "plain"));
  return made;
}

/** Open or close the note, the caret in it. */
function write() {
  writing = !writing;
  draw();
  app.querySelector("textarea")?.focus();
}

/** @param {string} step */
function notepad(step) {
  const area = el("textarea", { "aria-label": say("day.note.label"), maxlength: 1000, "data-at": "notes" });
  area.value = draft;
  area.oninput = () => { draft = area.value; };
  const save = press(say("day.note.keep"), () => {
    writing = false;
    if (draft.trim()) { line.add("note", step, draft.trim()); draft = ""; } else draw();
  });
  return el("div", { class: "notepad" }, area, save, press(say("day.note.close"), () => { writing = false; draw(); }, "plain"));
}

/** @param {Day} of @param {string} step */
function bottom(of, step) {
  const parts = [];
  const inside = of.inside().filter((b) => `out:${b.key}` !== step);
  if (inside.length) {
    const list = el("ul", {}, ...inside.map((b) => el("li", {}, el("span", {}, what(`:${b.key}`)), el("span", { "data-inside": b.key }))));
    parts.push(el("section", { class: "inside" }, el("h2", {}, say("day.inside")), list));
  }
  const mine = of.of(bender);
  const next = step ? mine.slice(mine.indexOf(step) + 1).find((s) => !of.ticks.has(s)) : "";
  const before = of.before(bender);
  const foot = el("section", { class: "inside" });
  if (next) foot.append(el("p", {}, say("day.next", { what: title(next) })));
  if (before) foot.append(press(say("day.undo"), () => line.add("back", before.step, before.uid), "plain"));
  const every = el("details", { open: unfolded }, el("summary", { "data-at": "all" }, say("day.all")), el("ol", { class: "steps" }, ...mine.map((s) => row(of, s, step))));
  every.addEventListener("toggle", () => { unfolded = every.open; });
  foot.append(every);
  if (awake) foot.append(el("p", {}, say(`day.awake.${awake}`)));
  parts.push(foot);
  return parts;
}

/** @param {Day} of @param {string} step @param {string} current */
function row(of, step, current) {
  const done = of.ticks.get(step);
  return el("li", { class: done ? "done" : "", "aria-current": step === current ? "step" : null }, el("span", {}, title(step)), el("span", {}, done ? say("day.done.at", { time: timeOfDay(done.at) }) : ""));
}

/** Bring the figures up to the second. */
function run_clock() {
  const of = day(), step = of.current(bender), now = line.now();
  const figures = clock(of, step, now);
  const place = byId("clock");
  if (figures && place) {
    place.textContent = figures.big;
    place.classList.toggle("long", figures.big.length > 5);
    place.classList.toggle("due", figures.due);
    byId("under").textContent = figures.under;
    if ("word" in figures) judge(of, step, figures);
    remind(step, figures);
  }
  const button = byId("tick");
  if (button && step.startsWith("out:")) {
    button.textContent = say(figures?.due ? "day.out.done" : "day.out.early");
    button.classList.toggle("strong", Boolean(figures?.due));
  }
  for (const at of document.querySelectorAll("[data-inside]")) {
    const left = of.due(`out:${at instanceof HTMLElement ? at.dataset.inside : ""}`) - now;
    at.textContent = left > 0 ? say("day.inside.left", { time: clockText(Math.ceil(left)) }) : say("day.inside.over");
  }
}

/** @param {Day} of @param {string} step @param {any} figures */
function judge(of, step, figures) {
  const place = byId("judged");
  if (!place) return;
  place.dataset.word = figures.word;
  place.textContent = say(`day.clamp.${figures.word}`);
  const part = of.part(step);
  document.querySelector(".window .spent")?.setAttribute("width", String(Math.min(100, (100 * figures.spent) / (1.15 * part.high))));
}

/** Say aloud, once, that a step is due. @param {string} step @param {any} figures */
function remind(step, figures) {
  const key = `${step} ${figures.word ?? figures.due}`;
  if (key === announced) return;
  announced = key;
  document.title = figures.due ? `${title(step)}` : document.title;
  if (!figures.due) return;
  byId("aloud").textContent = figures.word ? say(`day.clamp.${figures.word}`) : `${title(step)}: ${figures.under}`;
  try { navigator.vibrate?.([300, 150, 300]); } catch { /* not every device can */ }
}

// -- the screen -----------------------------------------------------------------------------

async function stayAwake() {
  try {
    await navigator.wakeLock.request("screen");
    awake = "yes";
  } catch { awake = "no"; }
  draw();
}

document.addEventListener("visibilitychange", () => { if (!document.hidden && awake === "yes") stayAwake(); });
addEventListener("pointerdown", () => { held = true; });
for (const up of ["pointerup", "pointercancel"]) addEventListener(up, () => { held = false; setTimeout(() => { if (late) draw(); }); });
stayAwake();
line.start();
draw();
setInterval(run_clock, 200);
