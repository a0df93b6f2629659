// @ts-check
/** The file: its text, and fields for every value in it; both are the same file. */

import { byId, el } from "../dom.js";
import { on, send } from "../link.js";
import { notice, unsay } from "../notices.js";
import { register, show } from "../notes.js";
import { told } from "../trouble.js";
import { typing } from "../typing.js";
import { say } from "../words.js";
import { fieldsOf, learnSchema } from "./fields.js";

const PAUSE = 450; // ms without a key before the text is sent

/** @type {any} */
let state = null;
let base = 0;
let sent = "";
/** @type {number | undefined} */
let timer;
const text = el("textarea", { class: "text-of-file", spellcheck: "false", autocomplete: "off", "aria-label": "text" });
const said = el("p", { class: "small", role: "status" });
const place = el("div", { class: "fields" });

register({ id: "file", more: () => [
  el("h3", {}, say("file.text")), el("div", { "data-own": true, id: "file-text" }),
  el("h3", {}, say("file.fields")), el("div", { "data-own": true, id: "file-fields" }),
] });

/** Put the text and the fields where the section has room for them. */
function settle() {
  const [forText, forFields] = [byId("file-text"), byId("file-fields")];
  if (forText && !forText.contains(text)) forText.append(text, said);
  if (forFields && !forFields.contains(place)) {
    forFields.append(place);
    learnSchema().then(fill);
  }
}
new MutationObserver(settle).observe(byId("sections"), { childList: true, subtree: true });

function fill() {
  if (state?.raw && place.isConnected && !place.contains(document.activeElement)) fieldsOf(place, state.raw);
}

text.addEventListener("input", () => {
  clearTimeout(timer);
  timer = setTimeout(put, PAUSE);
});
text.addEventListener("focus", () => typing(true));
text.addEventListener("blur", () => { typing(false); if (timer) put(); });
text.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => event.stopPropagation());

/** Send what was typed. */
function put() {
  clearTimeout(timer);
  timer = undefined;
  if (text.value === state?.text) return;
  sent = text.value;
  send({ type: "text", base, text: sent });
}

const unsent = () => timer !== undefined || (text.isConnected && state && text.value !== state.text.replace(/\r\n/g, "\n"));

on("text", (message) => {
  const dirty = unsent() && !(message.own && text.value === sent);
  state = message;
  if (!dirty) { base = message.version; take(message.text); }
  else if (message.own) base = message.version; // more was typed meanwhile; it is sent on top
  else behind(message);
  text.setAttribute("aria-label", say("file.text.label"));
  verdict(message.trouble);
  if (!byId("section-file")) show({ file: { title: say("section.file"), lead: [{ kind: "lead", pieces: [say("file.lead")] }], more: [] } });
  fill();
});
on("behind", behind);

/** Someone else's text, while one's own is not in the file. @param {any} message */
function behind(message) {
  state = message;
  clearTimeout(timer);
  timer = undefined;
  notice(say("notice.text"), { kind: "behind", acts: [
    [say("notice.text.mine"), () => { base = state.version; sent = text.value; send({ type: "text", base, text: sent }); }],
    [say("notice.text.theirs"), () => { base = state.version; take(state.text); }],
  ] });
}

/** @param {string} given */
function take(given) {
  const fresh = given.replace(/\r\n/g, "\n");
  unsay("behind");
  if (text.value === fresh) return;
  const [from, to, top] = [text.selectionStart, text.selectionEnd, text.scrollTop];
  text.value = fresh;
  if (document.activeElement === text) text.setSelectionRange(from, to);
  text.scrollTop = top;
}

/** @param {any} trouble */
function verdict(trouble) {
  said.replaceChildren(...(trouble ? told(trouble) : [say("file.text.good")]));
  said.className = trouble ? "trouble" : "small";
}
