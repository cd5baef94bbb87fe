// A verdict in words. The live region stands empty from the start, so that a change of it is announced.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "feedback");
  const box = element("div", { class: "mtnb-verdict", tabindex: -1 });
  frame.root.append(element("div", { role: "status", "aria-atomic": "true" }, box), frame.problem);
  const marks = { right: "✓", partly: "◐", wrong: "✗" };

  function paint() {
    const lines = [];
    const headline = model.get("headline");
    const mark = marks[model.get("verdict")];
    if (headline) {
      const shown = mark ? [element("span", { class: "mtnb-verdict-mark", "aria-hidden": "true" }, mark), headline] : [headline];
      lines.push(element("p", { class: "mtnb-verdict-headline" }, ...shown));
    }
    for (const line of model.get("lines")) if (line) lines.push(element("p", {}, line));
    box.hidden = !lines.length;
    box.replaceChildren(...lines);
  }
  frame.close.push(
    follow(model, { verdict: paint, headline: paint, lines: paint, take_focus: () => box.focus() }),
  );
  paint();
  return frame.end;
}
export default { render };
