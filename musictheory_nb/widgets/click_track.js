// A metronome whose beats have exact times on the page's clock: one sound from first to last click.

const CLICK_RATE = 22050;

// The sound: `beats` clicks, `beatMs` apart; those of `accents` (indices) higher.
function clickBuffer(beats, beatMs, accents) {
  const buffer = new AudioBuffer({ length: Math.ceil(((beats + 1) * beatMs * CLICK_RATE) / 1000), sampleRate: CLICK_RATE, numberOfChannels: 1 });
  const wave = buffer.getChannelData(0);
  for (let beat = 0; beat < beats; beat++) {
    const start = Math.round((beat * beatMs * CLICK_RATE) / 1000);
    const hz = accents(beat) ? 1568 : 1047;
    for (let at = 0; at < 0.06 * CLICK_RATE && start + at < wave.length; at++) {
      const seconds = at / CLICK_RATE;
      wave[start + at] = Math.sin(2 * Math.PI * hz * seconds) * Math.exp(-seconds * 70) * Math.min(1, at / 20);
    }
  }
  return buffer;
}

// When a moment of the audio clock is heard, in milliseconds of the page's clock.
function heardAt(context, seconds) {
  const stamp = context.getOutputTimestamp?.();
  if (stamp?.performanceTime > 0 && stamp.contextTime > 0) return stamp.performanceTime + (seconds - stamp.contextTime) * 1000;
  const late = context.outputLatency || context.baseLatency || 0;
  return performance.now() + (seconds - context.currentTime + late) * 1000;
}

// Start the metronome; returns `first()`, the time of its first click on the page's clock, and `stop()`.
async function startClicks(stage, owner, beats, beatMs, accents, sound) {
  if (!sound) {
    const begin = performance.now() + 300;
    return { first: () => begin, stop() {} };
  }
  await stage.open();
  const source = stage.bufferSource(clickBuffer(beats, beatMs, accents));
  const voice = stage.start(owner, source, { level: 0.25 });
  return { first: () => heardAt(source.context, voice.at), stop: () => voice.stop() };
}
