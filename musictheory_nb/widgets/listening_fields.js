// The fields for how a sound is heard: each only where it is offered. `changed` is called with the options after a change.

function listeningFields(model, changed) {
  const root = element("details", { class: "mtnb-how" }, element("summary", {}, "How it sounds"));
  const body = element("div", { class: "mtnb-how-fields" });
  root.append(body);
  const options = () => model.get("options");
  const offers = (name) => model.get("offers").includes(name);
  const option = (name, otherwise) => options()[name] ?? otherwise;
  let own = ""; // options that were set here: the fields show them already, and keep the focus
  const put = (values) => {
    const wanted = { ...options(), ...values };
    own = JSON.stringify(wanted);
    changed(wanted);
  };

  function pick(name, text, rows, value, read) {
    const field = element("select", { class: "mtnb-field", id: freshId() });
    field.append(...rows.map(([each, label]) => element("option", { value: each }, label)));
    field.value = String(value);
    field.addEventListener("change", () => put({ [name]: read(field.value) }));
    return element("span", { class: "mtnb-how-field" }, element("label", { for: field.id }, text), field);
  }
  function tick(name, text) {
    const box = element("input", { type: "checkbox" });
    box.checked = Boolean(option(name, false));
    box.addEventListener("change", () => put({ [name]: box.checked }));
    return element("label", { class: "mtnb-tick" }, box, text);
  }
  function tempo() {
    const field = element("input", { type: "range", min: 25, max: 150, step: 5, id: freshId() });
    const text = element("span", { class: "mtnb-how-tempo", "aria-hidden": "true" });
    const say = () => {
      const beat = model.get("quarters_a_minute");
      const rate = beat ? `, ♩ = ${Math.round((beat * Number(field.value)) / 100)}` : "";
      text.textContent = `${field.value} %${rate}`;
      field.setAttribute("aria-valuetext", `${field.value} percent${beat ? `, ${Math.round((beat * Number(field.value)) / 100)} quarter notes a minute` : ""}`);
    };
    field.value = String(option("percent", 100));
    say();
    field.addEventListener("input", say);
    field.addEventListener("change", () => put({ percent: Number(field.value) }));
    return element("span", { class: "mtnb-how-field" }, element("label", { for: field.id }, "Tempo"), field, text);
  }
  function parts() {
    const rows = model.get("parts");
    const chosen = option("parts", []);
    const boxes = rows.map(([index]) => {
      const box = element("input", { type: "checkbox", value: index });
      box.checked = !chosen.length || chosen.includes(index);
      return box;
    });
    boxes.forEach((box) =>
      box.addEventListener("change", () => {
        const left = boxes.filter((each) => each.checked).map((each) => Number(each.value));
        if (!left.length) box.checked = true; // one part at least sounds
        else put({ parts: left.length === rows.length ? [] : left });
      }),
    );
    const labels = boxes.map((box, at) => element("label", { class: "mtnb-tick" }, box, rows[at][1]));
    return element("fieldset", { class: "mtnb-how-parts" }, element("legend", {}, "Parts that sound"), ...labels);
  }
  function paint() {
    const fields = [];
    if (offers("parts") && model.get("parts").length > 1) fields.push(parts());
    if (offers("tempo")) fields.push(tempo());
    if (offers("count-in")) fields.push(tick("count_in", "Count-in"));
    if (offers("metronome")) fields.push(tick("metronome", "Metronome"));
    if (offers("drone")) fields.push(pick("drone", "Drone", model.get("drones"), option("drone", ""), String));
    if (offers("timbre")) fields.push(pick("timbre", "Timbre", model.get("timbres"), option("timbre", ""), String));
    if (offers("register") && model.get("registers").length > 1)
      fields.push(pick("octaves", "Register", model.get("registers"), option("octaves", 0), Number));
    root.hidden = !fields.length;
    body.replaceChildren(...fields);
  }
  paint();
  return { root, paint, repaint: () => JSON.stringify(options()) === own || paint() };
}
