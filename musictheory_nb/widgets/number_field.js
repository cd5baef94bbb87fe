// A field for a whole number, with a button to go down and one to go up.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "number");
  const field = element("input", { type: "text", inputmode: "numeric", class: "mtnb-field mtnb-entry-number", size: 4, maxlength: 8, autocomplete: "off" });
  const unit = element("span", {});
  const down = element("button", { type: "button", class: "mtnb-button", "aria-label": "One less" }, "−");
  const up = element("button", { type: "button", class: "mtnb-button", "aria-label": "One more" }, "+");
  const range = element("span", { class: "mtnb-quiet", id: freshId() });
  const verdict = element("p", { class: "mtnb-entry-verdict", role: "status" });
  const line = element("div", { class: "mtnb-line" }, field, unit, down, up, range);
  frame.root.append(line, verdict, frame.problem);
  field.setAttribute("aria-describedby", range.id);
  const bounds = () => [model.get("low"), model.get("high")];

  function enter(text) {
    if (model.get("locked")) return;
    const [low, high] = bounds();
    const plain = text.trim().replace("−", "-");
    if (plain === "" || plain === "-") return set(model, { value: [] });
    const ok = /^-?\d+$/.test(plain) && Number(plain) >= low && Number(plain) <= high;
    field.setAttribute("aria-invalid", String(!ok));
    frame.report(ok ? "" : `“${text}” does not fit here: write a whole number from ${low} to ${high}.`);
    set(model, { value: ok ? [Number(plain)] : [] });
  }
  function change(by) {
    const [low, high] = bounds();
    const now = model.get("value")[0];
    frame.report("");
    set(model, { value: [now === undefined ? Math.max(low, Math.min(high, 0)) : Math.max(low, Math.min(high, now + by))] });
    field.value = model.get("value")[0];
  }
  function paint() {
    const [low, high] = bounds();
    const [value, right, locked] = [model.get("value"), model.get("right"), model.get("locked")];
    field.setAttribute("aria-label", `${model.get("label") || "Number"}${model.get("unit") ? `, in ${model.get("unit")}` : ""}`);
    unit.textContent = model.get("unit");
    range.textContent = `${low} to ${high}`;
    field.readOnly = locked;
    down.hidden = up.hidden = range.hidden = locked;
    if (locked || field !== document.activeElement) field.value = value[0] ?? "";
    const hit = right.length && value[0] === right[0];
    verdict.textContent = !right.length ? "" : hit ? "✓ Right." : `${value.length ? "✗ Not right. " : ""}→ Right answer: ${right[0]}${model.get("unit") ? ` ${model.get("unit")}` : ""}.`;
  }
  field.addEventListener("input", () => enter(field.value));
  field.addEventListener("keydown", (event) => {
    if (model.get("locked") || !["ArrowUp", "ArrowDown"].includes(event.key)) return;
    event.preventDefault();
    change(event.key === "ArrowUp" ? 1 : -1);
  });
  down.addEventListener("click", () => change(-1));
  up.addEventListener("click", () => change(1));
  frame.close.push(follow(model, { low: paint, high: paint, unit: paint, label: paint, value: paint, locked: paint, right: paint }));
  paint();
  return frame.end;
}
export default { render };
