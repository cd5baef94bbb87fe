// The keys of a MIDI keyboard (Web MIDI of the W3C), where the student connects one. The page has one; what is played on it goes
// to the widget that asked last, and to the next one when that is done.

const NO_MIDI_KEYBOARD = "No MIDI keyboard is connected yet. Plug one in: it is found by itself.";

function midiStage() {
  const key = Symbol.for("musictheory_nb.midi_stage");
  globalThis[key] ??= makeMidiStage(); // shared by all widgets of the page
  return globalThis[key];
}

function makeMidiStage() {
  const stage = new EventTarget(); // tells "changed"
  const held = new Set();
  let access = null;
  let listener = null; // { played }
  const told = () => stage.dispatchEvent(new Event("changed"));
  const inputs = () => (access ? [...access.inputs.values()].filter((input) => input.state !== "disconnected") : []);
  function message({ data: [status, key, velocity] }) {
    const kind = status & 0xf0;
    if (kind === 0x90 && velocity > 0) {
      held.add(key);
      listener?.played(key, held.size);
    } else if (kind === 0x80 || kind === 0x90) held.delete(key); // a note-on without velocity is a note-off
  }
  function attach() {
    inputs().forEach((input) => (input.onmidimessage = message));
    told();
  }
  return Object.assign(stage, {
    isOpen: () => access !== null,
    names: () => inputs().map((input) => input.name || "a MIDI keyboard"),
    hears: (who) => listener === who,
    isFree: () => listener === null,
    async open() {
      if (access) return;
      access = await navigator.requestMIDIAccess();
      access.onstatechange = attach;
      attach();
    },
    listen(who) {
      listener = who;
      told();
    },
    leave(who) {
      if (listener !== who) return;
      listener = null;
      told();
    },
  });
}

// The button of a widget, and what it says. `played(midi, held)` is told each key, with how many are held down.
function midiKeyboard(model, frame, played) {
  const stage = midiStage();
  const who = { played: (key, held) => !model.get("locked") && played(key, held) };
  const button = element("button", { type: "button", class: "mtnb-button", "aria-pressed": "false" }, "Use a MIDI keyboard");
  const told = element("span", { class: "mtnb-quiet", "aria-live": "polite" });
  const root = element("span", { class: "mtnb-line" }, button, told);
  function paint() {
    const locked = model.get("locked");
    if (locked) stage.leave(who);
    const on = stage.hears(who);
    root.hidden = locked || !navigator.requestMIDIAccess;
    button.setAttribute("aria-pressed", String(on));
    button.textContent = on ? "MIDI keyboard: on" : "Use a MIDI keyboard";
    const names = stage.names();
    told.textContent = !on ? "" : names.length ? `What you play on ${names.join(", ")} is entered here.` : NO_MIDI_KEYBOARD;
  }
  button.addEventListener("click", async () => {
    frame.report("");
    if (stage.hears(who)) return stage.leave(who);
    try {
      await stage.open();
      stage.listen(who);
    } catch (error) {
      frame.report(`The browser does not give the MIDI keyboard to this page (${error?.name ?? "Error"}). Allow it with the sign beside the page's address, or use the keys on the screen.`);
    }
  });
  stage.addEventListener("changed", paint);
  if (stage.isOpen() && stage.isFree() && !model.get("locked")) stage.listen(who); // the next question
  frame.close.push(follow(model, { locked: paint }), () => {
    stage.removeEventListener("changed", paint);
    stage.leave(who);
  });
  paint();
  return root;
}
