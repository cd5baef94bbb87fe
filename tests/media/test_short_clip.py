"""Short clips: half the rate, half the level, never longer than asked for, and free of what the new rate cannot hold."""

import io
import wave

import numpy as np
import pyloudnorm
import pytest
from scipy import signal

from musictheory_nb.media.short_clip import SHORT_RATE, half_rate, short_clip
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.media_request import MediaRequest


def samples(wav):
    with wave.open(io.BytesIO(wav)) as sound:
        assert (sound.getnchannels(), sound.getsampwidth(), sound.getframerate()) == (1, 2, SHORT_RATE)
        return np.frombuffer(sound.readframes(sound.getnframes()), "<i2") / 32767


@pytest.mark.parametrize("hz", [110, 440, 1760, 3520])
def test_tones_below_the_new_limit_are_kept_as_scipy_keeps_them(hz):
    tone = np.sin(2 * np.pi * hz * np.arange(22050) / 22050)
    assert half_rate(tone)[500:-500] == pytest.approx(signal.decimate(tone, 2, ftype="fir")[500:-500], abs=0.06)


@pytest.mark.parametrize("hz", [7000, 9000])
def test_tones_above_it_do_not_come_back_as_others(hz):
    tone = np.sin(2 * np.pi * hz * np.arange(22050) / 22050)
    assert np.max(np.abs(half_rate(tone)[100:-100])) < 0.01  # -40 dB


def test_a_clip_is_six_decibels_below_the_house_level():
    """House level -23 LUFS (EBU R 128); half the amplitude is 6.02 dB less. Loudness by pyloudnorm (ITU-R BS.1770)."""
    clip = short_clip(MediaRequest("sound", Excerpt.melody(["C4", "E4", "G4", "C5"], tempo=60), "Hear it"))
    loudness = pyloudnorm.Meter(SHORT_RATE).integrated_loudness(samples(clip.wav))
    assert loudness == pytest.approx(-29.0, abs=1.0)


def test_a_long_passage_is_cut_with_a_fade():
    clip = short_clip(MediaRequest("sound", Excerpt.melody(["C4"] * 20, tempo=60), "Hear it"), seconds=3)
    assert clip.is_cut
    assert clip.seconds == pytest.approx(3)
    found = samples(clip.wav)
    assert len(found) == 3 * SHORT_RATE
    assert abs(found[-1]) < 0.001
