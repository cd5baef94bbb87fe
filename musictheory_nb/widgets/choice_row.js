// Choices in a row that wraps. Arrow keys move, Enter or Space chooses, a digit chooses at once.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "choices");
  const row = element("div", { class: "mtnb-line mtnb-choice-row" });
  const howMany = element("span", {}, "Any number may be chosen. ");
  const keysHint = element("span", { class: "mtnb-choice-keys" });
  const hint = element("p", { class: "mtnb-quiet", id: freshId() }, howMany, keysHint);
  frame.root.append(row, hint, frame.problem);
  let buttons = [];

  const digitOf = (index) => (index < 9 ? String(index + 1) : index === 9 ? "0" : "");

  function choose(index) {
    if (model.get("locked")) return;
    const values = model.get("options").map((option) => option.value);
    const chosen = values[index];
    const before = model.get("value");
    let after = [chosen];
    if (model.get("many")) {
      after = values.filter((value) => (value === chosen ? !before.includes(value) : before.includes(value)));
    }
    set(model, { value: after });
  }

  // After marking, words stand under a choice: what it was.
  function verdictOf(value) {
    const right = model.get("right");
    if (!right.length) return null;
    const given = model.get("given");
    const was = (given.length ? given : model.get("value")).includes(value);
    if (was && right.includes(value)) return ["✓", "your answer, right"];
    if (was) return ["✗", "your answer, not right"];
    return right.includes(value) ? ["→", "right answer"] : null;
  }

  function build() {
    const many = model.get("many");
    row.setAttribute("role", many ? "group" : "radiogroup");
    buttons = model.get("options").map((option, index) => {
      const digit = digitOf(index);
      const button = element(
        "button",
        { type: "button", role: many ? "checkbox" : "radio", class: "mtnb-button mtnb-choice", "aria-keyshortcuts": digit || null },
        element(
          "span",
          { class: "mtnb-choice-face" },
          element("span", { class: "mtnb-choice-digit", "aria-hidden": "true" }, digit),
          element("span", { class: many ? "mtnb-choice-box" : "mtnb-choice-dot", "aria-hidden": "true" }),
          element("span", { class: "mtnb-choice-label" }, option.label),
        ),
        element("span", { class: "mtnb-choice-verdict", "aria-hidden": "true" }),
      );
      button.addEventListener("click", () => choose(index));
      return button;
    });
    row.replaceChildren(...buttons);
    const digits = Math.min(buttons.length, 10);
    const to = digits === 10 ? "1 to 9 and 0" : `1 to ${digits}`;
    howMany.hidden = !many;
    keysHint.textContent = `Keys: ${digits > 1 ? to : "1"} choose at once; arrow keys or a first letter move, Enter chooses.`;
    row.setAttribute("aria-describedby", hint.id);
    paint();
  }

  function paint() {
    row.setAttribute("aria-label", model.get("label") || "Choices");
    const value = model.get("value");
    const locked = model.get("locked");
    hint.hidden = locked;
    const options = model.get("options");
    const stopAt = Math.max(0, options.findIndex((option) => value.includes(option.value)));
    const focused = buttons.indexOf(document.activeElement);
    buttons.forEach((button, index) => {
      const option = options[index];
      const verdict = verdictOf(option.value);
      const words = option.spoken || option.label;
      button.setAttribute("aria-checked", String(value.includes(option.value)));
      button.setAttribute("aria-label", verdict ? `${words}: ${verdict[1]}` : words);
      if (locked) button.setAttribute("aria-disabled", "true");
      else button.removeAttribute("aria-disabled");
      button.tabIndex = index === (focused < 0 ? stopAt : focused) ? 0 : -1;
      button.classList.toggle("mtnb-choice-marked", verdict !== null);
      button.querySelector(".mtnb-choice-verdict").textContent = verdict ? `${verdict[0]} ${verdict[1]}` : "";
    });
  }

  rovingFocus(row, () => buttons);
  row.addEventListener("focusout", (event) => row.contains(event.relatedTarget) || requestAnimationFrame(paint));
  row.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.key.length !== 1) return;
    const at = buttons.findIndex((_button, index) => digitOf(index) === event.key);
    if (at >= 0) {
      focusOn(buttons, at);
      choose(at);
      return;
    }
    // A letter goes to the next choice whose label begins so, in the same case where there is one.
    const from = buttons.indexOf(document.activeElement);
    const labels = model.get("options").map((option) => option.label);
    const order = labels.map((_label, step) => (from + 1 + step) % labels.length);
    const next =
      order.find((index) => labels[index].startsWith(event.key)) ??
      order.find((index) => labels[index].toLowerCase().startsWith(event.key.toLowerCase()));
    if (event.key !== " " && next !== undefined) focusOn(buttons, next);
  });

  frame.close.push(
    follow(model, { options: build, many: build, label: paint, value: paint, locked: paint, right: paint, given: paint }),
  );
  build();
  return frame.end;
}
export default { render };
