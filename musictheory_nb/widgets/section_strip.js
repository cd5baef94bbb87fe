// A strip of measures. Each is a button: pressed means that a section begins there. A letter names the section.

const MAX_LETTERS = 8;

function render({ model, el }) {
  const frame = lessonWidget(model, el, "strip");
  const hint = element("p", { class: "mtnb-quiet" }, "Click a measure, or press Enter on it, where a section begins. Shift and a click select several measures.");
  const keyHint = element(
    "p",
    { id: freshId() },
    "On the measures: arrow keys move, Home and End go to the ends. Enter or Space marks or unmarks a beginning; a letter marks it " +
      "with that letter; Delete unmarks. Shift with the arrow keys selects several measures.",
  );
  const help = element("details", { class: "mtnb-help" }, element("summary", {}, "Help for the keyboard"), keyHint);
  const grid = element("div", { class: "mtnb-strip-grid", role: "group", "aria-describedby": keyHint.id });
  const hearButton = element("button", { type: "button", class: "mtnb-button" });
  const startAgain = element("button", { type: "button", class: "mtnb-button" }, "Unmark all");
  const told = element("span", { class: "mtnb-unseen", role: "status" });
  const sections = element("ol", { class: "mtnb-strip-sections" });
  const answer = element("p", { class: "mtnb-strip-answer" });
  const tools = element("div", { class: "mtnb-line" }, hearButton, startAgain);
  frame.root.append(hint, grid, tools, sections, answer, told, frame.problem, help);

  let cells = [];
  let columns = 8;
  let anchor = 0;
  const measures = () => model.get("measures");
  const hasPickup = () => measures()[0] === "0";
  const name = (index) => measures()[index];
  const span = (first, last) => (first === last ? `measure ${name(first)}` : `measures ${name(first)} to ${name(last)}`);

  // -- the sections, as [index, letter]

  const beginsAt = (value, index) => value.find(([at]) => at === index);
  function endOf(value, index) {
    const next = value.map(([at]) => at).find((at) => at > index);
    return (next ?? measures().length) - 1;
  }
  function freeLetter(value) {
    const used = value.map(([, letter]) => letter);
    return [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((letter) => !used.includes(letter)) ?? "A";
  }
  function change(value, words) {
    if (model.get("locked")) return;
    set(model, { value });
    told.textContent = words;
  }
  // The first measure always begins a section: the first mark brings it along.
  function withFirst(value, index) {
    return value.length || index === 0 ? value : [[0, "A"]];
  }
  function put(index, letter) {
    const before = withFirst(model.get("value"), index);
    const text = (letter ?? freeLetter(before)).slice(0, MAX_LETTERS);
    const value = [...before.filter(([at]) => at !== index), [index, text]].sort((one, other) => one[0] - other[0]);
    change(value, `Section ${text} begins at measure ${name(index)}.`);
  }
  function remove(index) {
    const value = model.get("value");
    if (!beginsAt(value, index)) return;
    if (index === 0 && value.length > 1) {
      told.textContent = "A section always begins at the first measure.";
      return;
    }
    change(value.filter(([at]) => at !== index), `No section begins at measure ${name(index)} now.`);
  }
  function toggle(index) {
    if (beginsAt(model.get("value"), index)) remove(index);
    else put(index);
  }

  // -- what is shown

  function build() {
    cells = measures().map((number, index) => {
      const cell = element(
        "button",
        { type: "button", class: "mtnb-measure" },
        element("span", { class: "mtnb-measure-number", "aria-hidden": "true" }, number),
        element("span", { class: "mtnb-measure-lane mtnb-measure-own", "aria-hidden": "true" }),
        element("span", { class: "mtnb-measure-lane mtnb-measure-right", "aria-hidden": "true" }),
      );
      cell.tabIndex = index === 0 ? 0 : -1;
      cell.addEventListener("click", (event) => {
        if (event.shiftKey) select(anchor, index);
        else {
          select(index, index);
          toggle(index);
        }
      });
      return cell;
    });
    grid.replaceChildren(...cells);
    layOut();
    paint();
  }
  // Rows of 16, 8, 4 or 2 measures, a pickup in a column of its own, so that phrases stand under each other.
  function layOut() {
    const smallest = 44;
    const room = grid.clientWidth || 640;
    columns = [16, 8, 4, 2].find((count) => (count + (hasPickup() ? 1 : 0)) * smallest <= room) ?? 2;
    const pickup = hasPickup() ? 1 : 0;
    grid.style.setProperty("--columns", columns + pickup);
    cells.forEach((cell, index) => {
      const full = index - pickup;
      cell.style.gridColumn = full < 0 ? 1 : (full % columns) + 1 + pickup;
      cell.style.gridRow = full < 0 ? 1 : Math.floor(full / columns) + 1;
    });
  }
  function lane(cell, kind, value, index) {
    const node = cell.querySelector(`.mtnb-measure-${kind}`);
    const begin = beginsAt(value, index);
    node.textContent = begin ? begin[1] : "";
    node.classList.toggle("mtnb-lane-begin", Boolean(begin));
    node.classList.toggle("mtnb-lane-inside", value.length > 0 && index >= value[0][0]);
  }
  function paint() {
    const [value, right, locked] = [model.get("value"), model.get("right"), model.get("locked")];
    const [first, last] = model.get("selected");
    grid.setAttribute("aria-label", model.get("label") || "Measures");
    grid.classList.toggle("mtnb-strip-marked", right.length > 0);
    cells.forEach((cell, index) => {
      const own = beginsAt(value, index);
      const key = beginsAt(right, index);
      lane(cell, "own", value, index);
      lane(cell, "right", right, index);
      const chosen = index >= first && index <= last;
      cell.classList.toggle("mtnb-measure-selected", chosen && first !== last);
      cell.setAttribute("aria-pressed", String(Boolean(own)));
      const words = [`Measure ${name(index)}`];
      if (own) words.push(`section ${own[1]} begins`);
      if (key) words.push(`answer: section ${key[1]} begins`);
      if (chosen && first !== last) words.push("selected");
      cell.setAttribute("aria-label", words.join(", "));
    });
    hearButton.hidden = !model.get("can_hear");
    if (cells.length) hearButton.textContent = `Hear ${span(first, last)}`;
    startAgain.hidden = locked;
    hint.hidden = help.hidden = locked;
    startAgain.setAttribute("aria-disabled", String(!value.length));
    tools.hidden = hearButton.hidden && startAgain.hidden;
    paintSections(value, locked);
    answer.hidden = !right.length;
    answer.textContent = right.length
      ? `In each measure the upper line is yours, the lower line the answer: ${right.map(([at, letter]) => `${letter} ${span(at, endOf(right, at))}`).join(", ")}.`
      : "";
  }
  function paintSections(value, locked) {
    // Rows are kept while they are only relabelled, so that the field in use keeps its focus.
    const wanted = value.map(([at]) => String(at));
    const present = [...sections.children].map((row) => row.dataset.at);
    if (!same(wanted, present) || sections.dataset.locked !== String(locked)) {
      sections.dataset.locked = String(locked);
      sections.replaceChildren(...value.map(([at]) => sectionRow(at, locked)));
    }
    value.forEach(([at, letter], order) => {
      const row = sections.children[order];
      const field = row.querySelector("input");
      row.querySelector(".mtnb-strip-span").textContent = `${locked ? `${letter}: ` : ""}${span(at, endOf(value, at))}`;
      if (field && field !== document.activeElement) field.value = letter;
    });
  }
  function sectionRow(at, locked) {
    const where = element("span", { class: "mtnb-strip-span" });
    const row = element("li", { "data-at": at });
    if (locked) {
      row.append(where);
      return row;
    }
    const field = element("input", { type: "text", class: "mtnb-field", size: 4, maxlength: MAX_LETTERS, autocomplete: "off", spellcheck: "false" });
    field.setAttribute("aria-label", `Letter of the section from measure ${name(at)}`);
    const away = element("button", { type: "button", class: "mtnb-button" }, "Unmark");
    away.setAttribute("aria-label", `Unmark the section from measure ${name(at)}`);
    field.addEventListener("input", () => {
      const letter = field.value.trim();
      if (letter) put(at, letter);
    });
    field.addEventListener("blur", () => paint());
    away.addEventListener("click", () => {
      remove(at);
      cells[at].focus();
    });
    row.append(field, where);
    if (at !== 0) row.append(away);
    return row;
  }

  // -- what happens

  function select(from, to) {
    const selected = [Math.min(from, to), Math.max(from, to)];
    if (from === to) anchor = from;
    else told.textContent = `Selected: ${span(...selected)}.`;
    if (!same(selected, model.get("selected"))) set(model, { selected });
  }

  rovingFocus(grid, () => cells, {
    rowLength: () => columns,
    moved: (to, _from, event) => (event.shiftKey ? select(anchor, to) : select(to, to)),
  });
  grid.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const index = cells.indexOf(document.activeElement);
    if (index < 0) return;
    const now = beginsAt(model.get("value"), index);
    if (/^\p{L}$/u.test(event.key)) put(index, event.key.toUpperCase());
    else if (/^['′0-9]$/.test(event.key) && now) put(index, now[1] + event.key);
    else if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      remove(index);
    }
  });
  hearButton.addEventListener("click", async () => {
    try {
      await soundStage().open(); // this click is what lets the sound of the listening controls start
      set(model, { hear: model.get("hear") + 1 });
    } catch (error) {
      frame.report(soundProblem(error));
    }
  });
  startAgain.addEventListener("click", () => {
    if (model.get("value").length) change([], "Nothing is marked now.");
  });

  const watcher = new ResizeObserver(layOut);
  watcher.observe(grid);
  frame.close.push(
    follow(model, { measures: build, label: paint, value: paint, locked: paint, right: paint, selected: paint, can_hear: paint }),
    () => watcher.disconnect(),
  );
  build();
  return frame.end;
}
export default { render };
