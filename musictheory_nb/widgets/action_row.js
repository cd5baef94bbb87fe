// A row of buttons. One message to Python a press; focus moves only on request and only inside the same output.
function render({ model, el }) {
  const row = document.createElement("div");
  row.className = "mtnb-actions";
  row.setAttribute("role", "group");
  const message = document.createElement("div");
  message.className = "mtnb-actions-message";
  message.setAttribute("role", "alert");
  el.append(row, message);

  // The static stand-in beside a live exercise is for readers without a kernel: hide it while the exercise lives.
  const hideStandIn = () => {
    const area = el.closest(".jp-OutputArea");
    if (!area) return false;
    area.querySelectorAll(".mtnb-standin").forEach((standIn) => {
      (standIn.closest(".jp-OutputArea-child") || standIn).hidden = true;
      standIn.hidden = true;
    });
    return true;
  };
  requestAnimationFrame(() => hideStandIn() || setTimeout(hideStandIn, 300));

  const buttons = new Map();
  function paint() {
    row.setAttribute("aria-label", model.get("label"));
    const wanted = model.get("actions");
    const ids = wanted.map((action) => action.id);
    for (const [id, button] of buttons) {
      if (!ids.includes(id)) {
        button.remove();
        buttons.delete(id);
      }
    }
    wanted.forEach((action) => {
      let button = buttons.get(action.id);
      if (!button) {
        button = document.createElement("button");
        button.type = "button";
        button.addEventListener("click", () => {
          if (button.getAttribute("aria-disabled") === "true") return;
          model.send({ action: action.id });
        });
        button.addEventListener("keydown", (event) => {
          if (event.key === "Enter" || event.key === " ") event.stopPropagation();
        });
        buttons.set(action.id, button);
        row.append(button); // once: moving a button would take the focus from it
      }
      button.textContent = action.label;
      button.className = action.primary ? "mtnb-action mtnb-action-primary" : "mtnb-action";
      button.setAttribute("aria-disabled", String(!action.enabled));
    });
    message.textContent = model.get("problem");
    hideStandIn();
  }
  function moveFocus() {
    const area = el.closest(".jp-OutputArea") || el.parentElement;
    const id = model.get("focus_request")[1];
    if (!buttons.has(id)) return;
    const active = document.activeElement;
    if (active && active !== document.body && area && !area.contains(active)) return;
    if (active === document.body || !active) return;
    buttons.get(id).focus({ preventScroll: true });
  }
  model.on("change:actions", paint);
  model.on("change:label", paint);
  model.on("change:problem", paint);
  model.on("change:focus_request", moveFocus);
  paint();
  return () => {
    model.off("change:actions", paint);
    model.off("change:label", paint);
    model.off("change:problem", paint);
    model.off("change:focus_request", moveFocus);
  };
}
export default { render };
