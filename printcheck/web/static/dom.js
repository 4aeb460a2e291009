// Elements made and found; no text ever passes through an HTML parser.
const SVG = "http://www.w3.org/2000/svg";

export const $ = (id) => document.getElementById(id);

function made(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== ""));
  return node;
}

export const h = (tag, attributes, ...children) => made(document.createElement(tag), attributes, children);
export const svg = (tag, attributes, ...children) => made(document.createElementNS(SVG, tag), attributes, children);

export function fill(node, ...children) {
  node.replaceChildren(...children.flat().filter((child) => child !== null && child !== undefined));
}

// A live region says a text again only when it changes.
export function say(node, text) {
  if (node.textContent !== text) node.textContent = text;
}
