// @ts-check
/** The shop's pages: units and paper as chosen on every page, and a code that runs out. */

import { keep, kept } from "./keep.js";

/** Units stand in a cookie too, so that the server writes lengths in them. @param {string} units */
function tellServer(units) { document.cookie = `units=${units}; path=/; samesite=strict; max-age=31536000`; }

const shown = document.body.dataset.units ?? "mm";
const wanted = kept("units");
if ((wanted === "mm" || wanted === "in") && wanted !== shown && document.querySelector("[name=units]")) {
  tellServer(wanted);
  if (document.cookie.includes(`units=${wanted}`)) location.reload();
}

document.addEventListener("change", (event) => {
  const target = event.target;
  if (!(target instanceof HTMLInputElement)) return;
  if (target.name === "units") {
    keep("units", target.value);
    tellServer(target.value);
    location.reload();
  }
  if (target.name === "theme") {
    keep("theme", target.value);
    document.documentElement.dataset.theme = target.value;
  }
});

for (const input of document.querySelectorAll("[name=theme]")) {
  if (input instanceof HTMLInputElement) input.checked = input.value === document.documentElement.dataset.theme;
}

const left = document.getElementById("left");
if (left) {
  const until = Date.now() + 1000 * Number(left.dataset.left);
  const tick = setInterval(() => {
    const seconds = Math.ceil((until - Date.now()) / 1000);
    if (seconds > 0) {
      left.textContent = (left.dataset.say ?? "").replace("{left}", String(seconds));
      return;
    }
    left.textContent = left.dataset.over ?? "";
    document.querySelector(".door .picture")?.remove();
    document.getElementById("code")?.remove();
    clearInterval(tick);
  }, 1000);
}
