// @ts-check
/**
 * Change a tree into another in place, so that what has the focus, what is open and what is
 * scrolled stays as it is.
 */

/**
 * @param {Element} old
 * @param {Element} fresh
 */
export function morph(old, fresh) {
  if (old.nodeName !== fresh.nodeName || old.id !== fresh.id) { old.replaceWith(fresh); return; }
  attributes(old, fresh);
  const [o, f] = [/** @type {any} */ (old), /** @type {any} */ (fresh)];
  if (f.ready !== undefined) { // a drawing: whole or not at all
    if (o.ready !== f.ready) { o.ready = f.ready; old.innerHTML = f.ready; }
    return;
  }
  if (fresh.hasAttribute("data-own")) return; // its module looks after what is inside
  children(old, fresh);
  if (old instanceof HTMLInputElement && fresh instanceof HTMLInputElement) value(old, fresh.value);
  if (old instanceof HTMLSelectElement && fresh instanceof HTMLSelectElement
    && document.activeElement !== old) old.value = fresh.value;
}

/**
 * A field keeps what is being typed in it, and what was just typed until it is answered.
 * @param {HTMLInputElement} field
 * @param {string} text
 */
export function value(field, text) {
  if (document.activeElement === field && !field.dataset.scrub) return;
  if (field.dataset.pending) return;
  if (field.value !== text) field.value = text;
}

/** @param {Element} old @param {Element} fresh */
function attributes(old, fresh) {
  for (const { name, value: v } of fresh.attributes) if (old.getAttribute(name) !== v) old.setAttribute(name, v);
  for (const { name } of [...old.attributes]) {
    if (!fresh.hasAttribute(name) && !["data-pending", "data-scrub", "open"].includes(name)) old.removeAttribute(name);
  }
}

/** @param {Element} old @param {Element} fresh */
function children(old, fresh) {
  const wanted = [...fresh.childNodes];
  wanted.forEach((node, i) => {
    const there = old.childNodes[i];
    if (!there) old.append(node);
    else if (there instanceof Element && node instanceof Element) morph(there, node);
    else if (there.nodeType === Node.TEXT_NODE && node.nodeType === Node.TEXT_NODE) {
      if (there.nodeValue !== node.nodeValue) there.nodeValue = node.nodeValue;
    } else old.replaceChild(node, there);
  });
  while (old.childNodes.length > wanted.length) old.lastChild?.remove();
}
