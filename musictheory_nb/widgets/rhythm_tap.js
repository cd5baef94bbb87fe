// A pad to tap a rhythm on. The metronome counts one measure in; taps are times of the key presses themselves.

const DELAY_BEATS = 12; // four to listen, eight to tap
const DELAY_BEAT_MS = 600;
const DRAWN_LARGER = 1.4;

function render({ model, el }) {
  const stage = soundStage();
  const frame = lessonWidget(model, el, "rhythm");
  const hint = element("p", { class: "mtnb-quiet" });
  const start = element("button", { type: "button", class: "mtnb-button" }, "Start");
  const measure = element("button", { type: "button", class: "mtnb-button" }, "Measure my delay");
  const sound = element("input", { type: "checkbox" });
  const count = element("span", { class: "mtnb-rhythm-count", "aria-hidden": "true" });
  const pad = element("button", { type: "button", class: "mtnb-button mtnb-rhythm-pad" }, element("span", {}, "Tap here, or with any letter or the Space bar"), count);
  const told = element("p", { class: "mtnb-rhythm-told", role: "status" });
  const line = element("div", { class: "mtnb-rhythm-line", role: "img" });
  const tools = element("div", { class: "mtnb-line" }, start, element("label", { class: "mtnb-tick" }, sound, "Clicks sound"), measure);
  frame.root.append(hint, tools, pad, told, line, frame.problem);
  let take = null; // { kind, first, taps, stop, timer }

  const beats = () => model.get("beats");
  const wholeBeats = () => Math.ceil(beats());

  async function begin(kind) {
    frame.report("");
    if (take) return finish(false);
    if (model.get("locked") && kind === "rhythm") return;
    const beatMs = kind === "delay" ? DELAY_BEAT_MS : model.get("beat_ms");
    const barBeats = kind === "delay" ? 4 : beats();
    const total = kind === "delay" ? DELAY_BEATS : Math.round(barBeats * (model.get("measures") + 1));
    try {
      const clicks = await startClicks(stage, model, total, beatMs, (beat) => beat % barBeats === 0, sound.checked || kind === "delay");
      take = { kind, clicks, taps: [], beatMs, barBeats, total, timer: 0, lead: barBeats };
      take.timer = setInterval(tick, 25);
      pad.focus();
      told.textContent = kind === "delay" ? "Listen to four clicks, then tap with the next eight." : "Count-in. Begin to tap at the next measure.";
      paint();
    } catch (error) {
      take = null;
      frame.report(soundProblem(error));
      paint();
    }
  }
  function tick() {
    const since = performance.now() - take.clicks.first();
    const beat = Math.floor(since / take.beatMs);
    const now = beat < 0 ? "" : String((beat % take.barBeats) + 1 | 0);
    const text = beat < take.lead ? `Count-in: ${now}` : now;
    if (count.textContent !== text) count.textContent = text;
    if (since > take.beatMs * (take.total + 0.7)) finish(true);
  }
  function tap(time) {
    if (!take) return;
    // The first click's time is asked anew each time: only once sound runs is it known exactly.
    take.taps.push(time - take.clicks.first() - take.lead * take.beatMs);
    pad.classList.add("mtnb-rhythm-hit");
    setTimeout(() => pad.classList.remove("mtnb-rhythm-hit"), 90);
  }
  function finish(complete) {
    const done = take;
    take = null;
    clearInterval(done.timer);
    done.clicks.stop();
    count.textContent = "";
    if (!complete) told.textContent = "Stopped. Nothing of it is kept.";
    else if (done.kind === "delay") keepDelay(done.taps);
    else keepTaps(done.taps);
    paint();
    start.focus();
  }
  function keepDelay(taps) {
    const off = taps.map((at) => at - DELAY_BEAT_MS * Math.round(at / DELAY_BEAT_MS)).sort((one, other) => one - other);
    if (off.length < 5) return (told.textContent = "Too few taps to measure a delay; tap with each of the eight clicks.");
    const middle = Math.round(off[Math.floor(off.length / 2)]);
    const spread = off.at(-2) - off[1];
    if (spread > 200) return (told.textContent = "These taps lie too far apart to measure a delay. Nothing is changed.");
    set(model, { delay_ms: middle });
    told.textContent = `Measured: your taps come ${Math.abs(middle)} milliseconds ${middle < 0 ? "before" : "after"} the clicks. That is taken off from now on.`;
  }
  function keepTaps(taps) {
    const [earliest, latest] = model.get("bounds_ms");
    const whole = taps.map((at) => Math.round(at - model.get("delay_ms"))).filter((at) => at >= earliest && at <= latest);
    const value = whole.filter((at, index) => index === 0 || at > whole[index - 1]).slice(0, 256);
    if (!value.length) return (told.textContent = "No taps were heard. Press Start and tap once more.");
    set(model, { value });
    told.textContent = `${value.length === 1 ? "1 tap" : `${value.length} taps`} kept. ${"Start again for another try, or check your answer."}`;
  }

  // A measure of the line: beats below, taps above, the right places under them.
  function measureLine(index) {
    const [value, right, beatMs] = [model.get("value"), model.get("right"), model.get("beat_ms")];
    const barMs = beatMs * beats();
    const width = 16 + 56 * beats();
    const height = right.length ? 84 : 56;
    const svg = shape("svg", { viewBox: `0 0 ${width} ${height}`, width: width * DRAWN_LARGER, height: height * DRAWN_LARGER });
    const x = (ms) => 10 + ((ms - index * barMs) / barMs) * 56 * beats();
    svg.append(shape("path", { d: `M0 34H${width}`, class: "mtnb-rhythm-base" }), shape("path", { d: "M1 18V50", class: "mtnb-rhythm-bar" }));
    for (let beat = 0; beat < wholeBeats(); beat++) {
      const at = 10 + 56 * beat;
      svg.append(shape("path", { d: `M${at} 30V38`, class: "mtnb-rhythm-bar" }));
      const number = shape("text", { x: at, y: 51, class: "mtnb-rhythm-number" });
      number.textContent = beat + 1;
      svg.append(number);
    }
    const inside = (ms) => Math.max(0, Math.min(model.get("measures") - 1, Math.floor((ms + beatMs / 8) / barMs))) === index;
    value.filter(inside).forEach((ms) => svg.append(shape("path", { d: `M${x(ms)} 32l-5 -14h10z`, class: "mtnb-rhythm-own" })));
    right.filter(inside).forEach((ms) => svg.append(shape("path", { d: `M${x(ms)} 58l-5 14h10z`, class: "mtnb-rhythm-right" })));
    return svg;
  }
  function beatsInWords(taps) {
    const beatMs = model.get("beat_ms");
    return taps.map((ms) => (1 + ms / beatMs).toFixed(2)).join(", ");
  }
  function paint() {
    const [value, right, locked] = [model.get("value"), model.get("right"), model.get("locked")];
    const bars = model.get("measures");
    hint.hidden = tools.hidden = pad.hidden = locked;
    hint.textContent =
      `Press Start: the metronome counts one measure of ${Number(beats().toFixed(2))} beats; then tap the rhythm for ${bars === 1 ? "1 measure" : `${bars} measures`}.` +
      ` The clicks go on.${model.get("delay_ms") ? ` Your delay of ${model.get("delay_ms")} milliseconds is taken off.` : ""}`;
    start.textContent = take ? "Stop" : value.length ? "Start again" : "Start";
    measure.setAttribute("aria-disabled", String(Boolean(take)));
    pad.setAttribute("aria-disabled", String(!take));
    pad.setAttribute("aria-label", model.get("label") ? `Tap: ${model.get("label")}` : "Tap");
    line.hidden = !value.length && !right.length;
    line.replaceChildren(...Array.from({ length: bars }, (_none, index) => measureLine(index)));
    const words = [value.length ? `Your taps at the beats ${beatsInWords(value)}.` : "", right.length ? `Right: ${beatsInWords(right)}.` : ""];
    line.setAttribute("aria-label", words.filter(Boolean).join(" ") || "No taps");
    if (locked) told.textContent = right.length ? "▼ your taps, above the line; △ the right places, below it." : "";
  }

  // Any key taps while a take runs: it is the time of the press, not of its handling, that counts.
  frame.root.addEventListener("keydown", (event) => {
    if (!take || event.repeat || event.ctrlKey || event.altKey || event.metaKey || ["Tab", "Escape", "Shift"].includes(event.key)) return;
    if (event.target === start && (event.key === "Enter" || event.key === " ")) return; // stops
    event.preventDefault();
    tap(event.timeStamp);
  });
  pad.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    tap(event.timeStamp);
  });
  start.addEventListener("click", () => begin("rhythm"));
  measure.addEventListener("click", () => !take && begin("delay"));
  sound.checked = model.get("sound");
  frame.close.push(
    follow(model, { value: paint, right: paint, locked: paint, label: paint, delay_ms: paint, measures: paint, beats: paint, beat_ms: paint, sound: () => (sound.checked = model.get("sound")) }),
    () => {
      if (take) clearInterval(take.timer);
      stage.stopOwn(model);
    },
  );
  paint();
  return frame.end;
}
export default { render };
