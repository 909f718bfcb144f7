/** Small helpers for elements: text only, never markup. */

export const byId = (id) => document.getElementById(id);

/** Make an element with attributes, listeners (`onclick` and the like) and children. */
export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else element.setAttribute(key, value === true ? "" : value);
  }
  element.append(...children.filter((child) => child !== null && child !== ""));
  return element;
}

const SVG = "http://www.w3.org/2000/svg";

/** Make an SVG element. */
export function makeSvg(name, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}

/** A drawing of the engine's as an element; anything that is no SVG is left out. */
export function drawing(text) {
  const read = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  return read.namespaceURI === SVG ? document.importNode(read, true) : "";
}

/** Wait until nothing was asked for some milliseconds, then do it once. */
export function settled(work, ms) {
  let timer = null;
  const soon = (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => { timer = null; work(...given); }, ms);
  };
  soon.cancel = () => { clearTimeout(timer); timer = null; };
  soon.waits = () => timer !== null;
  return soon;
}
