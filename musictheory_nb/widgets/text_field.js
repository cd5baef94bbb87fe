// A field for free text of several lines.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "text");
  const field = element("textarea", { class: "mtnb-entry-text" });
  const room = element("p", { class: "mtnb-quiet", id: freshId() });
  const told = element("span", { class: "mtnb-unseen", role: "status" });
  const modelAnswer = element("p", { class: "mtnb-entry-verdict" });
  frame.root.append(field, room, told, modelAnswer, frame.problem);
  field.setAttribute("aria-describedby", room.id);
  function send() {
    if (model.get("locked")) return;
    set(model, { value: field.value.trim() ? [field.value] : [] });
  }
  function count() {
    const left = model.get("most") - [...field.value.trim()].length;
    room.textContent = left >= 0 ? `Room for ${left} more characters.` : `${-left} characters too many: please shorten.`;
    field.setAttribute("aria-invalid", String(left < 0));
    const near = left < 50 ? room.textContent : "";
    if (told.textContent !== near) told.textContent = near;
  }
  function paint() {
    const [value, right, locked] = [model.get("value"), model.get("right"), model.get("locked")];
    field.setAttribute("aria-label", model.get("label") || "Your answer in words");
    field.rows = model.get("lines");
    field.readOnly = locked;
    room.hidden = locked;
    if (locked || field !== document.activeElement) field.value = value[0] ?? "";
    modelAnswer.textContent = right.length ? `→ A model answer: ${right[0]}` : "";
    count();
  }
  field.addEventListener("input", () => {
    count();
    send();
  });
  field.addEventListener("blur", paint);
  frame.close.push(follow(model, { most: paint, lines: paint, label: paint, value: paint, locked: paint, right: paint }));
  paint();
  return frame.end;
}
export default { render };
