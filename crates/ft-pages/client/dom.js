// Elements, made in one expression. Text is always text: nothing here reads HTML.

/** @typedef {Node|string|null|undefined|false} Child */

/** An element: its tag with classes after dots, its attributes (functions listen), its children.
 * @param {string} tag @param {Record<string, any>} [attributes] @param {...(Child|Child[])} children @returns {HTMLElement} */
export function h(tag, attributes = {}, ...children) {
  const [name, ...classes] = tag.split(".");
  const element = document.createElement(name);
  if (classes.length > 0) element.className = classes.join(" ");
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(key, value);
    else if (value === true) element.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(key, String(value));
  }
  element.append(...kept(children.flat()));
  return element;
}

/** @param {Child[]} children @returns {(Node|string)[]} */
function kept(children) {
  return /** @type {(Node|string)[]} */ (children.filter((child) => child !== null && child !== undefined && child !== false));
}

/** What an element holds from now on. The focus stays on what has the same `id`.
 * @param {Element} element @param {...(Child|Child[])} children */
export function fill(element, ...children) {
  const focused = document.activeElement;
  const id = focused && element.contains(focused) ? focused.id : "";
  element.replaceChildren(...kept(children.flat()));
  if (id) document.getElementById(id)?.focus({ preventScroll: true });
}

/** The element of this id, which the page is known to have. @param {string} id @returns {HTMLElement} */
export function the(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`the page has no #${id}`);
  return element;
}

/** A dialog, shown; it is gone when it closes. @param {string} title @param {...(Child|Child[])} children @returns {HTMLDialogElement} */
export function dialog(title, ...children) {
  const id = "dialog-title";
  const box = /** @type {HTMLDialogElement} */ (h("dialog", { "aria-labelledby": id }, h("h2", { id }, title), ...children));
  box.addEventListener("close", () => box.remove());
  document.body.append(box);
  box.showModal();
  return box;
}
