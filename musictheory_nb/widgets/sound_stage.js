// The one place of a page where sound is made: one audio context, one volume, one sound at a time.
// Nothing here starts by itself: `open` must be called from a click or a key press.

function soundStage() {
  const key = Symbol.for("musictheory_nb.sound_stage");
  globalThis[key] ??= makeSoundStage(); // shared by all widgets of the page
  return globalThis[key];
}

function makeSoundStage() {
  const stage = new EventTarget(); // tells "volume" and "checked"
  const checked = new Set(); // lessons whose hearing caution has been read
  let context = null;
  let master = null;
  let playing = null; // { owner, stop }
  let volume = 0.5;
  let latest = null; // the press of a Play button that came last on this page

  const told = (name) => stage.dispatchEvent(new Event(name));
  const failed = (text) => Object.assign(new Error(text), { forStudent: true });

  return Object.assign(stage, {
    async open() {
      const Context = globalThis.AudioContext ?? globalThis.webkitAudioContext;
      if (!Context) throw failed("This browser cannot play sound. Try a current Firefox, Chrome, Edge or Safari.");
      if (!context) {
        context = new Context();
        master = context.createGain();
        master.gain.value = volume;
        master.connect(context.destination);
      }
      if (context.state === "running") return;
      const wait = new Promise((resolve) => setTimeout(resolve, 4000)); // a refused resume never answers
      await Promise.race([context.resume(), wait]);
      if (context.state !== "running") {
        throw failed("The browser did not start the sound. Check that a loudspeaker or headphones are there, then press Play again.");
      }
    },
    isOpen: () => context?.state === "running",
    now: () => context.currentTime,
    decode(bytes) {
      return context.decodeAudioData(bytes).catch(() => {
        throw failed("This sound could not be read. Run the cell again; if that does not help, tell your teacher.");
      });
    },
    // A press of Play anywhere on the page; what is made for an earlier one is not heard any more.
    claim: () => (latest = {}),
    isLatest: (press) => press === latest,
    volume: () => volume,
    setVolume(value) {
      volume = Math.max(0, Math.min(1, value));
      if (master) master.gain.setTargetAtTime(volume, context.currentTime, 0.01);
      told("volume");
    },
    isChecked: (lesson) => checked.has(lesson),
    check(lesson) {
      checked.add(lesson);
      told("checked");
    },
    // Stop what sounds and start `source` (a buffer source or an oscillator) through a gain of its own.
    start(owner, source, { level = 1, fadeIn = 0, seconds = null, ended = () => {} } = {}) {
      stage.stop();
      const gain = context.createGain();
      const at = context.currentTime;
      gain.gain.setValueAtTime(fadeIn ? 0 : level, at);
      if (fadeIn) gain.gain.linearRampToValueAtTime(level, at + fadeIn);
      source.connect(gain).connect(master);
      const voice = {
        owner,
        source,
        gain,
        at,
        stop() {
          if (playing !== voice) return;
          playing = null;
          const end = context.currentTime;
          gain.gain.cancelScheduledValues(end);
          gain.gain.setTargetAtTime(0, end, 0.008); // no click
          source.stop(end + 0.06);
          ended(false);
        },
      };
      source.onended = () => {
        gain.disconnect();
        if (playing !== voice) return;
        playing = null;
        ended(true);
      };
      playing = voice;
      source.start(at);
      if (seconds !== null) {
        gain.gain.setValueAtTime(level, at + seconds - 0.05);
        gain.gain.linearRampToValueAtTime(0, at + seconds);
        source.stop(at + seconds);
      }
      return voice;
    },
    stop() {
      playing?.stop();
    },
    stopOwn(owner) {
      if (playing?.owner === owner) playing.stop();
    },
    bufferSource(buffer) {
      const source = context.createBufferSource();
      source.buffer = buffer;
      return source;
    },
    // A plain tone; the level is that of the clips (a sine of -23 LUFS peaks near 0.1).
    tone(owner, hz, seconds, shape = "sine", ended = () => {}) {
      const source = context.createOscillator();
      source.type = shape;
      source.frequency.value = hz;
      return stage.start(owner, source, { level: 0.1, fadeIn: 0.01, seconds, ended });
    },
    // A struck tone that dies away, for keys.
    strike(owner, hz, seconds = 1.4) {
      const voice = stage.tone(owner, hz, seconds, "triangle");
      voice.gain.gain.cancelScheduledValues(voice.at);
      voice.gain.gain.setValueAtTime(0, voice.at);
      voice.gain.gain.linearRampToValueAtTime(0.12, voice.at + 0.005);
      voice.gain.gain.setTargetAtTime(0, voice.at + 0.03, seconds / 4);
      return voice;
    },
  });
}

// What a student reads about a failure of sound.
function soundProblem(error) {
  return error?.forStudent ? error.message : `The sound failed (${error?.name ?? "Error"}: ${error?.message ?? error}). Run the cell again.`;
}
