// A strip of measures. A press on the first and one on the last measure mark a span; a press inside a span unmarks it.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "range");
  const hint = element("p", { class: "mtnb-quiet" });
  const keyHint = element(
    "p",
    { id: freshId() },
    "On the measures: arrow keys move, Home and End go to the ends. Enter or Space marks the first and then the last measure; on a marked " +
      "measure it unmarks. Escape gives up a span that is only begun.",
  );
  const help = element("details", { class: "mtnb-help" }, element("summary", {}, "Help for the keyboard"), keyHint);
  const grid = element("div", { class: "mtnb-range-grid", role: "group", "aria-describedby": keyHint.id });
  const hearButton = element("button", { type: "button", class: "mtnb-button" });
  const clear = element("button", { type: "button", class: "mtnb-button" }, "Unmark all");
  const told = element("p", { class: "mtnb-range-told", role: "status" });
  const answer = element("p", { class: "mtnb-range-answer" });
  const tools = element("div", { class: "mtnb-line" }, hearButton, clear);
  frame.root.append(hint, grid, told, tools, answer, frame.problem, help);
  let cells = [];
  let begun = null;

  const measures = () => model.get("measures");
  const spanWords = ([first, last]) => (first === last ? `measure ${measures()[first]}` : `measures ${measures()[first]} to ${measures()[last]}`);
  const within = (spans, index) => spans.find(([first, last]) => index >= first && index <= last);

  function press(index) {
    const value = model.get("value");
    if (model.get("locked")) return select([index, index]);
    frame.report("");
    const own = within(value, index);
    if (begun === null && own) {
      select(own);
      set(model, { value: value.filter((span) => span !== own) });
      return;
    }
    if (begun === null) {
      begun = index;
      select([index, index]);
      return paint();
    }
    const span = [Math.min(begun, index), Math.max(begun, index)];
    begun = null;
    const most = model.get("spans");
    const apart = value.filter(([first, last]) => last < span[0] || first > span[1]); // a span over others takes their place
    const kept = most && apart.length >= most ? apart.slice(apart.length - most + 1) : apart;
    select(span);
    set(model, { value: [...kept, span].sort((one, other) => one[0] - other[0]) });
    paint();
  }
  function select(span) {
    if (!same(span, model.get("selected"))) set(model, { selected: span });
  }

  function build() {
    cells = measures().map((number, index) => {
      const cell = element(
        "button",
        { type: "button", class: "mtnb-range-measure" },
        element("span", { "aria-hidden": "true" }, number),
        element("span", { class: "mtnb-range-mark", "aria-hidden": "true" }),
      );
      cell.tabIndex = index === 0 ? 0 : -1;
      cell.addEventListener("click", () => press(index));
      return cell;
    });
    grid.replaceChildren(...cells);
    paint();
  }
  function paint() {
    const [value, right, locked] = [model.get("value"), model.get("right"), model.get("locked")];
    grid.setAttribute("aria-label", model.get("label") || "Measures");
    cells.forEach((cell, index) => {
      const [own, key] = [within(value, index), within(right, index)];
      const words = [`Measure ${measures()[index]}`];
      if (begun === index) words.push("the span begins here");
      if (own) words.push(own[0] === index ? "marked, first of the span" : own[1] === index ? "marked, last of the span" : "marked");
      if (right.length && own) words.push(key ? "right" : "not right");
      if (right.length && key && !own) words.push("right answer");
      cell.setAttribute("aria-label", words.join(", "));
      cell.setAttribute("aria-pressed", String(Boolean(own) || begun === index));
      cell.classList.toggle("mtnb-range-in", Boolean(own));
      cell.classList.toggle("mtnb-range-begun", begun === index);
      const mark = right.length ? (own ? (key ? "✓" : "✗") : key ? "→" : "") : begun === index ? "from" : own ? "●" : "";
      cell.querySelector(".mtnb-range-mark").textContent = mark;
    });
    const most = model.get("spans");
    const many = most === 1 ? "" : most === 0 ? " Mark as many spans as there are." : ` Mark ${most} spans.`;
    hint.textContent = `Press the first measure, then the last one.${many} A press on a marked measure unmarks it.`;
    hint.hidden = help.hidden = clear.hidden = locked;
    clear.setAttribute("aria-disabled", String(!value.length && begun === null));
    hearButton.hidden = !model.get("can_hear");
    if (cells.length) hearButton.textContent = `Hear ${spanWords(model.get("selected"))}`;
    tools.hidden = hearButton.hidden && clear.hidden;
    const marked = value.length ? `${locked ? "You marked" : "Marked"}: ${value.map(spanWords).join(", ")}.` : locked ? "" : "Nothing marked yet.";
    told.textContent = begun === null ? marked : `From measure ${measures()[begun]}: now press the last measure.`;
    answer.hidden = !right.length;
    answer.textContent = right.length ? `→ Right answer: ${right.map(spanWords).join(", ")}.` : "";
  }
  const rowLength = () => cells.filter((cell) => cell.offsetTop === cells[0].offsetTop).length;
  rovingFocus(grid, () => cells, { rowLength });
  grid.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || begun === null) return;
    event.preventDefault();
    event.stopPropagation();
    begun = null;
    paint();
  });
  clear.addEventListener("click", () => {
    begun = null;
    if (model.get("value").length) set(model, { value: [] });
    paint();
  });
  hearButton.addEventListener("click", async () => {
    try {
      await soundStage().open(); // this click is what lets the sound of the listening controls start
      set(model, { hear: model.get("hear") + 1 });
    } catch (error) {
      frame.report(soundProblem(error));
    }
  });
  frame.close.push(
    follow(model, { measures: build, spans: paint, label: paint, value: paint, locked: paint, right: paint, selected: paint, can_hear: paint }),
  );
  build();
  return frame.end;
}
export default { render };
