// The buttons beside a staff: note values, accidentals, and what is done to a note.

// A note of that value, drawn small: head, stem, flags.
function noteIcon(head) {
  const icon = shape("svg", { viewBox: "0 0 20 30", width: 20, height: 30, "aria-hidden": "true", focusable: "false" });
  const open = head >= 2 * QUARTER;
  const middle = head > 2 * QUARTER ? 15 : 24; // a whole note has no stem above it
  icon.append(shape("ellipse", { cx: 7, cy: middle, rx: 5, ry: 3.6, transform: `rotate(-20 7 ${middle})`, fill: open ? "none" : "currentColor", stroke: "currentColor", "stroke-width": 2 }));
  if (head <= 2 * QUARTER) icon.append(shape("path", { d: "M12 22V3", stroke: "currentColor", "stroke-width": 1.6 }));
  for (let flag = 0; head * 2 ** (flag + 1) <= QUARTER; flag++) {
    icon.append(shape("path", { d: `M12 ${3 + 5 * flag}q1 4 6 8`, fill: "none", stroke: "currentColor", "stroke-width": 2 }));
  }
  return icon;
}

const VALUE_KEYS = [[4, "1"], [2, "2"], [1, "4"], [1 / 2, "8"], [1 / 4, "6"], [1 / 8, "3"]].map(([quarters, key]) => ({ head: quarters * QUARTER, key }));
const ALTER_BUTTONS = [[-2, "♭♭", "Double flat"], [-1, "♭", "Flat"], [0, "♮", "Natural"], [1, "♯", "Sharp"], [2, "×", "Double sharp"]];

// `act(name, argument)` does what a button says.
function staffTools(staff, act) {
  const button = (content, name, action, argument, key) => {
    const made = element("button", { type: "button", class: "mtnb-button mtnb-staff-button", "aria-label": typeof content === "string" && content === name ? null : name, title: key ? `${name} (${key})` : name, "aria-keyshortcuts": key || null }, content);
    made.addEventListener("click", () => act(action, argument));
    return made;
  };
  const group = (name, ...buttons) => {
    const made = element("div", { class: "mtnb-staff-group", role: "group", "aria-label": name });
    made.append(...buttons);
    return made;
  };
  const capital = (text) => text[0].toUpperCase() + text.slice(1);
  const values = VALUE_KEYS.map(({ head, key }) => {
    const made = button(noteIcon(head), capital(HEADS.find((each) => each.ticks === head).name), "head", head, key);
    made.dataset.head = head;
    return made;
  });
  const dot = button("Dot", "Dot", "dot", null, ".");
  const triplet = button("Triplet", "Triplet", "triplet", null, "U");
  const rest = button("Rest", "Rest", "rest", null, "R");
  const tie = button("Tie", "Tie", "tie", null, "T");
  const alters = ALTER_BUTTONS.map(([alter, sign, name]) => button(element("span", { class: "mtnb-staff-sign", "aria-hidden": "true" }, sign), name, "alter", alter));
  const insert = button("Insert before", "Insert before", "insert", null, "I");
  const remove = button("Delete", "Delete", "delete", null, "Backspace");
  const undo = button("Undo", "Undo", "undo", null, "Z");
  const clear = button("Clear", "Clear", "clear");
  const root = element("div", { class: "mtnb-staff-tools" });
  if (!staff.pitches_only) root.append(group("Note value", ...values, dot, triplet), group("Rests and ties", rest, tie));
  root.append(group("Accidental of the note", ...alters), group("Corrections", insert, remove, undo, clear));
  return {
    root,
    paint({ value, alter, hasNote, selected, canUndo, empty }) {
      const off = (node, is) => (is ? node.setAttribute("aria-disabled", "true") : node.removeAttribute("aria-disabled"));
      values.forEach((each) => each.setAttribute("aria-pressed", String(Number(each.dataset.head) === value.head)));
      dot.setAttribute("aria-pressed", String(value.dots > 0));
      dot.textContent = value.dots === 2 ? "2 dots" : "Dot";
      dot.setAttribute("aria-label", value.dots === 2 ? "Double dot" : "Dot");
      triplet.setAttribute("aria-pressed", String(value.tuplet === 3));
      alters.forEach((each, at) => {
        each.setAttribute("aria-pressed", String(hasNote && ALTER_BUTTONS[at][0] === alter));
        off(each, !hasNote);
      });
      off(tie, !hasNote);
      off(insert, !selected);
      off(remove, empty);
      off(clear, empty);
      off(undo, !canUndo);
    },
  };
}
