// A field for chord symbols, numerals and the like. Python reads what is written; the reading stands below in words.

const EXTRA_SIGNS = { chord: "♯♭°øΔ", numeral: "♯♭°ø+", figures: "♯♭♮/+", scale: "♯♭", pitches: "♯♭", interval: "" };
const SIGN_NAMES = { "♯": "sharp", "♭": "flat", "♮": "natural", "°": "diminished", "ø": "half-diminished", "Δ": "major seventh", "+": "plus", "/": "slash" };

function render({ model, el }) {
  const frame = lessonWidget(model, el, "symbol");
  const hint = element("span", { id: freshId() });
  const read = element("p", { class: "mtnb-entry-read", role: "status", id: freshId() });
  const field = element("input", {
    type: "text", class: "mtnb-field mtnb-entry-symbol", maxlength: model.get("most"), autocomplete: "off", autocapitalize: "off", spellcheck: "false",
    "aria-describedby": hint.id,
  });
  const signs = element("span", { class: "mtnb-line", role: "group", "aria-label": "Signs to insert" });
  const quiet = element("p", { class: "mtnb-quiet" }, hint);
  const verdict = element("p", { class: "mtnb-entry-verdict" });
  frame.root.append(element("div", { class: "mtnb-line" }, field, signs), quiet, read, verdict, frame.problem);

  for (const sign of EXTRA_SIGNS[model.get("reads")] ?? "") {
    const button = element("button", { type: "button", class: "mtnb-button", "aria-label": `Insert the sign ${SIGN_NAMES[sign]}` }, sign);
    button.addEventListener("click", () => {
      if (model.get("locked")) return;
      field.setRangeText(sign, field.selectionStart, field.selectionEnd, "end");
      field.focus();
      send();
    });
    signs.append(button);
  }
  function send() {
    set(model, { value: field.value.trim() ? [field.value] : [] });
  }
  function paint() {
    const [value, locked, right, reading] = ["value", "locked", "right", "reading"].map((each) => model.get(each));
    field.setAttribute("aria-label", model.get("label") || "Your answer");
    hint.textContent = model.get("hint");
    quiet.hidden = signs.hidden = locked;
    field.readOnly = locked;
    if (locked || field !== document.activeElement) field.value = value[0] ?? "";
    const current = reading.text === (value[0] ?? "");
    const said = !current || !reading.text ? "" : reading.problem
      ? `Not read yet: ${reading.problem}.`.replace(/\.\.$/, ".")
      : `Read as ${reading.display === reading.words ? "" : `${reading.display}: `}${reading.words}.`;
    field.setAttribute("aria-invalid", String(Boolean(current && reading.problem)));
    if (read.textContent !== said && (current || !value.length)) read.textContent = said;
    const hit = value.length && right.includes(value[0].trim());
    verdict.textContent = !right.length ? "" : hit ? "✓ Right." : `→ Right answer: ${model.get("right_words")}`;
  }
  field.addEventListener("input", send);
  field.addEventListener("blur", paint);
  frame.close.push(
    follow(model, { hint: paint, label: paint, value: paint, reading: paint, locked: paint, right: paint, right_words: paint }),
  );
  paint();
  return frame.end;
}
export default { render };
