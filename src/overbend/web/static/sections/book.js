// @ts-check
/** The book: made with progress, then opened or downloaded. */

import { fileLink } from "../blocks.js";
import { byId, el } from "../dom.js";
import { on } from "../link.js";
import { register, render } from "../notes.js";
import { say } from "../words.js";

/** @type {any} */
let state = null;

register({ id: "book", special: (kind) => (kind === "book" ? maker() : null) });

function maker() {
  const busy = state && !state.finished && !state.trouble;
  const made = el("div", { class: "make" }, el("button", { "data-make": "book", disabled: busy }, say("book.make")));
  if (busy) made.append(el("progress", { max: state.of, value: state.done, "aria-label": state.text }), el("span", { class: "small" }, state.text));
  if (state?.trouble) made.append(el("p", { class: "trouble" }, state.trouble));
  if (state?.finished) {
    made.append(
      el("a", { href: fileLink("book.pdf"), target: "_blank" }, say("book.pdf")),
      el("a", { href: fileLink("book.zip"), download: true }, say("book.zip")),
      el("span", { class: "small" }, state.text));
  }
  return made;
}

on("book", (message) => { state = message; render("book"); });

/** Ask for the book and show the section. */
export async function makeBook() {
  state = { text: say("page.working"), done: 0, of: 1 };
  render("book");
  byId("section-book")?.scrollIntoView({ block: "center" });
  const project = (document.body.dataset.project ?? "").split("/").map(encodeURIComponent).join("/");
  const units = document.querySelector("input[name=units]:checked");
  const body = new FormData();
  body.set("units", units instanceof HTMLInputElement ? units.value : "");
  const answer = await fetch(`/book/${project}`, { method: "POST", body });
  if (!answer.ok) { state = { trouble: say("page.failed") }; render("book"); }
}

byId("sections").addEventListener("click", (/** @type {MouseEvent} */ event) => {
  if (event.target instanceof Element && event.target.closest("[data-make]")) makeBook();
});
