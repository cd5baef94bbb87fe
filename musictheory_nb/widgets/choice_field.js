// A field with a list of options. Its keys stay in it.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "field-line");
  const field = element("select", { class: "mtnb-field", id: freshId() });
  const label = element("label", { for: field.id });
  frame.root.append(element("div", { class: "mtnb-line" }, label, field), frame.problem);

  function paint() {
    const options = model.get("options");
    label.textContent = model.get("label");
    if (field.options.length !== options.length || options.some((text, index) => field.options[index].text !== text)) {
      field.replaceChildren(...options.map((text, index) => element("option", { value: index }, text)));
    }
    field.value = String(model.get("value"));
  }
  field.addEventListener("change", () => set(model, { value: Number(field.value) }));
  frame.close.push(follow(model, { options: paint, value: paint, label: paint }));
  paint();
  return frame.end;
}
export default { render };
