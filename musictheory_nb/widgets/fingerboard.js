// A fingerboard to answer on: by mouse, or by the arrow keys. String 1 is on top, the nut at the left.

const FRET_SHRINKS = 2 ** (-1 / 12); // as on an instrument, until a place would be too narrow to press
const WIDEST_PX = 66;
const PLACE_KEYS =
  "On the fingerboard: the arrow keys Left and Right move by a fret, Up and Down by a string; Home goes to the open string, End to " +
  "the last fret, a digit to the fret of that number; Enter or Space presses; Backspace takes back.";

const samePlace = (one, other) => one[0] === other[0] && one[1] === other[1];
const SIGN_WORDS = { "♯": " sharp", "♭": " flat", "𝄪": " double sharp", "𝄫": " double flat" };
const spoken = (text) => text.replace(/([♯♭𝄪𝄫])(\d?)/gu, (_all, sign, octave) => SIGN_WORDS[sign] + (octave && ` ${octave}`)).replace(/ +/g, " ");

function render({ model, el }) {
  const stage = soundStage();
  const frame = lessonWidget(model, el, "fingerboard");
  const board = model.get("board");
  const { strings, frets, fretted } = board;
  const firstColumn = Math.min(0, ...strings.map((string) => string.nut));
  const hint = element("p", { id: freshId() }, PLACE_KEYS);
  const help = element("details", { class: "mtnb-help" }, element("summary", {}, "Help for the keyboard"), hint);
  const grid = element("div", { class: `mtnb-board${fretted ? "" : " mtnb-board-unfretted"}`, role: "group", "aria-describedby": hint.id });
  const scroller = element("div", { class: "mtnb-board-scroll" }, grid);
  const told = element("span", { role: "status" });
  const pointed = element("span", { class: "mtnb-quiet", "aria-hidden": "true" });
  const undo = element("button", { type: "button", class: "mtnb-button" }, "Undo");
  const clear = element("button", { type: "button", class: "mtnb-button" }, "Clear");
  const sound = element("input", { type: "checkbox" });
  const tools = element("div", { class: "mtnb-line" }, undo, clear, element("label", { class: "mtnb-tick" }, sound, "Notes sound"));
  const caution = element("p", { class: "mtnb-board-caution" });
  frame.root.append(scroller, element("p", { class: "mtnb-board-told" }, told, " ", pointed), tools, frame.problem, caution, help);
  sound.checked = model.get("sound");

  const places = []; // { button, string, step }, row by row from the top
  const rowOf = (at) => strings.findIndex((string) => string.at === at);
  const placeAt = (row, step) => places.find((place) => place.row === row && place.step === step);
  const labelOf = ([at, step]) => strings[rowOf(at)].labels[step];
  const midiOf = ([at, step]) => strings[rowOf(at)].midi + step;

  function where([at, step], full = true) {
    const string = strings[rowOf(at)];
    const name = full ? `${string.name} string (string ${rowOf(at) + 1})` : `${string.name} string`;
    if (step === 0) return `${name}, open`;
    return fretted ? `${name}, fret ${string.nut + step}` : `${name}, ${step} half step${step > 1 ? "s" : ""} up`;
  }

  // -- the board

  function build() {
    const columns = frets - firstColumn;
    grid.style.setProperty("--rows", strings.length);
    const widths = Array.from({ length: columns }, (_none, at) => WIDEST_PX * FRET_SHRINKS ** at);
    grid.style.gridTemplateColumns = `auto 48px ${widths.map((width) => `minmax(42px, ${Math.round(width * 10)}fr)`).join(" ")}`;
    grid.style.maxWidth = `${Math.round(84 + widths.reduce((sum, width) => sum + Math.max(42, width), 0))}px`;
    const cell = (node, row, column) => {
      node.style.gridRow = row + 1;
      node.style.gridColumn = column - firstColumn + 2;
      grid.append(node);
    };
    strings.forEach((string, row) => {
      const name = element("span", { class: "mtnb-board-string", "aria-hidden": "true" }, string.name);
      name.style.gridRow = row + 1;
      grid.append(name);
      string.labels.forEach((_labels, step) => {
        const button = element("button", { type: "button", class: "mtnb-place" }, element("span", { class: "mtnb-place-mark", "aria-hidden": "true" }));
        button.classList.toggle("mtnb-place-open", step === 0);
        button.classList.toggle("mtnb-place-first", step === 1);
        button.style.setProperty("--thick", `${1 + (2.4 * row) / Math.max(1, strings.length - 1)}px`);
        button.tabIndex = -1;
        const place = { button, row, step, at: [string.at, step] };
        button.addEventListener("click", () => press(place));
        button.addEventListener("pointerenter", () => point(place));
        button.addEventListener("pointerleave", () => (pointed.textContent = ""));
        button.addEventListener("focus", () => point(place));
        button.addEventListener("blur", () => (pointed.textContent = ""));
        places.push(place);
        cell(button, row, string.nut + step);
      });
    });
    for (let fret = Math.max(1, firstColumn); fret <= frets; fret++) {
      cell(element("span", { class: "mtnb-board-number", "aria-hidden": "true" }, String(fret)), strings.length, fret);
    }
    const start = model.get("given")[0] ?? [strings.at(-1).at, 0];
    (places.find((place) => samePlace(place.at, start)) ?? places[0]).button.tabIndex = 0;
    paint();
  }
  function point(place) {
    pointed.textContent = model.get("fingers").length ? "" : `On the ${where(place.at)}.`;
  }

  // -- what is shown

  const isRight = (at) => {
    const right = model.get("right")[at];
    return Boolean(right) && midiOf(right) === midiOf(model.get("value")[at]);
  };
  // What stands at a place: signs that are seen, words that are heard.
  function marksOf(place) {
    const [value, right, fingers] = ["value", "right", "fingers"].map((name) => model.get(name));
    const marks = [];
    if (model.get("given").some((each) => samePlace(each, place.at))) marks.push(["given", "given"]);
    const order = value.map((each, at) => (samePlace(each, place.at) ? at : -1)).filter((at) => at >= 0);
    if (order.length) {
      const hit = order.some(isRight);
      const number = model.get("count") > 1 ? order.map((at) => at + 1).join(" ") : ""; // with a full stop: not to be taken for a degree
      // Of several notes, one that stands elsewhere in the answer shown is not wrong by that: the verdict says what is.
      const sign = right.length ? (hit ? "✓" : number ? "" : "✗") : "";
      const verdict = { "": "", "✓": ", right", "✗": ", not right" }[sign];
      marks.push([`${sign}${number && `${number}.`}`, `pressed${number ? ` as note ${number.replaceAll(" ", " and ")}` : ""}${verdict}`]);
    }
    const isPressed = (sought) => value.some((each) => midiOf(each) === midiOf(sought));
    if (right.some((each) => samePlace(each, place.at) && !isPressed(each))) marks.push(["→", "right answer"]);
    const used = [...new Set(fingers.filter((each) => samePlace(each, place.at)).map((each) => each[2]))];
    used.forEach((finger) => marks.push([finger ? String(finger) : "0", finger ? `finger ${finger}` : "no finger"]));
    return marks;
  }
  const named = (place) => {
    const name = labelOf(place)[1];
    return name ? `${name} (${where(place, false)})` : where(place);
  };
  const list = (given) => given.map((place, at) => (given.length > 1 ? `${at + 1}. ` : "") + named(place)).join(", ");

  function paint() {
    const [value, right, given, count, locked, fingers] = ["value", "right", "given", "count", "locked", "fingers"].map((name) => model.get(name));
    const label = model.get("label");
    grid.setAttribute("aria-label", label ? `Fingerboard: ${label}` : "Fingerboard");
    places.forEach((place) => {
      const marks = marksOf(place);
      const [printed, name] = labelOf(place.at);
      const showsName = marks.length > 0 || model.get("show_names");
      const words = [where(place.at), ...(showsName && name ? [spoken(name)] : []), ...marks.map((mark) => mark[1])];
      place.button.setAttribute("aria-label", words.join("; "));
      if (fingers.length) place.button.removeAttribute("aria-pressed");
      else place.button.setAttribute("aria-pressed", String(value.some((each) => samePlace(each, place.at))));
      const mark = place.button.firstChild;
      mark.hidden = !showsName;
      mark.classList.toggle("mtnb-place-given", marks[0]?.[0] === "given");
      place.button.classList.toggle("mtnb-place-marked", marks.length > 0);
      const signs = marks.map((each) => each[0]).filter(Boolean).join(" ");
      const note = printed ? element("span", { class: "mtnb-place-note" }, ...printed.split(" ").map((each) => element("span", {}, each))) : "";
      const sign = signs || (marks.length && !printed ? "●" : "");
      mark.replaceChildren(...(sign ? [element("span", { class: fingers.length ? "mtnb-place-finger" : "mtnb-place-sign" }, sign)] : []), note);
    });
    const lines = [];
    if (given.length) lines.push(`Given: ${given.map(named).join(", ")}.`);
    if (fingers.length) {
      lines.push("The number in a frame is the finger, 0 an open string.");
      lines.push(`${fingers.map((each, at) => `${at + 1}. ${named(each)}, ${each[2] ? `finger ${each[2]}` : "no finger"}`).join("; ")}.`);
    } else if (value.length) lines.push(`${locked ? "You pressed" : "Pressed"}: ${list(value)}${count > 1 && !locked ? ` (${value.length} of ${count})` : ""}.`);
    else if (!locked) lines.push(count > 1 ? `Nothing pressed yet (0 of ${count}).` : "Nothing pressed yet.");
    if (right.length) lines.push(`${count > 1 ? "A right answer" : "Right answer"}: ${list(right)}.`);
    const text = lines.join(" ");
    if (told.textContent !== text) told.textContent = text;
    [undo, clear].forEach((button) => button.setAttribute("aria-disabled", String(!value.length)));
    undo.hidden = clear.hidden = locked;
    caution.textContent = model.get("caution");
    caution.hidden = !model.get("caution");
  }

  // -- what happens

  async function strike(place) {
    if (!sound.checked) return;
    try {
      await stage.open();
      stage.strike(model, model.get("a4_hz") * 2 ** ((midiOf(place.at) - 69) / 12));
    } catch (error) {
      frame.report(soundProblem(error));
    }
  }
  function press(place) {
    frame.report("");
    strike(place);
    if (model.get("locked")) return;
    const [value, count] = [model.get("value"), model.get("count")];
    if (count === 1) set(model, { value: [place.at] });
    else if (value.length < count) set(model, { value: [...value, place.at] });
    else frame.report(`All ${count} notes are pressed. Press Undo or Clear to change them.`);
  }
  function takeBack(all) {
    frame.report("");
    if (model.get("locked") || !model.get("value").length) return;
    set(model, { value: all ? [] : model.get("value").slice(0, -1) });
  }
  function goTo(row, step) {
    const last = strings[row].labels.length - 1;
    const place = placeAt(row, Math.max(0, Math.min(last, step)));
    focusOn(places.map((each) => each.button), places.indexOf(place));
  }
  grid.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const here = places.find((place) => place.button === document.activeElement);
    if (!here) return;
    const { row, step } = here;
    const column = strings[row].nut + step;
    const up = (by) => strings[row + by] && goTo(row + by, column - strings[row + by].nut);
    const moves = {
      ArrowRight: () => goTo(row, step + 1),
      ArrowLeft: () => goTo(row, step - 1),
      ArrowUp: () => up(-1),
      ArrowDown: () => up(1),
      Home: () => goTo(row, 0),
      End: () => goTo(row, Infinity),
      Backspace: () => takeBack(false),
      Delete: () => takeBack(true),
    };
    const move = moves[event.key] ?? (/^\d$/.test(event.key) ? () => goTo(row, Number(event.key) - strings[row].nut) : null);
    if (!move) return;
    event.preventDefault();
    move();
  });
  // A click also moves the one Tab stop.
  grid.addEventListener("focusin", (event) => places.forEach(({ button }) => (button.tabIndex = button === event.target ? 0 : -1)));
  undo.addEventListener("click", () => takeBack(false));
  clear.addEventListener("click", () => takeBack(true));

  frame.close.push(
    follow(model, {
      label: paint, count: paint, given: paint, value: paint, locked: paint, right: paint, show_names: paint, fingers: paint,
      caution: paint,
      sound: () => (sound.checked = model.get("sound")),
    }),
    () => stage.stopOwn(model),
  );
  build();
  return frame.end;
}
export default { render };
