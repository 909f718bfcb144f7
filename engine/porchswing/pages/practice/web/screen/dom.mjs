/** Making elements: texts only ever become text nodes, never markup. */

const SVG = "http://www.w3.org/2000/svg";

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== null && value !== false) element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children);
  return element;
}

/** Make an HTML element with attributes and children (elements or texts). */
export function make(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

/** Make an SVG element. */
export function makeSvg(tag, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), attributes, children);
}

/** Find an element by id. */
export function byId(id) {
  return document.getElementById(id);
}
