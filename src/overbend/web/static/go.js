// @ts-check
/**
 * Going to a value of the file: where the notes have a field for it, else among all fields. When
 * the text does not read, its fields show what it said before; then the way leads into the text.
 */

import { byId } from "./dom.js";
import { on } from "./link.js";

/** Whether the text reads as a piece. */
let reads = true;
on("text", (message) => { reads = Boolean(message.raw); });

/** @param {string} key @returns {HTMLElement | null} */
const fieldOf = (key) => document.querySelector(`#sections [data-key="${CSS.escape(key)}"]:not(button)`);

/** @param {Element} opener */
const opens = (opener) => opener.getAttribute("aria-expanded") === "false";

/** A field of the notes; a section that has it is opened, the others stay as they are. @param {string} key */
function inNotes(key) {
  for (const opener of byId("sections").querySelectorAll("[data-open]")) {
    if (fieldOf(key)) break;
    const id = opener.dataset.open;
    if (id === "file" || !opens(opener)) continue;
    opener.click();
    if (!fieldOf(key)) document.querySelector(`#sections [data-open="${id}"]`)?.click();
  }
  return fieldOf(key);
}

const soon = () => new Promise((done) => { setTimeout(done, 40); });

function openFile() {
  const opener = document.querySelector('#sections [data-open="file"]');
  if (opener instanceof HTMLElement && opens(opener)) opener.click();
}

/** What folds the values under a key away. @param {string[]} steps */
const foldOf = (steps) => document.querySelector(`#file-fields [data-fold="${CSS.escape(steps.join("."))}"]`);

/** A field among all fields of the file, every table on the way opened; of a table its head. @param {string} key */
async function inFile(key) {
  openFile();
  const steps = key.split(".");
  for (let tries = 0, drawn = 0; drawn < 50 && tries < 1000; tries += 1) { // a slow machine draws them late
    if (document.querySelector("#file-fields [data-fold]")) drawn += 1;
    for (let n = 1; n <= steps.length; n += 1) {
      const fold = foldOf(steps.slice(0, n));
      if (fold instanceof HTMLDetailsElement) fold.open = true;
    }
    const found = document.getElementById(`field-${key}`) ?? foldOf(steps)?.querySelector("summary");
    if (found) return found;
    await soon();
  }
  return null;
}

/** A line of the text, with the caret in it. @param {number} line from 1, -1 for the last @param {number} column from 1 */
async function inText(line, column) {
  openFile();
  for (let tries = 0; tries < 50 && !document.querySelector("#file-text textarea"); tries += 1) await soon();
  const text = document.querySelector("#file-text textarea");
  if (!(text instanceof HTMLTextAreaElement)) return;
  const lines = text.value.split("\n");
  const n = line < 0 ? lines.length : Math.min(line, lines.length);
  const start = lines.slice(0, n - 1).reduce((sum, one) => sum + one.length + 1, 0);
  const at = start + Math.min(Math.max(column - 1, 0), lines[n - 1].length);
  text.focus({ preventScroll: true });
  text.setSelectionRange(at, at);
  const high = parseFloat(getComputedStyle(text).lineHeight);
  text.scrollTop = Math.max(0, (n - 0.5) * high - text.clientHeight / 2);
  text.scrollIntoView({ block: "center" });
}

/** @param {string} key "" for none @param {number} line 0 for none @param {number} column */
async function go(key, line, column) {
  if (!reads || !key) { await inText(line || 1, column); return; }
  const field = inNotes(key) ?? await inFile(key);
  if (!(field instanceof HTMLElement)) { if (line) await inText(line, column); return; }
  field.scrollIntoView({ block: "center" });
  field.focus();
}

document.addEventListener("click", (event) => {
  const from = event.target instanceof Element ? event.target.closest("[data-go]") : null;
  if (from instanceof HTMLElement) go(from.dataset.go ?? "", Number(from.dataset.line ?? 0), Number(from.dataset.column ?? 0));
});
