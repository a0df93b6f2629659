// @ts-check
/** Going to a value of the file: where the notes have a field for it, else among all fields. */

import { byId } from "./dom.js";

/** @param {string} key @returns {HTMLElement | null} */
const fieldOf = (key) => document.querySelector(`#sections [data-key="${CSS.escape(key)}"]`);

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

/** A field among all fields of the file, every table on the way opened. @param {string} key */
async function inFile(key) {
  const opener = document.querySelector('#sections [data-open="file"]');
  if (opener instanceof HTMLElement && opens(opener)) opener.click();
  const steps = key.split(".");
  /** @type {Element | null} */
  let found = null;
  for (let tries = 0; tries < 50 && !found; tries += 1) {
    for (let n = 1; n < steps.length; n += 1) {
      const fold = document.querySelector(`#file-fields [data-fold="${CSS.escape(steps.slice(0, n).join("."))}"]`);
      if (fold instanceof HTMLDetailsElement) fold.open = true;
    }
    found = document.getElementById(`field-${key}`);
    if (!found) await soon();
  }
  return found;
}

/** @param {string} key */
async function go(key) {
  const field = inNotes(key) ?? await inFile(key);
  if (!(field instanceof HTMLElement)) return;
  field.scrollIntoView({ block: "center" });
  field.focus();
}

document.addEventListener("click", (event) => {
  const from = event.target instanceof Element ? event.target.closest("[data-go]") : null;
  if (from instanceof HTMLElement) go(from.dataset.go ?? "");
});
