// Notation as a picture with a name, its caption, and the same in words.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "notation");
  const page = element("div", { class: "mtnb-notation-page", role: "img" });
  const caption = element("figcaption", {});
  const words = element("p", {});
  const twin = element("details", {}, element("summary", {}, "In words"), words);
  frame.root.append(element("figure", {}, page, caption, twin), frame.problem);

  function paint() {
    frame.report("");
    page.hidden = !model.get("svg");
    page.replaceChildren();
    page.dataset.first = model.get("first");
    if (model.get("music")) page.dataset.music = model.get("music");
    if (model.get("svg")) {
      try {
        const svg = drawing(model.get("svg"));
        svg.setAttribute("aria-hidden", "true");
        svg.setAttribute("focusable", "false");
        page.append(svg);
      } catch (error) {
        page.hidden = true;
        frame.report(`The notation cannot be shown (${error.message}). Read it in words below.`);
        twin.open = true;
      }
    }
    const name = model.get("label") || model.get("caption") || "Notation";
    page.setAttribute("aria-label", model.get("text") ? `${name}. The same is told in words below.` : name);
    caption.textContent = model.get("caption");
    words.textContent = model.get("text");
    twin.hidden = !model.get("text");
  }
  frame.close.push(follow(model, { svg: paint, text: paint, caption: paint, label: paint, first: paint }));
  paint();
  return frame.end;
}
export default { render };
