// @ts-check
/** Curves: the points or segments as tables, and a drawing in their place. */

import { byId, el } from "../dom.js";
import { notice } from "../notices.js";
import { register } from "../notes.js";
import { say } from "../words.js";

const UNITS = ["", "mm", "cm", "m", "in", "ft", "px"];

register({ id: "curves", special: (kind, data) => (kind === "import" ? bring(data) : null) });

/** A form that brings in a drawing. @param {any} data */
function bring(data) {
  const unit = el("select", { name: "unit", class: "own" }, ...UNITS.map((u) => el("option", { value: u }, u || say("curves.import.unit.own"))));
  const form = el("form", { "data-part": data.part },
    el("label", {}, say("curves.import.file"), " ", el("input", { type: "file", name: "drawing", accept: ".dxf,.svg", required: true })),
    el("label", {}, say("curves.import.unit"), " ", unit),
    el("button", {}, say("curves.import.send")));
  const made = el("details", { class: "bring" }, el("summary", {}, say("curves.import")), el("p", { class: "small" }, say("curves.import.about")), form);
  return made;
}

byId("sections").addEventListener("submit", async (/** @type {SubmitEvent} */ event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (!form.closest(".bring")) return;
  event.preventDefault();
  const body = new FormData(form);
  body.set("part", form.dataset.part ?? "");
  const project = (document.body.dataset.project ?? "").split("/").map(encodeURIComponent).join("/");
  const answer = await fetch(`/drawing/${project}`, { method: "POST", body });
  const text = await answer.text();
  notice(answer.ok ? text : plain(text), { kind: "drawing", seconds: answer.ok ? 8 : 0 });
  if (answer.ok) form.reset();
});

/** Words of an error page. @param {string} html */
function plain(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  return page.querySelector(".lead")?.textContent ?? html.slice(0, 300);
}
