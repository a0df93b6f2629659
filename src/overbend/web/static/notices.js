// @ts-check
import { byId, el } from "./dom.js";
import { say } from "./words.js";

/**
 * Say something at the corner of the page until it is closed.
 * @param {string} text
 * @param {{kind?: string, seconds?: number, acts?: Array<[string, () => void]>}} [how]
 */
export function notice(text, { kind = "", seconds = 0, acts = [] } = {}) {
  const place = byId("notices");
  if (kind) place.querySelector(`[data-kind="${kind}"]`)?.remove();
  const made = el("div", { class: "notice", "data-kind": kind }, text);
  const close = () => made.remove();
  for (const [name, act] of [...acts, /** @type {[string, () => void]} */ ([say("notice.close"), () => {}])]) {
    const button = el("button", {}, name);
    button.onclick = () => { act(); close(); };
    made.append(button);
  }
  place.append(made);
  if (seconds) setTimeout(close, seconds * 1000);
}

/** @param {string} kind */
export function unsay(kind) { byId("notices").querySelector(`[data-kind="${kind}"]`)?.remove(); }
