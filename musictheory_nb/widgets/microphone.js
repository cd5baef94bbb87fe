// An answer sung or played to the microphone. The browser records; Python finds the notes.

const HERE = ["localhost", "127.0.0.1", "[::1]", ""];
// What is done to speech would bend tones.
const PLAIN_SOUND = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };

function whereItGoes() {
  const host = globalThis.location?.hostname ?? "";
  return HERE.includes(host)
    ? "The recording goes from the browser to the notebook on this computer. Nothing leaves the computer"
    : `This notebook runs on ${host}: the recording goes there, and nowhere else`;
}

function microphoneProblem(error) {
  const said = {
    NotAllowedError: "The browser may not use the microphone. Allow it with the sign beside the page's address, or answer in another way.",
    NotFoundError: "No microphone was found. Plug one in and press the button again, or answer in another way.",
    NotReadableError: "Another program uses the microphone. Close it there and press the button again.",
  };
  return said[error?.name] ?? `The microphone failed (${error?.name ?? "Error"}: ${error?.message ?? error}). Answer in another way.`;
}

function render({ model, el }) {
  const stage = soundStage();
  const frame = lessonWidget(model, el, "microphone");
  const hint = element("p", { class: "mtnb-quiet", id: freshId() });
  const record = element("button", { type: "button", class: "mtnb-button", "aria-describedby": hint.id }, "Record");
  const hear = element("button", { type: "button", class: "mtnb-button" }, "Hear my recording");
  const clear = element("button", { type: "button", class: "mtnb-button" }, "Clear");
  const keep = element("input", { type: "checkbox" });
  const keepTick = element("label", { class: "mtnb-tick" }, keep, "My teacher may hear this recording");
  const level = element("div", { class: "mtnb-microphone-level", "aria-hidden": "true" }, element("span", {}));
  const now = element("p", { role: "status", class: "mtnb-microphone-now" });
  const told = element("p", { role: "status", class: "mtnb-microphone-told" });
  const right = element("p", { class: "mtnb-microphone-right" });
  const kept = element("p", { class: "mtnb-quiet" });
  const tools = element("div", { class: "mtnb-line" }, record, hear, clear);
  frame.root.append(hint, tools, level, now, told, right, keepTick, kept, frame.problem);
  let take = null; // { stream, recorder, parts, meter, end }
  let own = null; // the last recording, to be heard

  async function begin() {
    frame.report("");
    if (model.get("locked")) return;
    if (!navigator.mediaDevices?.getUserMedia || !globalThis.MediaRecorder) {
      frame.report("This browser gives no microphone to this page. Over a network that takes an address with https. Answer in another way.");
      return;
    }
    record.setAttribute("aria-disabled", "true");
    try {
      stage.stop();
      const stream = await navigator.mediaDevices.getUserMedia({ audio: PLAIN_SOUND });
      const recorder = new MediaRecorder(stream, { audioBitsPerSecond: 160_000 });
      take = { stream, recorder, parts: [], meter: showLevel(stream), end: setTimeout(() => finish(), 1000 * model.get("longest_s")) };
      recorder.addEventListener("dataavailable", (event) => take?.parts.push(event.data));
      recorder.addEventListener("stop", () => read());
      recorder.start();
      now.textContent = "Recording. Sing or play, then press Stop.";
    } catch (error) {
      put();
      frame.report(microphoneProblem(error));
    }
    record.removeAttribute("aria-disabled");
    paint();
  }
  function finish() {
    if (take?.recorder.state === "recording") take.recorder.stop();
  }
  // The microphone is off as soon as the recording ends.
  function put() {
    if (!take) return null;
    const done = take;
    take = null;
    clearTimeout(done.end);
    done.meter();
    done.stream.getTracks().forEach((track) => track.stop());
    return done;
  }
  async function read() {
    const done = put();
    paint();
    if (!done) return;
    now.textContent = "The microphone is off. Finding the notes …";
    try {
      const bytes = await new Blob(done.parts, { type: done.recorder.mimeType }).arrayBuffer();
      await stage.open();
      own = await stage.decode(bytes);
      const pcm = mono(own);
      model.set("recording", new DataView(pcm.buffer));
      model.set("sample_rate", own.sampleRate);
      set(model, { take: model.get("take") + 1 });
      frame.awaitReply(() => model.get("heard") === model.get("take"));
    } catch (error) {
      now.textContent = "The microphone is off.";
      frame.report(soundProblem(error));
    }
    paint();
  }
  function mono(buffer) {
    const all = Array.from({ length: buffer.numberOfChannels }, (_none, channel) => buffer.getChannelData(channel));
    const most = Math.floor(model.get("longest_s") * buffer.sampleRate);
    return Int16Array.from({ length: Math.min(buffer.length, most) }, (_none, at) => {
      const sample = all.reduce((sum, channel) => sum + channel[at], 0) / all.length;
      return Math.round(32767 * Math.max(-1, Math.min(1, sample)));
    });
  }
  // A bar as long as the sound is loud, so that a student sees that the microphone hears.
  function showLevel(stream) {
    const context = new AudioContext();
    const analyser = context.createAnalyser();
    context.createMediaStreamSource(stream).connect(analyser);
    const wave = new Float32Array(analyser.fftSize);
    const timer = setInterval(() => {
      analyser.getFloatTimeDomainData(wave);
      const peak = wave.reduce((most, sample) => Math.max(most, Math.abs(sample)), 1e-4);
      level.firstChild.style.width = `${Math.max(0, Math.min(100, 100 + (100 / 60) * 20 * Math.log10(peak)))}%`;
    }, 100);
    return () => {
      clearInterval(timer);
      level.firstChild.style.width = "0";
      context.close();
    };
  }

  function paint() {
    const [locked, count, value] = ["locked", "count", "value"].map((name) => model.get(name));
    const notes = count === 1 ? "one note" : `${count} notes, one after the other`;
    hint.textContent =
      `Press Record, sing or play ${notes} (from ${model.get("limits")}), and press Stop. The browser asks first whether it may use the ` +
      `microphone. ${whereItGoes()}; the recording is forgotten${model.get("offers_keeping") ? " unless you tick that your teacher may hear it" : ""}.`;
    frame.root.setAttribute("role", "group");
    frame.root.setAttribute("aria-label", model.get("label") ? `Microphone: ${model.get("label")}` : "Microphone");
    hint.hidden = record.hidden = clear.hidden = locked;
    record.textContent = take ? "Stop" : model.get("take") ? "Record again" : "Record";
    record.classList.toggle("mtnb-button-main", Boolean(take));
    hear.hidden = !own;
    clear.setAttribute("aria-disabled", String(!value.length));
    level.hidden = !take;
    now.hidden = locked;
    if (told.textContent !== model.get("told")) told.textContent = model.get("told");
    right.textContent = model.get("right_words") ? `→ Right answer: ${model.get("right_words")}.` : "";
    right.hidden = !model.get("right_words");
    keepTick.hidden = locked || !model.get("offers_keeping") || !model.get("take");
    keep.checked = model.get("keep");
    kept.textContent = model.get("kept");
    kept.hidden = !model.get("kept");
  }
  function replied() {
    frame.replied();
    now.textContent = "The microphone is off.";
    paint();
  }

  record.addEventListener("click", () => {
    if (record.getAttribute("aria-disabled") === "true") return;
    take ? finish() : begin();
  });
  hear.addEventListener("click", async () => {
    frame.report("");
    try {
      await stage.open();
      stage.start(model, stage.bufferSource(own));
    } catch (error) {
      frame.report(soundProblem(error));
    }
  });
  clear.addEventListener("click", () => {
    if (model.get("locked") || !model.get("value").length) return;
    own = null;
    set(model, { value: [], keep: false });
  });
  keep.addEventListener("change", () => set(model, { keep: keep.checked }));
  frame.close.push(
    follow(model, {
      value: paint, told: paint, right_words: paint, locked: paint, label: paint, keep: paint, kept: paint, offers_keeping: paint,
      heard: replied,
    }),
    () => {
      put();
      stage.stopOwn(model);
    },
  );
  paint();
  return frame.end;
}
export default { render };
