// Small helpers for the pages. Text from outside goes in by textContent only, so it can never become markup.

const SVG = "http://www.w3.org/2000/svg";

// Sets attributes, listeners and children on a new node. `on` holds listeners, `text` the text.
function furnish(node, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (key === "on") {
      for (const [event, listener] of Object.entries(value)) node.addEventListener(event, listener);
    } else if (key === "text") {
      node.textContent = value;
    } else {
      node.setAttribute(key, value === true ? "" : String(value));
    }
  }
  for (const child of children.flat()) {
    if (child !== null && child !== undefined && child !== false) node.append(child);
  }
  return node;
}

export function el(name, attributes = {}, ...children) {
  return furnish(document.createElement(name), attributes, children);
}

export function svg(name, attributes = {}, ...children) {
  return furnish(document.createElementNS(SVG, name), attributes, children);
}

// Escape closes a dialogue. None is modal, which would do that by itself: nothing may take the emergency stop away.
export function closes(dialog) {
  dialog.addEventListener("keydown", (event) => {
    if (event.key === "Escape") dialog.close();
  });
}

// The three setters touch the document only where something changes: a frame twenty times a second must stay cheap.
export function setText(node, text) {
  const only = node.firstChild;
  if (only && only === node.lastChild && only.nodeType === Node.TEXT_NODE) {
    if (only.data !== text) only.data = text;
  } else if (node.textContent !== text) {
    node.textContent = text;
  }
}

export function setAttr(node, name, value) {
  if (value === null || value === false) {
    if (node.hasAttribute(name)) node.removeAttribute(name);
  } else {
    const text = value === true ? "" : String(value);
    if (node.getAttribute(name) !== text) node.setAttribute(name, text);
  }
}

export function setClass(node, name, on) {
  if (node.classList.contains(name) !== on) node.classList.toggle(name, on);
}

// Styles go through the object model, which the content security policy allows.
export function setStyle(node, name, value) {
  if (node.style.getPropertyValue(name) !== value) node.style.setProperty(name, value);
}

export function clear(node) {
  node.replaceChildren();
}

export const byId = (id) => document.getElementById(id);
