// A row of buttons. One message to Python a press; focus moves only on request and only inside the same output.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "actions");
  const row = element("div", { class: "mtnb-line", role: "group" });
  frame.root.append(row, frame.problem);
  const buttons = new Map();

  // The static stand-in beside a live exercise is for readers without a kernel: hide it while the exercise lives.
  function hideStandIns() {
    el.closest(".jp-OutputArea")
      ?.querySelectorAll(".mtnb-standin")
      .forEach((standIn) => {
        (standIn.closest(".jp-OutputArea-child") ?? standIn).style.display = "none";
      });
  }
  function made(action) {
    const button = element("button", { type: "button" });
    button.addEventListener("click", () => {
      if (button.getAttribute("aria-disabled") !== "true") model.send({ action: action.id });
    });
    buttons.set(action.id, button);
    row.append(button); // once: moving a button would take the focus from it
    return button;
  }
  function paint() {
    const actions = model.get("actions");
    row.setAttribute("aria-label", model.get("label"));
    for (const action of actions) {
      const button = buttons.get(action.id) ?? made(action);
      button.textContent = action.label;
      button.className = action.primary ? "mtnb-button mtnb-button-main" : "mtnb-button";
      button.setAttribute("aria-disabled", String(!action.enabled));
    }
    hideStandIns();
  }
  function moveFocus() {
    const area = el.closest(".jp-OutputArea");
    if (area?.contains(document.activeElement)) buttons.get(model.get("focus_request")[1])?.focus();
  }
  frame.close.push(follow(model, { actions: paint, label: paint, focus_request: moveFocus }));
  paint();
  const late = [0, 200, 1000].map((wait) => setTimeout(hideStandIns, wait)); // after the output is in the page
  frame.close.push(() => late.forEach(clearTimeout));
  return frame.end;
}
export default { render };
