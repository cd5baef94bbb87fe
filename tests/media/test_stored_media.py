"""Stored sounds: they sound the same pitches, and measures are cut where they begin.

Frequencies are those of equal temperament at A4 = 440 Hz (ISO 16): 440 · 2^((n − 69) / 12) for MIDI number n.
"""

import io
import wave
from fractions import Fraction

import numpy as np
import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.sound_slice import sound_slice
from musictheory_nb.media.stored_media import stored_sound
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.media_request import MediaRequest

#: Four measures of one whole note each: A3, E4, B4, F5 are MIDI numbers 57, 64, 71, 77.
NUMBERS = (57, 64, 71, 77)
SCALE = Excerpt(
    (ExcerptPart("Voice"),),
    tuple(ExcerptMeasure(str(at + 1), Fraction(4), "4/4") for at in range(4)),
    tuple(ExcerptNote(0, at, Fraction(0), Fraction(4), (name,)) for at, name in enumerate(("A3", "E4", "B4", "F5"))),
    tempo=Fraction(240),
)


def samples_of(data: bytes) -> tuple[np.ndarray, int]:
    with wave.open(io.BytesIO(data)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2").astype(float), file.getframerate()


def strongest_hz(data: bytes) -> float:
    samples, rate = samples_of(data)
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), 1 << 17))
    return float(np.argmax(spectrum)) * rate / (1 << 17)


@pytest.mark.parametrize("at", range(4))
def test_a_measure_cut_out_sounds_its_own_note(at):
    sound = stored_sound(MediaRequest("sound", SCALE, "Hear it", choose_measures=True))
    assert sound.measures == ("1", "2", "3", "4")
    cut = sound_slice(sound.wav, sound.starts_s, at, at)
    fundamental = 440 * 2 ** ((NUMBERS[at] - 69) / 12)
    partial = strongest_hz(cut) / fundamental  # the strongest may be an overtone
    assert partial == pytest.approx(round(partial), abs=0.01)
    assert round(partial) in (1, 2, 3)


def test_the_measures_together_are_the_whole():
    sound = stored_sound(MediaRequest("sound", SCALE, "Hear it", choose_measures=True))
    parts = [samples_of(sound_slice(sound.wav, sound.starts_s, at, at))[0] for at in range(4)]
    whole, rate = samples_of(sound.wav)
    assert sum(map(len, parts)) == len(whole) - round(sound.starts_s[0] * rate)
    # 4 quarters at 240 a minute last one second
    assert len(parts[0]) / rate == pytest.approx(1.0, abs=0.001)


def test_what_is_no_sound_is_refused():
    with pytest.raises(MediaError, match="stored sound: no WAV file"):
        sound_slice(b"RIFF", [0.0], 0, 0)
