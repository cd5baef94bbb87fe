// An SVG text from Python as a node of the page.

// Only what draws: a lesson's text must not bring scripts into the page.
function drawing(svg) {
  const parsed = new DOMParser().parseFromString(svg, "image/svg+xml");
  if (parsed.querySelector("parsererror")) throw new Error("the engraving is not well-formed");
  parsed.querySelectorAll("script, foreignObject, a").forEach((node) => node.remove());
  parsed.querySelectorAll("*").forEach((node) => {
    for (const { name, value } of [...node.attributes]) {
      if (/^on/i.test(name) || (/href$/i.test(name) && !value.startsWith("#"))) node.removeAttribute(name);
    }
  });
  return document.importNode(parsed.documentElement, true);
}
