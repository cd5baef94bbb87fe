// A row of buttons. One message to Python a press; focus moves only on request and only inside the same output.

function render({ model, el }) {
  const frame = lessonWidget(model, el, "actions");
  const row = element("div", { class: "mtnb-line", role: "group" });
  const news = element("div", { class: "mtnb-unseen", role: "status" });
  frame.root.append(row, news, frame.problem);
  const buttons = new Map();
  let presses = model.get("handled");
  let waiting = 0;

  // The static stand-in beside a live exercise is for readers without a kernel: hide it while the exercise lives.
  function hideStandIns() {
    el.closest(".jp-OutputArea")
      ?.querySelectorAll(".mtnb-standin")
      .forEach((standIn) => {
        (standIn.closest(".jp-OutputArea-child") ?? standIn).style.display = "none";
      });
  }
  // What was entered must be in Python before the press is: a button waits for inputs whose changes are on their way.
  function send(press) {
    clearTimeout(waiting);
    if (el.closest(".mtnb-exercise")?.querySelector("[data-unsaved]")) waiting = setTimeout(() => send(press), 20);
    else toKernel(model, () => model.send(press));
  }
  function made(action) {
    const button = element("button", { type: "button" });
    button.addEventListener("click", () => {
      if (button.getAttribute("aria-disabled") === "true") return;
      presses += 1;
      frame.awaitReply(() => model.get("handled") === presses);
      send({ action: action.id, press: presses });
    });
    buttons.set(action.id, button);
    row.append(button); // once: moving a button would take the focus from it
    return button;
  }
  function paint() {
    const actions = model.get("actions");
    row.setAttribute("aria-label", model.get("label"));
    for (const [id, button] of buttons) {
      if (actions.some((action) => action.id === id)) continue;
      button.remove();
      buttons.delete(id);
    }
    for (const action of actions) {
      const button = buttons.get(action.id) ?? made(action);
      button.textContent = action.label;
      button.className = action.primary ? "mtnb-button mtnb-button-main" : "mtnb-button";
      button.setAttribute("aria-disabled", String(!action.enabled));
    }
    hideStandIns();
  }
  function moveFocus() {
    const exercise = el.closest(".mtnb-exercise") ?? el;
    if (!exercise.contains(document.activeElement)) return;
    const wanted = model.get("focus_request")[1];
    if (wanted !== "start") return void buttons.get(wanted)?.focus();
    // a new question begins at its first control, which may still be on its way into the page; not for a student who is there already
    const isHere = () => row.contains(document.activeElement);
    if (isHere()) setTimeout(() => isHere() && exercise.querySelector("button, select, [tabindex='0']")?.focus(), 60);
  }
  function tellNews() {
    news.textContent = model.get("news");
  }
  frame.close.push(follow(model, { actions: paint, label: paint, focus_request: moveFocus, news: tellNews, handled: () => frame.replied() }));
  paint();
  const late = [0, 200, 1000].map((wait) => setTimeout(hideStandIns, wait)); // after the output is in the page
  frame.close.push(() => [...late, waiting].forEach(clearTimeout));
  return frame.end;
}
export default { render };
