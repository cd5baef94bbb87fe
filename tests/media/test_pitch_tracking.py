"""Pitch tracking against tones whose frequency is known: ISO 16 (A4 = 440 Hz) and 12-tone equal temperament.

The tones are made here with numpy from the frequency alone, so that nothing of the project stands on both sides; the
project's own timbres are tried beside them. The limits are those of the issue: 5 cents over E1 to C7, 10 cents with
white noise 20 dB below the tone.
"""

import numpy as np
import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.pitch_tracking import LONGEST_S, track_pitch
from musictheory_nb.media.sung_note import sung_notes
from musictheory_nb.media.tone import TIMBRES, tone

E1, C7 = 28, 96
RATE = 44100


def hertz(midi: float) -> float:
    return float(440.0 * 2 ** ((midi - 69) / 12))


def rich(hz: float, seconds: float, rate: int = RATE, *, missing_fundamental: bool = False) -> np.ndarray:
    """A tone of up to 12 partials that fall off as a bowed string's or a voice's do (1 / n)."""
    at = np.arange(int(seconds * rate)) / rate
    numbers = [n for n in range(2 if missing_fundamental else 1, 13) if n * hz < 0.45 * rate]
    wave = sum(np.sin(2 * np.pi * n * hz * at + n) / n for n in numbers)
    return 0.5 * wave / np.max(np.abs(wave))


def noisy(wave: np.ndarray, decibels_below: float, seed: int = 1) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(size=len(wave))
    return wave + noise * np.sqrt(np.mean(wave**2) / np.mean(noise**2)) * 10 ** (-decibels_below / 20)


def cents_off(wave: np.ndarray, hz: float, rate: int = RATE) -> float:
    found = track_pitch(wave, rate).hz
    assert np.mean(np.isfinite(found)) > 0.9
    return float(1200 * np.log2(np.nanmedian(found) / hz))


@pytest.mark.parametrize("midi", [*range(E1, C7 + 1, 4), C7])
def test_tones_within_five_cents(midi):
    for off in (0.0, 0.37):
        hz = hertz(midi + off)
        assert abs(cents_off(rich(hz, 0.35), hz)) < 5
        assert abs(cents_off(noisy(rich(hz, 0.35), 20), hz)) < 10
    assert abs(cents_off(np.sin(2 * np.pi * hertz(midi) * np.arange(15000) / RATE) / 2, hertz(midi))) < 5


@pytest.mark.parametrize("timbre", sorted(TIMBRES))
@pytest.mark.parametrize("rate", [22050, 48000])
def test_rendered_tones(timbre, rate):
    for midi in range(E1, C7 + 1, 7):
        wave = tone(midi, rate // 3, TIMBRES[timbre], rate)
        wave = wave / np.max(np.abs(wave)) / 2
        assert abs(cents_off(wave, hertz(midi), rate)) < 5
        assert abs(cents_off(noisy(wave, 20), hertz(midi), rate)) < 10


def test_a_string_whose_fundamental_a_small_microphone_loses():
    hz = hertz(33)
    assert abs(cents_off(rich(hz, 0.4, missing_fundamental=True), hz)) < 5


def test_silence_and_noise_have_no_pitch():
    assert not np.isfinite(track_pitch(np.zeros(RATE), RATE).hz).any()
    hiss = 0.1 * np.random.default_rng(2).normal(size=RATE)
    assert np.mean(np.isfinite(track_pitch(hiss, RATE).hz)) < 0.02
    assert len(track_pitch(np.zeros(0), RATE).hz) <= 1
    assert sung_notes(track_pitch(np.zeros(RATE), RATE)) == ()


def test_notes_of_a_line_with_repeats_steps_and_slides():
    wanted = [60, 62, 62, 67, 55, 54.5]
    gap = np.zeros(int(0.03 * RATE))
    fade = np.exp(-np.arange(int(0.4 * RATE)) / (0.12 * RATE))
    line = np.concatenate([piece for midi in wanted for piece in (rich(hertz(midi), 0.4) * fade, gap)])
    notes = sung_notes(track_pitch(noisy(line, 30), RATE))
    assert [note.midi for note in notes] == pytest.approx(wanted, abs=0.1)
    # each starts where it was put, within a frame and a half window
    assert [note.start_s for note in notes] == pytest.approx([0.43 * place for place in range(6)], abs=0.06)


def test_legato_without_a_gap():
    line = np.concatenate([rich(hertz(midi), 0.3) for midi in (48, 50, 52, 53)])
    assert [note.midi for note in sung_notes(track_pitch(line, RATE))] == pytest.approx([48, 50, 52, 53], abs=0.05)


def test_a_voice_with_vibrato_is_one_note():
    at = np.arange(RATE) / RATE
    bend = 0.4 * np.sin(2 * np.pi * 5.5 * at)
    phase = 2 * np.pi * np.cumsum(hertz(64) * 2 ** (bend / 12)) / RATE
    notes = sung_notes(track_pitch(np.sin(phase) / 2 + np.sin(2 * phase) / 5, RATE))
    assert len(notes) == 1
    assert notes[0].midi == pytest.approx(64, abs=0.1)


def test_an_instrument_tuned_to_another_a():
    notes = sung_notes(track_pitch(rich(415.0, 0.4), RATE), a4=415.0)
    assert [note.midi for note in notes] == pytest.approx([69], abs=0.02)


@pytest.mark.parametrize(
    ("samples", "rate"),
    [
        (np.zeros(100), 100),
        (np.zeros((2, 100)), RATE),
        (np.array([np.nan] * 100), RATE),
        (np.zeros(int((LONGEST_S + 1) * 8000)), 8000),
    ],
)
def test_what_is_no_recording_is_refused(samples, rate):
    with pytest.raises(MediaError, match=r"sample|recording"):
        track_pitch(samples, rate)
