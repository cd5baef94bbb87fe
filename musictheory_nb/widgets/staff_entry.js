// A staff to write on. What is written is rows [pitches, quarters, tied]; Python engraves them after each step.

const STAFF_KEYS =
  "On the staff: A to G write a note near the one before. Up and Down move it by a step, with Shift by an octave; # raises and - lowers " +
  "it by a half step. Left and Right go to other notes, End behind the last. Backspace deletes, I inserts before, Z takes back.";
const VALUE_HELP =
  " 1, 2, 4, 8, 6 and 3 choose whole, half, quarter, eighth, sixteenth and thirty-second; a full stop dots; U makes triplets; R or 0 " +
  "writes a rest; T ties to another note of the same pitch.";
const CHORD_HELP = " Shift with a letter adds a note to the chord.";
const SIGNATURES = ["no sharps or flats", "one", "two", "three", "four", "five", "six", "seven"];

function render({ model, el }) {
  const stage = soundStage();
  const frame = lessonWidget(model, el, "staff");
  const staff = staffOf(model.get("staff"));
  const free = staff.pitches_only;
  const hint = element("p", { class: "mtnb-quiet" });
  const keyHint = element("p", { id: freshId() }, STAFF_KEYS + (free ? "" : VALUE_HELP) + (staff.chords ? CHORD_HELP : ""));
  const help = element("details", { class: "mtnb-help" }, element("summary", {}, "Help for the keyboard"), keyHint);
  const picture = element("div", { class: "mtnb-staff-picture" });
  const page = element("div", { class: "mtnb-staff-page", tabindex: 0, role: "application", "aria-describedby": keyHint.id });
  const place = staffPlace(page);
  const told = element("span", { role: "status" });
  const fill = element("span", {});
  const sound = element("input", { type: "checkbox" });
  const soundTick = element("label", { class: "mtnb-tick" }, sound, "Notes sound");
  const words = element("p", {});
  const twin = element("details", { class: "mtnb-help" }, element("summary", {}, "What is written, in words"), words);
  const rightPicture = element("div", { class: "mtnb-staff-picture" });
  const rightWords = element("p", { class: "mtnb-staff-words" });
  const rightFigure = element("figure", { class: "mtnb-staff-right" }, element("figcaption", {}, "→ Right answer"), rightPicture, rightWords);
  const ownCaption = element("p", { class: "mtnb-staff-own" }, "Your answer");
  const tools = staffTools(staff, act);
  const line = element("p", { class: "mtnb-staff-told" }, told, " ", fill);
  page.append(picture, place.caret, place.ghost, place.ghostName);
  const under = element("div", { class: "mtnb-line" }, soundTick, midiKeyboard(model, frame, playedOnMidi));
  frame.root.append(ownCaption, hint, tools.root, page, line, under, rightFigure, frame.problem, twin, help);
  page.classList.toggle("mtnb-staff-free", free);
  rightPicture.classList.toggle("mtnb-staff-free", free);

  let at = model.get("value").length; // the row that is changed; behind the last one, the next is written
  let head = -1; // the note of a chord that is changed; -1 the one added last
  let value = { head: QUARTER, dots: 0, tuplet: 1 };
  let past = [];
  let known = model.get("value");
  const rows = () => model.get("value");
  const target = () => (at < rows().length ? at : rows().length - 1);
  const isSelected = () => at < rows().length;
  const say = (text) => (told.textContent = text);

  // -- one step, with what it changes

  function step(after, { to = null, words: said = null, hear = [] } = {}) {
    frame.report("");
    try {
      const next = barred(staff, after);
      past.push({ value: rows(), at });
      past = past.slice(-200);
      known = next;
      at = to === null ? next.length : Math.min(to, next.length);
      set(model, { value: next });
      frame.awaitReply(() => !frame.root.hasAttribute("data-unsaved"));
      const changed = Math.min(to ?? next.length - 1, next.length - 1);
      say(said ?? (next.length ? `${rowWords(staff, next, changed)}.` : "Nothing is written now."));
      listen(hear);
      paint();
    } catch (error) {
      frame.report(error.message);
    }
  }
  async function listen(names) {
    if (!sound.checked || !names.length) return;
    try {
      await stage.open();
      const midi = midiOf(readPitch(names.at(-1)));
      stage.strike(model, 440 * 2 ** ((midi - 69) / 12), 0.9);
    } catch (error) {
      frame.report(soundProblem(error));
    }
  }
  const replaced = (index, row) => rows().map((each, other) => (other === index ? row : each));
  const duration = () => (free ? "1" : quartersOf(valueTicks(value)));
  function within(steps) {
    if (steps >= staff.lowestSteps && steps <= staff.highestSteps) return true;
    frame.report(`This staff takes notes from ${pitchShown(atSteps(staff.lowestSteps))} to ${pitchShown(atSteps(staff.highestSteps))}.`);
    return false;
  }
  const sorted = (pitches) => [...pitches].sort((one, other) => stepsOf(readPitch(one)) - stepsOf(readPitch(other)) || readPitch(one).alter - readPitch(other).alter);
  const activePitch = (row) => row[0][head >= 0 && head < row[0].length ? head : row[0].length - 1];

  function write(steps, pitch = null) {
    if (!within(steps)) return;
    const index = isSelected() ? at : rows().length;
    const name = pitchName(pitch ?? atSteps(steps, alterAt(staff, rows(), index, steps)));
    head = -1;
    if (isSelected()) step(replaced(at, [[name], rows()[at][1], rows()[at][2]]), { to: at, hear: [name] });
    else step([...rows(), [[name], duration(), false]], { hear: [name] });
  }
  function addToChord(index, steps, pitch = null) {
    if (!within(steps)) return;
    const row = rows()[index];
    if (!row || !row[0].length) return write(steps, pitch);
    const here = row[0].find((each) => stepsOf(readPitch(each)) === steps);
    if (here && row[0].length > 1) return step(replaced(index, [row[0].filter((each) => each !== here), row[1], row[2]]), { to: isSelected() ? at : null });
    if (here) return;
    const name = pitchName(pitch ?? atSteps(steps, alterAt(staff, rows(), index, steps)));
    const pitches = sorted([...row[0], name]);
    head = pitches.indexOf(name);
    step(replaced(index, [pitches, row[1], row[2]]), { to: isSelected() ? at : null, hear: [name] });
  }
  // What a MIDI keyboard plays is written as the student's part has it. Keys held down together are one chord.
  function playedOnMidi(midi, held) {
    const pitch = pitchOfKey(staff, midi);
    if (staff.chords && held > 1 && rows().length) addToChord(target(), stepsOf(pitch), pitch);
    else write(stepsOf(pitch), pitch);
  }
  // Change the pitch of the note in hand: `change` gets it and returns the new one.
  function repitch(change) {
    const index = target();
    const row = rows()[index];
    if (!row || !row[0].length) return frame.report("There is no note to change. Write one first.");
    const old = activePitch(row);
    const next = change(readPitch(old));
    if (!within(stepsOf(next))) return;
    if (Math.abs(next.alter) > 2) return frame.report("A note has at most two sharps or two flats.");
    const name = pitchName(next);
    if (row[0].includes(name)) return;
    const pitches = sorted(row[0].map((each) => (each === old ? name : each)));
    if (head >= 0) head = pitches.indexOf(name);
    // A note tied over a barline keeps one pitch.
    const chain = [index];
    for (let left = index; left > 0 && rows()[left - 1][2]; left--) chain.push(left - 1);
    for (let right = index; rows()[right]?.[2]; right++) chain.push(right + 1);
    step(rows().map((each, other) => (chain.includes(other) ? [pitches, each[1], each[2]] : each)), { to: isSelected() ? at : null, hear: [name] });
  }
  function moveBy(steps) {
    repitch((pitch) => {
      const to = stepsOf(pitch) + steps;
      return atSteps(to, Math.abs(steps) === 7 ? pitch.alter : alterAt(staff, rows(), target(), to));
    });
  }
  function revalue(change) {
    const before = value;
    value = { ...value, ...change };
    if (!valueOf(valueTicks(value))) value = before;
    if (isSelected()) step(replaced(at, [rows()[at][0], quartersOf(valueTicks(value)), rows()[at][2]]), { to: at });
    else say(`Next: ${valueWords(valueTicks(value))}.`);
    paint();
  }

  function act(name, argument) {
    if (model.get("locked")) return;
    const selected = isSelected();
    const doing = {
      head: () => revalue({ head: argument, dots: 0 }),
      dot: () => revalue({ dots: (value.dots + 1) % 3 }),
      triplet: () => revalue({ tuplet: value.tuplet === 3 ? 1 : 3 }),
      rest: () => (selected ? step(replaced(at, [[], rows()[at][1], false]), { to: at }) : step([...rows(), [[], duration(), false]])),
      tie() {
        const row = rows()[target()];
        if (!row?.[0].length) return frame.report("A tie begins at a note. Write one first.");
        if (!selected) return step([...replaced(target(), [row[0], row[1], true]), [row[0], duration(), false]], { hear: row[0] });
        const next = rows()[at + 1];
        if (!row[2] && !(next && samePitches(row, next))) return frame.report("A tie leads to a note of the same pitch, and the next is none.");
        step(replaced(at, [row[0], row[1], !row[2]]), { to: at });
      },
      alter: () => repitch((pitch) => ({ ...pitch, alter: argument })),
      insert() {
        if (!selected) return;
        const row = rows()[at];
        step([...rows().slice(0, at), [row[0], duration(), false], ...rows().slice(at)], { to: at, hear: row[0] });
      },
      delete() {
        if (!rows().length) return;
        const index = target();
        const gone = rowWords(staff, rows(), index);
        const end = !selected;
        step(rows().filter((_row, other) => other !== index), { to: end ? null : at, words: `Deleted: ${gone}.` });
      },
      undo() {
        const last = past.pop();
        if (!last) return;
        frame.report("");
        known = last.value;
        at = last.at;
        set(model, { value: last.value });
        say(last.value.length ? `Taken back. Now ${last.value.length} written.` : "Taken back. Nothing is written now.");
        paint();
      },
      clear: () => rows().length && step([], { words: "Nothing is written now." }),
    };
    doing[name]();
  }

  // -- what is shown

  function showPicture() {
    try {
      picture.replaceChildren(drawing(model.get("svg")));
      picture.firstChild.removeAttribute("aria-labelledby");
      picture.firstChild.setAttribute("aria-hidden", "true");
      frame.replied();
    } catch (error) {
      frame.report(`The staff cannot be shown (${error.message}).`);
    }
    showCaret();
  }
  function showCaret() {
    const given = staff.given.length;
    const filled = lengthOf([...staff.given, ...rows()]);
    place.full = !free && placeOf(staff, filled).offset === 0;
    if (model.get("locked") || (!isSelected() && !free && filled >= staff.room)) place.caret.hidden = true;
    else place.showCaret(given + at);
  }
  function describe() {
    const signature = staff.fifths === 0 ? SIGNATURES[0] : `${SIGNATURES[Math.abs(staff.fifths)]} ${staff.fifths > 0 ? "sharp" : "flat"}${Math.abs(staff.fifths) > 1 ? "s" : ""}`;
    const clef = staff.clef === "treble-8" ? "treble clef an octave lower" : `${staff.clef} clef`;
    const size = free ? "" : `, ${staff.metre}, ${staff.measures === 1 ? "1 measure" : `${staff.measures} measures`}`;
    const label = model.get("label");
    page.setAttribute("aria-label", `${label ? `${label} ` : ""}Staff, ${clef}, ${signature}${size}`);
  }
  function paint() {
    const locked = model.get("locked");
    const row = rows()[target()];
    const hasNote = Boolean(row?.[0].length);
    if (isSelected() && !free) value = valueOf(ticksOf(row[1])) ?? value;
    tools.paint({ value, alter: hasNote ? readPitch(activePitch(row)).alter : null, hasNote, selected: isSelected(), canUndo: past.length > 0, empty: !rows().length });
    tools.root.hidden = hint.hidden = help.hidden = soundTick.hidden = locked;
    page.classList.toggle("mtnb-staff-locked", locked);
    ownCaption.hidden = !locked;
    hint.textContent =
      `Click on the staff where the next note stands; click a note to change it.${staff.transposition ? ` Written for ${staff.transposition}.` : ""}` +
      (staff.given.length ? " The first notes are given." : "");
    fill.textContent = locked ? "" : fillWords(staff, rows());
    if (locked) told.textContent = "";
    words.textContent = allWords(staff, rows()) || "Nothing is written.";
    const right = model.get("right");
    rightFigure.hidden = !right.length;
    if (right.length && model.get("right_svg")) {
      rightPicture.replaceChildren(drawing(model.get("right_svg")));
      rightPicture.firstChild.setAttribute("aria-hidden", "true");
      rightPicture.firstChild.removeAttribute("aria-labelledby");
      rightWords.textContent = allWords(staff, right);
    }
    showCaret();
  }

  // -- what happens

  const stepsHit = (hit) => Math.max(staff.lowestSteps, Math.min(staff.highestSteps, staff.bottom + hit.steps));
  page.addEventListener("pointermove", (event) => {
    if (model.get("locked") || event.pointerType === "touch") return;
    const hit = place.hit(event);
    if (!hit || (!hit.after && !hit.onColumn)) return place.hideGhost();
    const steps = stepsHit(hit);
    const index = hit.after ? rows().length : Math.max(0, hit.row - staff.given.length);
    place.showGhost(hit, steps - staff.bottom, pitchShown(atSteps(steps, alterAt(staff, rows(), index, steps))));
  });
  page.addEventListener("pointerleave", () => place.hideGhost());
  page.addEventListener("click", (event) => {
    if (model.get("locked")) return;
    page.focus({ preventScroll: true });
    const hit = place.hit(event);
    if (!hit) return;
    const index = hit.row - staff.given.length;
    if (hit.after) {
      at = rows().length;
      write(stepsHit(hit));
    } else if (index < 0) say("That note is given; it stays.");
    else if (staff.chords && hit.onColumn) {
      at = index;
      addToChord(index, stepsHit(hit));
    } else {
      const row = rows()[index];
      const elsewhere = hit.onColumn && at === index && !row[0].some((name) => stepsOf(readPitch(name)) === stepsHit(hit));
      at = index;
      if (elsewhere) write(stepsHit(hit));
      else goTo(index);
    }
  });
  function goTo(index) {
    at = Math.max(0, Math.min(rows().length, index));
    head = -1;
    say(isSelected() ? `${rowWords(staff, rows(), at)}.` : "Behind the last note.");
    if (isSelected()) listen(rows()[at][0]);
    paint();
  }
  function nearest(letter) {
    const before = [...staff.given, ...rows().slice(0, isSelected() ? at + 1 : rows().length)].findLast((row) => row[0].length);
    const near = before ? stepsOf(readPitch(activePitch(before))) : staff.bottom + 4;
    const wanted = letter + 7 * Math.round((near - letter) / 7);
    return [wanted, wanted - 7, wanted + 7].find((steps) => steps >= staff.lowestSteps && steps <= staff.highestSteps) ?? wanted;
  }
  page.addEventListener("keydown", (event) => {
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !event.shiftKey) {
      event.preventDefault();
      event.stopPropagation();
      return act("undo");
    }
    if (event.ctrlKey || event.altKey || event.metaKey || model.get("locked")) return;
    const key = event.key;
    const letter = LETTERS_OF_STAFF.indexOf(key.toUpperCase());
    const byKey = VALUE_KEYS.find((each) => each.key === key);
    const moves = { ArrowUp: event.shiftKey ? 7 : 1, ArrowDown: event.shiftKey ? -7 : -1 };
    const named = { ".": "dot", u: "triplet", r: "rest", 0: "rest", t: "tie", i: "insert", z: "undo", Backspace: "delete", Delete: "delete" };
    if (key.length === 1 && letter >= 0) {
      if (event.shiftKey && staff.chords && rows().length) {
        const row = rows()[target()];
        const top = row[0].length ? stepsOf(readPitch(row[0].at(-1))) : staff.bottom;
        addToChord(target(), top + 1 + (((letter - top - 1) % 7) + 7) % 7);
      } else write(nearest(letter));
    } else if (key in moves) moveBy(moves[key]);
    else if (key === "#" || key === "+") repitch((pitch) => ({ ...pitch, alter: pitch.alter + 1 }));
    else if (key === "-") repitch((pitch) => ({ ...pitch, alter: pitch.alter - 1 }));
    else if (key === "ArrowLeft") goTo(at - 1);
    else if (key === "ArrowRight") goTo(at + 1);
    else if (key === "Home") goTo(0);
    else if (key === "End") goTo(rows().length);
    else if (byKey && !free) act("head", byKey.head);
    else if (key.toLowerCase() in named && !(free && [".", "u", "r", "0", "t"].includes(key.toLowerCase()))) act(named[key.toLowerCase()] ?? named[key]);
    else if (key in named) act(named[key]);
    else return;
    event.preventDefault();
  });

  function valueChanged() {
    if (!same(rows(), known)) {
      known = rows();
      at = rows().length;
      past = [];
    }
    paint();
  }
  let width = 0;
  const watcher = new ResizeObserver(() => {
    const room = Math.floor(page.clientWidth / 20) * 20;
    if (room < 200 || room === width) return showCaret();
    width = room;
    if (room !== model.get("width_px")) set(model, { width_px: room });
    showCaret();
  });
  watcher.observe(page);
  sound.checked = model.get("sound");
  frame.close.push(
    follow(model, {
      svg: showPicture, value: valueChanged, locked: paint, right: paint, right_svg: paint, label: describe,
      sound: () => (sound.checked = model.get("sound")),
    }),
    () => watcher.disconnect(),
    () => stage.stopOwn(model),
  );
  describe();
  paint();
  showPicture();
  return frame.end;
}
export default { render };
