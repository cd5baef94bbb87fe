// A piano keyboard to answer on: by mouse, by the arrow and letter keys, or by typing a note's name.

const SHARP_NAMES = ["C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B"];
const FLAT_NAMES = ["C", "D♭", "D", "E♭", "E", "F", "G♭", "G", "A♭", "A", "B♭", "B"];
const LETTERS = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };
// How far the middle of a black key lies from the line between its white neighbours, in white keys, as on a real piano.
const BLACK_SHIFT = { 1: -0.1, 3: 0.1, 6: -0.13, 8: 0, 10: 0.13 };

const isBlack = (midi) => midi % 12 in BLACK_SHIFT;
const octaveOf = (midi) => Math.floor(midi / 12) - 1;

function shownName(midi) {
  const [sharp, flat] = [SHARP_NAMES[midi % 12], FLAT_NAMES[midi % 12]];
  return sharp === flat ? `${sharp}${octaveOf(midi)}` : `${sharp}${octaveOf(midi)} or ${flat}${octaveOf(midi)}`;
}

function spokenName(midi) {
  const say = (name) => name.replace("♯", " sharp").replace("♭", " flat");
  const [sharp, flat] = [SHARP_NAMES[midi % 12], FLAT_NAMES[midi % 12]];
  return `${say(sharp)}${sharp === flat ? "" : ` or ${say(flat)}`}, octave ${octaveOf(midi)}${midi === 60 ? ", middle C" : ""}`;
}

