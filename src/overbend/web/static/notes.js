// @ts-check
/** The notes: sections that registered themselves, each a headline that opens. */

import { block } from "./blocks.js";
import { byId, el } from "./dom.js";
import "./go.js";
import { keep, kept } from "./keep.js";
import { send } from "./link.js";
import { morph } from "./morph.js";
import { out } from "./trouble.js";
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

/**
 * @param {Record<string, any>} given data by section; of a drag only of those that changed
 * @param {boolean} [draft] whether something is being dragged
 */
export function show(given, draft = false) {
  for (const [id, data] of Object.entries(given)) {
    latest.set(id, data.folded ? { ...data, more: latest.get(id)?.more ?? [] } : data);
    if (!draft || !touched(id)) render(id);
  }
}

/** Sections that are open. @returns {string[]} */
export function opened() { return [...sections.keys()].filter((id) => kept(`open-${id}`) === "yes"); }

/** @typedef {{frame: string, lead: string[], more: string[]}} Marks */
/** @type {Map<string, Marks>} what each section shows, block by block */
const drawn = new Map();

/** @param {string} id @param {any} data @returns {Marks} */
function marks(id, data) {
  const open = kept(`open-${id}`) === "yes";
  const texts = (/** @type {any[]} */ list) => (list ?? []).map((b) => JSON.stringify(b));
  const frame = [open, data.title, Boolean(data.trouble), Boolean(data.more?.length)].join("|");
  return { frame, lead: texts(data.lead), more: open ? texts(data.more) : [] };
}

/** Change only the blocks of a section that are others now; whether that could be done. @param {string} id */
function touched(id) {
  const [section, before, place, data] = [sections.get(id), drawn.get(id), byId(`section-${id}`), latest.get(id)];
  if (!section || !before || !place || section.lead || section.more || data.trouble) return false;
  const now = marks(id, data);
  if (now.frame !== before.frame || now.lead.length !== before.lead.length || now.more.length !== before.more.length) return false;
  const change = (/** @type {Element[]} */ there, /** @type {any[]} */ blocks, /** @type {"lead" | "more"} */ part) => now[part].forEach((mark, i) => {
    if (mark !== before[part][i]) morph(there[i], /** @type {Element} */ (section.special?.(blocks[i].kind, blocks[i]) ?? block(blocks[i])));
  });
  change([...place.children[1].children], data.lead ?? [], "lead");
  change([...place.lastElementChild.children], data.more ?? [], "more");
  drawn.set(id, now);
  return true;
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
  drawn.set(id, marks(id, data));
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
  const trouble = data.trouble ? [el("p", { class: "trouble" }, say("trouble.part", { part: data.title, why: data.trouble.problem }), " ", ...out(data.trouble))] : [];
  return el("section", { id: `section-${section.id}`, "aria-labelledby": `title-${section.id}` }, head, el("div", {}, ...trouble, ...lead), body);
}

/** Open or close a section. @param {string} id */
export function toggle(id) {
  keep(`open-${id}`, kept(`open-${id}`) === "yes" ? "no" : "yes");
  render(id);
  send({ type: "open", open: opened() });
}

// -- what waits for the maker ---------------------------------------------------------------

/** @param {{text: string, part: string}[]} holds */
export function waits(holds) {
  const place = byId("waits");
  const made = el("div", { id: "waits", class: holds.length ? "waits" : null });
  if (holds.length) {
    const open = kept("open-waits") === "yes";
    const more = holds.length > 1 ? el("button", { class: "opener", "data-open": "waits", "aria-expanded": String(open) }, say("page.waits.more", { count: holds.length - 1 })) : "";
    made.append(el("p", {}, say("page.waits", { what: holds[0].text }), " ", ...way(holds[0]), more));
    if (open) made.append(el("ul", {}, ...holds.slice(1).map((h) => el("li", {}, h.text, " ", ...way(h)))));
  }
  latest.set("waits", holds);
  morph(place, made);
}

/** Where it is answered: a page, or a value of the file. @param {any} h @returns {Node[]} */
function way(h) {
  if (h.href) return [el("a", { class: "way", href: h.href }, h.go), document.createTextNode(" ")];
  return h.key ? [el("button", { class: "way", "data-go": h.key }, h.go), document.createTextNode(" ")] : [];
}

/** Show again what waits. */
export function rewait() { waits(latest.get("waits") ?? []); }
