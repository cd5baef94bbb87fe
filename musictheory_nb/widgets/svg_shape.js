// Shapes of a small drawing.

const SVG_SPACE = "http://www.w3.org/2000/svg";

function shape(name, attributes) {
  const node = document.createElementNS(SVG_SPACE, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
}
