// A line's notes in a row; under each a field with the roles to choose from.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "roles");
  const list = element("ol", { class: "mtnb-role-list" });
  const left = element("p", { class: "mtnb-quiet", role: "status" });
  frame.root.append(list, left, frame.problem);
  let fields = [];

  const labelOf = (role) => model.get("roles").find((each) => each.value === role)?.label ?? role;
  function build() {
    const notes = model.get("notes");
    fields = notes.map((note, index) => {
      const select = element("select", { class: "mtnb-field", "aria-label": `Role of note ${index + 1}${note === String(index + 1) ? "" : `, ${note}`}` });
      select.append(element("option", { value: "" }, "choose …"));
      for (const role of model.get("roles")) select.append(element("option", { value: role.value }, role.label));
      select.addEventListener("change", () => {
        if (model.get("locked")) return paint();
        const chosen = fields.map((field) => field.value);
        set(model, { value: chosen.some(Boolean) ? chosen : [] });
      });
      return select;
    });
    list.replaceChildren(
      ...fields.map((select, index) => {
        const own = element("span", { class: "mtnb-role-own" });
        const verdict = element("span", { class: "mtnb-role-verdict" });
        const number = element("span", { class: "mtnb-role-number" }, `${index + 1}.`);
        const name = notes[index] === String(index + 1) ? "" : notes[index];
        return element("li", {}, element("span", { class: "mtnb-role-note", "aria-hidden": "true" }, number, " ", name), select, own, verdict);
      }),
    );
    paint();
  }
  function paint() {
    const [value, right, locked] = [model.get("value"), model.get("right"), model.get("locked")];
    list.setAttribute("aria-label", model.get("label") || "Notes and their roles");
    fields.forEach((select, index) => {
      const own = value[index] ?? "";
      if (select.value !== own) select.value = own;
      select.hidden = locked;
      const [ownLine, verdict] = [select.nextElementSibling, select.nextElementSibling.nextElementSibling];
      ownLine.textContent = locked ? labelOf(own) || "no role" : "";
      const note = model.get("notes")[index];
      list.children[index].setAttribute("aria-label", locked ? `Note ${index + 1}, ${note}` : "");
      if (!locked) list.children[index].removeAttribute("aria-label");
      if (!right.length) verdict.textContent = "";
      else verdict.textContent = own === right[index] ? "✓ right" : `✗ → ${labelOf(right[index])}`;
    });
    const open = fields.length - value.filter(Boolean).length;
    left.hidden = locked;
    left.textContent = open ? `${open === 1 ? "1 note has" : `${open} notes have`} no role yet.` : "Every note has its role.";
  }
  frame.close.push(follow(model, { notes: build, roles: build, label: paint, value: paint, locked: paint, right: paint }));
  build();
  return frame.end;
}
export default { render };