// "F#4", "bb", "E♭ 5": letter, accidentals, octave. Returns a MIDI number, or null.
function typedNote(text, octave) {
  const match = /^\s*([A-Ga-g])\s*(##|♯♯|x|#|♯|bb|♭♭|b|♭|)\s*(-?\d|)\s*$/.exec(text);
  if (!match) return null;
  const alter = { "": 0, "#": 1, "♯": 1, "##": 2, "♯♯": 2, x: 2, b: -1, "♭": -1, bb: -2, "♭♭": -2 }[match[2]];
  return 12 * ((match[3] === "" ? octave : Number(match[3])) + 1) + LETTERS[match[1].toUpperCase()] + alter;
}

function render({ model, el }) {
  const stage = soundStage();
  const frame = lessonWidget(model, el, "piano");
  const hint = element("p", { id: freshId() });
  const help = element("details", { class: "mtnb-help" }, element("summary", {}, "Help for the keyboard"), hint);
  const keyboard = element("div", { class: "mtnb-keys", role: "group", "aria-describedby": hint.id });
  const scroller = element("div", { class: "mtnb-keys-scroll" }, keyboard);
  const pointed = element("span", { class: "mtnb-keys-pointed", "aria-hidden": "true" });
  const told = element("span", { role: "status" });
  const undo = element("button", { type: "button", class: "mtnb-button" }, "Undo");
  const clear = element("button", { type: "button", class: "mtnb-button" }, "Clear");
  const sound = element("input", { type: "checkbox" });
  const field = element("input", { type: "text", class: "mtnb-field", size: 5, maxlength: 6, autocomplete: "off", spellcheck: "false" });
  const enter = element("button", { type: "button", class: "mtnb-button" }, "Enter note");
  const typing = element("span", { class: "mtnb-line mtnb-keys-typing" }, element("label", {}, "Type a note ", field), enter);
  const tools = element(
    "div",
    { class: "mtnb-line" },
    undo,
    clear,
    element("label", { class: "mtnb-tick" }, sound, "Keys sound"),
    typing,
    midiKeyboard(model, frame, playedOnMidi),
  );
  frame.root.append(scroller, element("p", { class: "mtnb-keys-told" }, told, " ", pointed), tools, frame.problem, help);

  let keys = []; // buttons from low to high
  let typedOctave = 4;
  let sounded = null; // the key that a mouse button has already made sound
  sound.checked = model.get("sound");
  const midiOf = (key) => Number(key.dataset.midi);
  const keyOf = (midi) => keys[midi - model.get("low")];

  // -- what is shown

  function build() {
    const [low, high] = [model.get("low"), model.get("high")];
    let white = isBlack(low) ? 0.4 : 0; // room for the left half of a black key that begins
    keys = [];
    for (let midi = low; midi <= high; midi++) {
      const black = isBlack(midi);
      const key = element(
        "button",
        { type: "button", class: `mtnb-key mtnb-key-${black ? "black" : "white"}`, "data-midi": midi },
        element("span", { class: "mtnb-key-mark", "aria-hidden": "true" }),
        element("span", { class: "mtnb-key-name", "aria-hidden": "true" }),
      );
      key.style.setProperty("--at", black ? white + BLACK_SHIFT[midi % 12] : white);
      if (!black) white += 1;
      key.tabIndex = -1;
      key.addEventListener("pointerdown", (event) => {
        if (event.pointerType !== "mouse" || event.button !== 0) return;
        strike(midi); // as on a piano, the tone comes with the press; the answer with the release
        sounded = midi;
      });
      key.addEventListener("click", () => {
        if (sounded !== midi) strike(midi);
        sounded = null;
        play(midi);
      });
      key.addEventListener("pointerenter", () => (pointed.textContent = `On ${shownName(midi)}.`));
      key.addEventListener("pointerleave", () => (pointed.textContent = ""));
      key.addEventListener("focus", () => {
        typedOctave = octaveOf(midi);
        pointed.textContent = `On ${shownName(midi)}.`;
      });
      key.addEventListener("blur", () => (pointed.textContent = ""));
      keys.push(key);
    }
    keyboard.style.setProperty("--whites", isBlack(high) ? white + 0.4 : white);
    keyboard.replaceChildren(...keys);
    const first = model.get("given").find((midi) => midi >= low && midi <= high);
    (keyOf(first ?? Math.max(low, Math.min(high, 60))) ?? keys[0]).tabIndex = 0;
    paint();
  }

  // The words on a key: what a mark stands for is also said.
  function marksOf(midi) {
    const value = model.get("value");
    const right = model.get("right");
    const order = value.map((played, at) => (played === midi ? at + 1 : 0)).filter(Boolean);
    const marks = [];
    if (model.get("given").includes(midi)) marks.push(["given", "given"]);
    if (order.length) {
      const hit = right.length && order.some((at) => right[at - 1] === midi);
      // Of several notes, one that stands elsewhere in the answer shown is not wrong by that: the verdict says what is.
      const mark = right.length ? (hit ? "✓" : model.get("count") > 1 ? "" : "✗") : "";
      const count = model.get("count") > 1 ? order.join(" ") : "";
      const verdict = { "": "", "✓": ", right", "✗": ", not right" }[mark];
      marks.push([`${mark}${count}` || "●", `played${count ? ` as note ${order.join(" and ")}` : ""}${verdict}`]);
    }
    const missed = right.includes(midi) && !value.includes(midi);
    if (missed) marks.push(["→", "right answer"]);
    return marks;
  }
  const list = (midis) => midis.map((midi, at) => (midis.length > 1 ? `${at + 1}. ` : "") + shownName(midi)).join(", ");

  function paint() {
    keyboard.setAttribute("aria-label", model.get("label") ? `Piano keyboard: ${model.get("label")}` : "Piano keyboard");
    const [value, count, right, locked] = ["value", "count", "right", "locked"].map((name) => model.get(name));
    keys.forEach((key) => {
      const midi = midiOf(key);
      const marks = marksOf(midi);
      key.setAttribute("aria-label", [spokenName(midi), ...marks.map((mark) => mark[1])].join("; "));
      key.setAttribute("aria-pressed", String(value.includes(midi)));
      key.querySelector(".mtnb-key-mark").textContent = marks.map((mark) => mark[0]).join(" ");
      const named = model.get("show_names") || midi % 12 === 0;
      key.querySelector(".mtnb-key-name").textContent = !named ? "" : isBlack(midi)
        ? `${SHARP_NAMES[midi % 12]} ${FLAT_NAMES[midi % 12]}`
        : `${SHARP_NAMES[midi % 12]}${midi % 12 === 0 ? octaveOf(midi) : ""}`;
    });
    const given = model.get("given");
    const lines = [];
    if (given.length) lines.push(`Given: ${given.map(shownName).join(", ")}.`);
    if (value.length) lines.push(`${locked ? "You played" : "Played"}: ${list(value)}${count > 1 && !locked ? ` (${value.length} of ${count})` : ""}.`);
    else if (!locked) lines.push(count > 1 ? `Nothing played yet (0 of ${count}).` : "Nothing played yet.");
    if (right.length) lines.push(`${count > 1 ? "A right answer" : "Right answer"}: ${list(right)}.`);
    const text = lines.join(" ");
    if (told.textContent !== text) told.textContent = text;
    [undo, clear].forEach((button) => button.setAttribute("aria-disabled", String(!value.length)));
    undo.hidden = clear.hidden = locked;
    typing.hidden = locked || !model.get("typing");
    hint.textContent =
      "On the keys: the arrow keys Left and Right move by a key, Up and Down by an octave; A to G go to that note, # goes one " +
      "key up; Enter or Space plays; Backspace takes back. " +
      (typing.hidden ? "" : "In the field: a letter A to G, then # or b if needed, then the octave, as in F#4 or Bb3; Up and Down change the octave, Enter plays.");
  }

  // -- what happens

  async function strike(midi) {
    if (!sound.checked) return;
    try {
      await stage.open();
      stage.strike(model, model.get("a4_hz") * 2 ** ((midi - 69) / 12));
    } catch (error) {
      frame.report(soundProblem(error));
    }
  }
  function play(midi) {
    frame.report("");
    if (model.get("locked")) return;
    const [value, count] = [model.get("value"), model.get("count")];
    if (count === 1) set(model, { value: [midi] });
    else if (value.length < count) set(model, { value: [...value, midi] });
    else frame.report(`All ${count} notes are played. Press Undo or Clear to change them.`);
  }
  function takeBack(all) {
    frame.report("");
    if (model.get("locked") || !model.get("value").length) return;
    set(model, { value: all ? [] : model.get("value").slice(0, -1) });
  }
  function playTyped() {
    const midi = typedNote(field.value, typedOctave);
    const [low, high] = [model.get("low"), model.get("high")];
    if (midi === null) {
      frame.report(`“${field.value}” is no note name. Write a letter A to G, then # or b if needed, then the octave, as in F#4.`);
    } else if (midi < low || midi > high) {
      frame.report(`“${field.value}” is not on this keyboard: it goes from ${shownName(low)} to ${shownName(high)}.`);
    } else {
      strike(midi);
      play(midi);
      field.value = "";
      return;
    }
    field.focus();
    field.select();
  }

  function playedOnMidi(midi) {
    const [low, high] = [model.get("low"), model.get("high")];
    if (midi < low || midi > high) {
      frame.report(`${shownName(midi)} is not on this keyboard: it goes from ${shownName(low)} to ${shownName(high)}.`);
      return;
    }
    strike(midi);
    play(midi);
  }

  rovingFocus(keyboard, () => keys, { rowLength: () => -12 }); // Up is an octave up
  keyboard.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const from = keys.indexOf(document.activeElement);
    if (from < 0) return;
    const letter = event.key.toUpperCase();
    if (event.key === "#") focusOn(keys, from + 1);
    else if (letter in LETTERS) {
      const wanted = 12 * (octaveOf(midiOf(keys[from])) + 1) + LETTERS[letter];
      const near = [wanted, wanted + 12, wanted - 12].find((midi) => keyOf(midi));
      if (near !== undefined) focusOn(keys, near - model.get("low"));
    } else if (event.key === "Backspace") {
      event.preventDefault();
      takeBack(false);
    } else if (event.key === "Delete") takeBack(true);
  });
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") playTyped();
    else if (event.key === "ArrowUp" || event.key === "ArrowDown") {
      event.preventDefault();
      const now = /-?\d/.exec(field.value);
      typedOctave = Math.max(-1, Math.min(9, (now ? Number(now[0]) : typedOctave) + (event.key === "ArrowUp" ? 1 : -1)));
      field.value = field.value.replace(/\s*-?\d?\s*$/, "") + typedOctave;
    }
  });
  enter.addEventListener("click", playTyped);
  undo.addEventListener("click", () => takeBack(false));
  clear.addEventListener("click", () => takeBack(true));

  frame.close.push(
    follow(model, {
      low: build, high: build, given: build, label: paint, count: paint, value: paint, locked: paint, right: paint,
      show_names: paint, typing: paint,
      sound: () => (sound.checked = model.get("sound")),
    }),
    () => stage.stopOwn(model),
  );
  build();
  return frame.end;
}
export default { render };
