// @ts-check
/**
 * Numbers that may be changed: typed, stepped with the arrow keys, or dragged sideways. While
 * one has the focus it shows what the file says; otherwise what that comes to.
 */

import { el } from "./dom.js";
import { on, send } from "./link.js";
import { typing } from "./typing.js";

/** @type {{field: HTMLInputElement, x: number, from: number, moved: boolean, id: number} | null} */
let scrub = null;
/** @type {Map<string, number>} */
const pending = new Map();

/** @param {EventTarget | null} target @returns {HTMLInputElement | null} */
function number(target) {
  return target instanceof HTMLInputElement && target.matches(".num, #name") ? target : null;
}

/** @param {HTMLInputElement} field */
const plain = (field) => /^-?\d+(\.\d+)?$/.test(field.dataset.raw ?? "");

/** @param {HTMLElement} root */
export function watch(root) {
  root.addEventListener("focusin", (event) => {
    const field = number(event.target);
    if (!field || field.id === "name") return;
    field.value = field.dataset.raw ?? "";
    field.select();
    typing(true);
  });
  root.addEventListener("focusout", (event) => {
    const field = number(event.target);
    typing(false);
    if (field) finish(field);
  });
  root.addEventListener("keydown", keyed);
  root.addEventListener("change", (event) => {
    const target = event.target;
    if (target instanceof HTMLSelectElement && target.matches(".choice")) type(target.dataset.key ?? "", target.value);
  });
  root.addEventListener("pointerdown", grab);
}

/** @param {KeyboardEvent} event */
function keyed(event) {
  const field = number(event.target);
  if (!field) return;
  if (event.key === "Enter") { finish(field); if (field.id !== "name") field.select(); }
  if (event.key === "Escape") { field.value = field.dataset.raw ?? ""; clear(field); field.blur(); }
  if ((event.key === "ArrowUp" || event.key === "ArrowDown") && /^-?\d+(\.\d+)?$/.test(field.value)) {
    event.preventDefault();
    const way = event.key === "ArrowUp" ? 1 : -1;
    field.value = stepped(Number(field.value), way * grain(event), Number(field.dataset.step));
    finish(field);
    field.dataset.raw = field.value;
  }
}

/** Shift goes finer, Control further. @param {KeyboardEvent | PointerEvent} event */
const grain = (event) => (event.shiftKey ? 0.1 : event.ctrlKey || event.metaKey ? 10 : 1);

/** @param {number} from @param {number} steps @param {number} step */
function stepped(from, steps, step) { return String(Number((from + steps * step).toFixed(5))); }

/** @param {HTMLInputElement} field */
function finish(field) {
  const text = field.value.trim();
  if (text !== (field.dataset.raw ?? "").trim()) {
    pending.set(field.dataset.key ?? "", type(field.dataset.key ?? "", text));
    field.dataset.pending = "1";
    field.dataset.raw = text;
  } else if (document.activeElement !== field) {
    field.value = field.dataset.text ?? field.value;
    clear(field);
  }
}

/** @param {string} key @param {string} text */
function type(key, text) { return send({ type: "type", key, text }); }

/** @param {HTMLInputElement} field */
function clear(field) {
  field.classList.remove("bad");
  field.removeAttribute("aria-invalid");
  if (field.nextElementSibling?.classList.contains("why-bad")) field.nextElementSibling.remove();
}

/** @param {string} key @returns {HTMLInputElement[]} */
function fieldsOf(key) {
  return [...document.querySelectorAll(`[data-key="${CSS.escape(key)}"]`)].filter((f) => f instanceof HTMLInputElement);
}

on("refused", (message) => {
  for (const field of fieldsOf(message.key ?? "")) {
    delete field.dataset.pending;
    clear(field);
    field.classList.add("bad");
    field.setAttribute("aria-invalid", "true");
    const why = [message.problem, message.allowed && `${message.allowed}`, message.todo].filter(Boolean).join("\n");
    field.after(el("span", { class: "why-bad", role: "alert" }, why));
  }
  pending.delete(message.key ?? "");
});

on("text", (message) => {
  if (!message.own) return;
  for (const key of pending.keys()) for (const field of fieldsOf(key)) clear(field);
});

on("answers", (message) => {
  for (const [key, seq] of pending) {
    if (message.seq < seq) continue;
    pending.delete(key);
    for (const field of fieldsOf(key)) delete field.dataset.pending;
  }
});

// -- dragging sideways ----------------------------------------------------------------------

/** @param {PointerEvent} event */
function grab(event) {
  const field = number(event.target);
  if (!field || field.id === "name" || event.button !== 0 || document.activeElement === field || !plain(field)) return;
  event.preventDefault(); // the focus waits until it is clear that nothing is dragged
  scrub = { field, x: event.clientX, from: Number(field.dataset.raw), moved: false, id: event.pointerId };
  field.setPointerCapture(event.pointerId);
  field.addEventListener("pointermove", slide);
  field.addEventListener("pointerup", release, { once: true });
  field.addEventListener("pointercancel", release, { once: true });
}

/** @param {PointerEvent} event */
function slide(event) {
  if (!scrub) return;
  const way = event.clientX - scrub.x;
  if (!scrub.moved && Math.abs(way) < 4) return;
  scrub.moved = true;
  scrub.field.dataset.scrub = "1";
  const text = stepped(scrub.from, Math.round(way / 3) * grain(event), Number(scrub.field.dataset.step));
  if (text === scrub.field.value) return;
  scrub.field.value = text;
  scrub.field.dataset.raw = text;
  send({ type: "scrub", key: scrub.field.dataset.key, text });
}

/** @param {PointerEvent} event */
function release(event) {
  if (!scrub) return;
  const { field, moved } = scrub;
  field.removeEventListener("pointermove", slide);
  delete field.dataset.scrub;
  scrub = null;
  if (!moved) field.focus();
  else if (event.type === "pointerup") send({ type: "drop" });
  else send({ type: "cancel" });
}

