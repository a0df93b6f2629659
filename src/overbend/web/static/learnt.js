// @ts-check
/** The switch on the page of a piece: compute with what the shop has learnt, or without. */

import { kept, keep } from "./keep.js";
import { notice } from "./notices.js";

const project = document.body.dataset.project ?? "";
const place = `/learnt/${project.split("/").map(encodeURIComponent).join("/")}`;
const box = document.getElementById("learnt");

/** @param {boolean} on @param {boolean} aloud */
async function turn(on, aloud) {
  const answer = await fetch(place, { method: "POST", body: new URLSearchParams({ on: on ? "yes" : "no" }) });
  if (!answer.ok) { notice(await answer.text(), { kind: "learnt" }); return; }
  const said = await answer.json();
  if (box instanceof HTMLInputElement) box.checked = said.on;
  if (aloud) notice(said.text, { kind: "learnt", seconds: 8 });
}

if (box instanceof HTMLInputElement) {
  box.addEventListener("change", () => {
    keep(`learnt-${project}`, box.checked ? "yes" : "no");
    turn(box.checked, true).catch(() => { box.checked = !box.checked; });
  });
  fetch(place).then((answer) => answer.json()).then((said) => {
    box.checked = said.on;
    if (kept(`learnt-${project}`) === "yes" && !said.on) turn(true, false);
  }).catch(() => { /* the line is down: the page says so already */ });
}
