// What every widget of a lesson needs of the page: elements, a line for problems, and keys kept from JupyterLab.

function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    made.setAttribute(name, value === true ? "" : String(value));
  }
  made.append(...children);
  return made;
}

let idsGiven = 0;
function freshId() {
  return `mtnb-${Math.random().toString(36).slice(2, 8)}-${++idsGiven}`;
}

// JupyterLab reads bare keys as commands ("x" cuts a cell). Inside a widget they are ours, except Tab and Escape.
// Keys with Ctrl, Alt or Cmd still reach JupyterLab, so that saving works from everywhere.
function isOurs(event) {
  if (event.ctrlKey || event.altKey || event.metaKey) return false;
  if (event.key === "Tab" || event.key === "Escape") return false;
  return !(event.key === "Enter" && event.shiftKey); // that runs the cell
}

function keepKeys(root) {
  root.addEventListener("keydown", (event) => isOurs(event) && event.stopPropagation());
  keepKeysFromTheFirst();
}

// Notebook 7 reads keys before they come to a widget. It leaves out what bears its sign, which stands there only while
// one of our keys is on its way, so that all other keys still reach it.
const LEFT_OUT = "data-lm-suppress-shortcuts";
function keepKeysFromTheFirst() {
  const key = Symbol.for("musictheory_nb.keys_kept");
  if (globalThis[key]) return;
  globalThis[key] = true;
  window.addEventListener(
    "keydown",
    (event) => {
      const target = event.target;
      if (!target?.closest?.(".mtnb") || !isOurs(event) || target.hasAttribute(LEFT_OUT)) return;
      target.setAttribute(LEFT_OUT, "true");
      setTimeout(() => target.removeAttribute(LEFT_OUT));
    },
    true,
  );
}

// Follow model changes; the function that is returned ends it.
function follow(model, handlers) {
  for (const [name, handler] of Object.entries(handlers)) model.on(`change:${name}`, handler);
  return () => {
    for (const [name, handler] of Object.entries(handlers)) model.off(`change:${name}`, handler);
  };
}

const NO_REPLY =
  "The notebook's kernel has not answered. It is busy with another cell, or it has stopped: then choose Run All Cells " +
  "in the menu Run. Answers given before are kept.";
const REPLY_WITHIN_MS = 8000;
const framesOf = new WeakMap();

// The frame of a widget: its root, its line for problems, and `close` to be called when the view goes.
function lessonWidget(model, el, name) {
  const root = element("div", { class: `mtnb mtnb-${name}` });
  const problem = element("div", { class: "mtnb-problem", role: "alert" });
  const own = { text: "" }; // a problem that the browser found
  let late = 0;
  const paint = () => {
    problem.textContent = own.text || model.get("problem");
  };
  const paintSaved = () => root.toggleAttribute("data-unsaved", model.get("edit") !== model.get("seen"));
  const unfollow = follow(model, { problem: paint, edit: paintSaved, seen: paintSaved });
  keepKeys(root);
  el.append(root);
  const frame = {
    root,
    problem,
    report(text) {
      own.text = text;
      paint();
    },
    // Python answers what is asked of it. Where nothing comes, the student is told, and not left with a dead button.
    awaitReply(isThere, tooLate = () => {}) {
      clearTimeout(late);
      late = setTimeout(() => {
        if (isThere()) return;
        tooLate();
        frame.report(NO_REPLY);
      }, REPLY_WITHIN_MS);
    },
    replied() {
      clearTimeout(late);
      if (own.text === NO_REPLY) frame.report("");
    },
    close: [unfollow, () => clearTimeout(late)],
    end: () => frame.close.forEach((each) => each()),
  };
  framesOf.set(model, frame);
  paint();
  return frame;
}

// What the page sends when the kernel is gone fails in JupyterLab: that is told in the widget.
function toKernel(model, send) {
  try {
    send();
  } catch {
    framesOf.get(model)?.report(NO_REPLY);
  }
}

function set(model, values) {
  for (const [name, value] of Object.entries(values)) model.set(name, value);
  model.set("edit", model.get("edit") + 1);
  toKernel(model, () => model.save_changes());
}

function same(one, other) {
  return JSON.stringify(one) === JSON.stringify(other);
}
