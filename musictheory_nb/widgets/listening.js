// Plain listening controls. The sound stage sees to it that one sound is heard at a time.

// A second press within this time belongs to a double click.
const DOUBLE_CLICK_S = 0.35;

function render({ model, el }) {
  const stage = soundStage();
  const frame = lessonWidget(model, el, "listening");
  const lesson = () => model.get("lesson");
  const ids = { caution: freshId(), title: freshId() };

  const glyph = (text) => element("span", { "aria-hidden": "true" }, `${text} `);
  const title = element("p", { class: "mtnb-listening-label" });
  const play = element("button", { type: "button", class: "mtnb-button mtnb-button-play" }, glyph("▶"), "Play");
  const stop = element("button", { type: "button", class: "mtnb-button" }, glyph("■"), "Stop");
  const repeat = element("input", { type: "checkbox" });
  const volume = element("input", { type: "range", min: 0, max: 100, step: 5 });
  const volumeText = element("span", { class: "mtnb-volume-text", "aria-hidden": "true" });
  const from = element("select", { class: "mtnb-field", id: freshId() });
  const to = element("select", { class: "mtnb-field", id: freshId() });
  const fields = element(
    "div",
    { class: "mtnb-line mtnb-measures" },
    element("span", {}, element("label", { for: from.id }, "From measure"), from),
    element("span", {}, element("label", { for: to.id }, "To measure"), to),
  );
  const status = element("span", { class: "mtnb-status", role: "status" });
  const place = element("span", { class: "mtnb-place" }); // not announced: it changes with every measure

  const testTone = element("button", { type: "button", class: "mtnb-button" }, "Play the test tone");
  const goOn = element("button", { type: "button", class: "mtnb-button mtnb-button-main" }, "The volume is right: go on");
  const check = element(
    "div",
    { class: "mtnb-check", role: "group", tabindex: -1, "aria-labelledby": ids.title, "aria-describedby": ids.caution, hidden: true },
    element("strong", { id: ids.title }, "Sound check"),
    element(
      "p",
      { id: ids.caution },
      "Start with the volume low and raise it until the test tone is comfortable. " +
        "Trouble hearing, or ringing in your ears? Ask a health professional before you listen.",
    ),
    element("div", { class: "mtnb-line" }, testTone, goOn),
  );
  const repeatTick = element("label", { class: "mtnb-tick" }, repeat, "Repeat");
  const how = listeningFields(model, (options) => {
    stage.stopOwn(model);
    set(model, { options });
    say("Press Play to hear it so.");
  });
  const marked = soundingMeasure(el);
  const controls = element(
    "div",
    { class: "mtnb-line" },
    play,
    stop,
    repeatTick,
    element("label", { class: "mtnb-tick mtnb-volume" }, "Volume", volume, volumeText),
  );
  const group = element("div", { role: "group" }, title, controls, fields, how.root, check, element("p", { class: "mtnb-quiet" }, status, place));
  frame.root.append(group, frame.problem);

  let buffer = null; // decoded sound, or null when `wav` is newer
  let pending = null; // the press of Play that is being seen to: nothing sounds yet
  let voice = null;
  let ticking = null;
  let loops = 0;
  const inOrder = (said) => JSON.stringify(Object.entries(said).sort());
  // `wav` is not there yet, or not of the measures last asked for, or sounds otherwise than is wanted.
  const stale = () => {
    if (!model.get("wav")?.byteLength || model.get("ready") !== model.get("request")) return true;
    const made = model.get("made");
    return Boolean(made.options) && inOrder(made.options) !== inOrder(model.get("options"));
  };
  const most = () => model.get("most_plays");
  const usedUp = () => most() > 0 && model.get("plays") >= most();

  // -- what is shown

  const heard = () => {
    const times = model.get("plays");
    if (most()) return `Heard ${times} of ${most()} times.`;
    return times ? `Heard ${times} ${times === 1 ? "time" : "times"}.` : "Not heard yet.";
  };
  function say(text) {
    if (status.textContent !== text) status.textContent = text;
  }
  function readyNow() {
    const measures = model.get("measures");
    if (!model.get("choose_measures") || !measures.length) return "Ready: press Play.";
    return `Measures ${measures[model.get("first")]} to ${measures[lastIndex()]} are ready: press Play.`;
  }
  function lastIndex() {
    return model.get("last") >= 0 ? model.get("last") : model.get("measures").length - 1;
  }
  function paintFields() {
    const measures = model.get("measures");
    fields.hidden = !(model.get("choose_measures") && measures.length);
    const [low, high] = model.get("span").length ? model.get("span") : [0, measures.length - 1];
    [from, to].forEach((field) => {
      if (field.options.length === high - low + 1) return;
      const within = measures.slice(low, high + 1);
      field.replaceChildren(...within.map((number, index) => element("option", { value: low + index }, number)));
    });
    from.value = String(model.get("first"));
    to.value = String(lastIndex());
  }
  function paint() {
    const label = model.get("label");
    group.setAttribute("aria-label", label || "Listening");
    title.textContent = label;
    title.hidden = !model.get("show_label");
    play.setAttribute("aria-label", label ? `Play: ${label}` : "Play");
    stop.setAttribute("aria-label", label ? `Stop: ${label}` : "Stop");
    repeatTick.hidden = !model.get("offers").includes("repeat");
    play.setAttribute("aria-disabled", String(usedUp()));
    paintFields();
    if (!voice && !pending) say(heard());
  }
  function paintVolume() {
    const percent = Math.round(stage.volume() * 100);
    volume.value = String(percent);
    volume.setAttribute("aria-valuetext", `${percent} percent`);
    volumeText.textContent = `${percent} %`;
  }
  function tick() {
    const starts = model.get("measure_starts_s");
    const measures = model.get("measures");
    if (!voice || !buffer) return;
    let at = Math.max(0, stage.now() - voice.at);
    const round = Math.floor(at / buffer.duration);
    if (repeat.checked && round > loops) {
      loops = round;
      counted();
    }
    at %= buffer.duration;
    if (!starts.length || !measures.length) return;
    const index = starts.filter((start) => start <= at + 0.02).length - 1;
    const first = model.get("first");
    const number = measures[first + Math.max(0, index)];
    const counting = index < 0 && model.get("options").count_in;
    const text = counting ? " Counting in." : number === undefined ? "" : ` Now measure ${number}.`;
    if (place.textContent !== text) place.textContent = text;
    if (starts.length > 1) marked.show(model.get("music"), first + Math.max(0, index), first, starts.length);
  }

  // -- what happens

  function counted() {
    set(model, { plays: model.get("plays") + 1 });
  }
  function fail(error) {
    pending = null;
    say(heard());
    frame.report(soundProblem(error));
  }
  // The sound as it is now: where another one arrives while it is decoded, that one.
  async function decoded() {
    for (;;) {
      const data = model.get("wav");
      buffer ??= await stage.decode(data.buffer.slice(data.byteOffset, data.byteOffset + data.byteLength));
      if (data === model.get("wav")) return buffer;
      buffer = null;
    }
  }
  async function sound(press) {
    const ready = await decoded();
    if (pending !== press) return; // stopped meanwhile, or it was heard already
    pending = null;
    if (!stage.isLatest(press)) return say(heard()); // another Play was pressed meanwhile
    const source = stage.bufferSource(ready);
    source.loop = repeat.checked;
    loops = 0;
    voice = stage.start(model, source, {
      ended(byItself) {
        voice = null;
        clearInterval(ticking);
        marked.clear();
        place.textContent = "";
        say(byItself ? heard() : `Stopped. ${heard()}`);
      },
    });
    counted();
    say("Playing.");
    ticking = setInterval(tick, 100);
    tick();
  }
  function awaitSound() {
    const isThere = () => model.get("ready") === model.get("request") || model.get("problem");
    frame.awaitReply(isThere, () => {
      pending = null; // Play can be pressed again
      say(heard());
    });
  }
  function ask() {
    stage.stop();
    say("Making the sound …");
    awaitSound();
    set(model, { request: model.get("request") + 1 });
  }
  // What was picked in a field beside these controls must have reached Python, or the sound picked before would be heard.
  async function settled() {
    const around = el.closest(".mtnb-exercise") ?? el.closest(".jp-OutputArea-output") ?? el;
    const until = performance.now() + REPLY_WITHIN_MS;
    while (around.querySelector(".mtnb-field-line[data-unsaved]")) {
      if (performance.now() > until) throw Object.assign(new Error(NO_REPLY), { forStudent: true });
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  }
  async function begin() {
    if (usedUp()) return say(heard());
    if (pending) return say("Making the sound …"); // one press or many: it is heard once
    if (voice && stage.now() - voice.at < DOUBLE_CLICK_S) return;
    const press = (pending = stage.claim());
    frame.report("");
    try {
      await stage.open();
      await settled();
      if (pending !== press) return;
      if (stale()) ask();
      else await sound(press);
    } catch (error) {
      if (pending === press) fail(error);
    }
  }
  function openCheck() {
    check.hidden = false;
    check.focus();
  }
  function pressPlay() {
    if (stage.isChecked(lesson())) begin();
    else openCheck();
  }

  play.addEventListener("click", pressPlay);
  stop.addEventListener("click", () => {
    const silent = !voice;
    pending = null;
    stage.stop();
    if (silent) say(heard());
  });
  repeat.addEventListener("change", () => {
    const source = voice?.source;
    if (source) source.loop = repeat.checked;
  });
  volume.addEventListener("input", () => stage.setVolume(Number(volume.value) / 100));
  testTone.addEventListener("click", async () => {
    try {
      await stage.open();
      frame.report("");
      say("The test tone sounds.");
      stage.tone(model, 440, 1.5, "sine", () => say(heard()));
    } catch (error) {
      fail(error);
    }
  });
  goOn.addEventListener("click", () => {
    stage.check(lesson());
    play.focus();
    begin();
  });
  // Choosing measures asks Python for their sound at once; it is heard when the student presses Play.
  [from, to].forEach((field) =>
    field.addEventListener("change", () => {
      let [first, last] = [Number(from.value), Number(to.value)];
      if (first > last) [first, last] = field === from ? [first, first] : [last, last];
      stage.stopOwn(model);
      awaitSound();
      set(model, { first, last, request: model.get("request") + 1 });
      paintFields();
      say("Making the sound …");
    }),
  );

  frame.close.push(
    follow(model, {
      label: paint,
      measures: paint,
      choose_measures: paint,
      first: paintFields,
      last: paintFields,
      plays: paint,
      offers: () => [paint(), how.paint()],
      options: how.repaint,
      wav() {
        stage.stopOwn(model);
        buffer = null;
        if (!pending) say(heard());
      },
      ready() {
        if (model.get("ready") !== model.get("request")) return;
        frame.replied();
        if (pending) sound(pending).catch(fail);
        else if (!voice) say(readyNow());
      },
      problem() {
        if (!model.get("problem")) return;
        pending = null;
        say(heard());
      },
      play_order() {
        if (!stage.isChecked(lesson())) openCheck();
        else if (usedUp()) say(heard());
        else if (stage.isOpen()) sound((pending = stage.claim())).catch(fail);
        else say("Ready: press Play.");
      },
    }),
    (() => {
      const checkedElsewhere = () => {
        if (stage.isChecked(lesson())) check.hidden = true;
      };
      stage.addEventListener("volume", paintVolume);
      stage.addEventListener("checked", checkedElsewhere);
      return () => {
        stage.removeEventListener("volume", paintVolume);
        stage.removeEventListener("checked", checkedElsewhere);
        stage.stopOwn(model);
        clearInterval(ticking);
        marked.clear();
        buffer = null;
      };
    })(),
  );
  paint();
  paintVolume();
  return frame.end;
}
export default { render };
