// @ts-check
/** The notes: sections that registered themselves, each a headline that opens. */

import { block } from "./blocks.js";
import { byId, el } from "./dom.js";
import { keep, kept } from "./keep.js";
import { morph } from "./morph.js";
import { say } from "./words.js";

/**
 * @typedef {object} Section
 * @property {string} id
 * @property {(data: any) => Node[]} [lead] what always shows; sentences when left out
 * @property {(data: any) => Node[]} [more] what opens; blocks when left out
 * @property {(kind: string, data: any) => Node | null} [special] a block of its own kind
 */

/** @type {Map<string, Section>} */
const sections = new Map();
/** @type {Map<string, any>} */
const latest = new Map();

/** Enter a section; the order of entering is the order on the page. @param {Section} section */
export function register(section) { sections.set(section.id, section); }

/** @param {Record<string, any>} given data by section */
export function show(given) {
  for (const [id, data] of Object.entries(given)) {
    latest.set(id, data);
    render(id);
  }
}

/** @param {string} id */
export function render(id) {
  const section = sections.get(id);
  const data = latest.get(id);
  if (!section || !data) return;
  const old = byId(`section-${id}`);
  const made = Object.keys(data).length ? built(section, data) : null;
  if (!made) old?.remove();
  else if (old) morph(old, made);
  else insert(made, id);
}

/** Put a section after those that come before it. @param {HTMLElement} made @param {string} id */
function insert(made, id) {
  const place = byId("sections");
  const order = [...sections.keys()];
  const later = [...place.children].find((c) => order.indexOf(c.id.slice(8)) > order.indexOf(id));
  place.insertBefore(made, later ?? null);
}

/** @param {Section} section @param {any} data */
function built(section, data) {
  const open = kept(`open-${section.id}`) === "yes";
  const make = (/** @type {any[]} */ list) => list.map((b) => section.special?.(b.kind, b) ?? block(b));
  const lead = section.lead ? section.lead(data) : make(data.lead ?? []);
  const more = data.trouble ? [] : section.more ? section.more(data) : make(data.more ?? []);
  const id = `more-${section.id}`;
  const opener = el("button", { class: "opener", "aria-expanded": String(open), "aria-controls": id, "data-open": section.id },
    say(open ? "page.less" : "page.more"), el("span", { class: "sr" }, ` ${data.title}`));
  const head = el("h2", { id: `title-${section.id}` }, el("span", {}, data.title));
  const body = el("div", { class: "more", id, hidden: !open }, ...(open ? more : []));
  if (more.length) head.append(opener);
  const trouble = data.trouble ? [el("p", { class: "trouble" }, say("trouble.part", { part: data.title, why: data.trouble.problem }))] : [];
  return el("section", { id: `section-${section.id}`, "aria-labelledby": `title-${section.id}` }, head, ...trouble, ...lead, body);
}

/** Open or close a section. @param {string} id */
export function toggle(id) {
  keep(`open-${id}`, kept(`open-${id}`) === "yes" ? "no" : "yes");
  render(id);
}

/** @param {string} id */
export function unfold(id) {
  if (kept(`open-${id}`) !== "yes") toggle(id);
}

// -- what waits for the maker ---------------------------------------------------------------

/** @param {{text: string, part: string}[]} holds */
export function waits(holds) {
  const place = byId("waits");
  const made = el("div", { id: "waits", class: holds.length ? "waits" : null });
  if (holds.length) {
    const open = kept("open-waits") === "yes";
    const more = holds.length > 1 ? el("button", { class: "opener", "data-open": "waits", "aria-expanded": String(open) }, say("page.waits.more", { count: holds.length - 1 })) : "";
    made.append(el("p", {}, say("page.waits", { what: holds[0].text }), " ", more));
    if (open) made.append(el("ul", {}, ...holds.slice(1).map((h) => el("li", {}, h.text))));
  }
  latest.set("waits", holds);
  morph(place, made);
}

/** Show again what waits. */
export function rewait() { waits(latest.get("waits") ?? []); }
