"""Every clip at -23 LUFS, within 1 LU, and under -6 dBFS: measured by pyloudnorm on the samples of the WAV."""

import io
import math
import wave
from fractions import Fraction as F

import numpy as np
import pyloudnorm
import pytest
from scipy.signal import resample_poly

from musictheory_nb.media.level import PEAK_LIMIT_DBFS, TARGET_LUFS, at_house_level, ease_peaks
from musictheory_nb.media.loudness import true_peak
from musictheory_nb.media.sound import Clip, render_sound
from musictheory_nb.media.tone import TIMBRES
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart

#: Rounding to 16 bits moves a peak by less than this.
ROUNDING_DB = 0.01


def samples_of(clip: Clip) -> tuple[np.ndarray, int]:
    with wave.open(io.BytesIO(clip.wav)) as file:
        data = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
        return data / 32768, file.getframerate()


def lufs(clip: Clip) -> float:
    samples, rate = samples_of(clip)
    return pyloudnorm.Meter(rate).integrated_loudness(samples)


def peak_dbfs(clip: Clip) -> float:
    """Peak between the samples, by scipy's resampling to four times the rate."""
    samples, _ = samples_of(clip)
    return 20 * math.log10(np.max(np.abs(resample_poly(samples, 4, 1))))


def one(pitch: str, quarters: F | int, timbre: str, tempo: int = 60) -> Excerpt:
    return Excerpt.melody([pitch], [F(quarters)], timbre=timbre, tempo=tempo)


def test_the_house_level_is_that_of_the_design():
    assert (TARGET_LUFS, PEAK_LIMIT_DBFS) == (-23.0, -6.0)


@pytest.mark.parametrize("timbre", TIMBRES)
@pytest.mark.parametrize("pitch", ["E1", "B2", "C4", "C7", "C8"])
@pytest.mark.parametrize("quarters", [F(1, 2), 1, 8])
def test_single_tones(timbre, pitch, quarters):
    clip = render_sound(one(pitch, quarters, timbre))
    assert lufs(clip) == pytest.approx(-23, abs=1)
    assert peak_dbfs(clip) <= -6 + ROUNDING_DB


@pytest.mark.parametrize("timbre", TIMBRES)
def test_chords_and_dense_chords(timbre):
    for pitches in (["B3", "F4"], ["C2", "G2", "E3", "Bb3", "D4", "F#4", "A4", "C5", "E5", "G5"]):
        clip = render_sound(Excerpt.melody(pitches, together=True, timbre=timbre))
        assert lufs(clip) == pytest.approx(-23, abs=1)
        assert peak_dbfs(clip) <= -6 + ROUNDING_DB


def test_written_music(written):
    clip = render_sound(written)
    assert lufs(clip) == pytest.approx(-23, abs=1)
    assert peak_dbfs(clip) <= -6 + ROUNDING_DB


def test_chorale(chorale):
    clip = render_sound(chorale)
    assert lufs(clip) == pytest.approx(-23, abs=1)
    assert peak_dbfs(clip) <= -6 + ROUNDING_DB


def test_a_measure_between_long_silences():
    measures = tuple(ExcerptMeasure(str(n), F(4)) for n in range(1, 6))
    lonely = Excerpt((ExcerptPart(""),), measures, (ExcerptNote(0, 2, F(0), F(1), ("A4",)),))
    assert lufs(render_sound(lonely)) == pytest.approx(-23, abs=1)


@pytest.mark.parametrize("timbre", TIMBRES)
@pytest.mark.parametrize("pitch", ["E1", "C4", "C7"])
def test_where_both_limits_cannot_hold_the_peak_does(timbre, pitch):
    clip = render_sound(one(pitch, F(1, 8), timbre, tempo=240))  # a tone of a fifteenth of a second
    assert peak_dbfs(clip) <= -6 + ROUNDING_DB
    assert -27 <= lufs(clip) <= -22
    assert lufs(clip) >= -24 or peak_dbfs(clip) > -6.5  # softer than asked only when the peak stands at its limit


def test_silence_stays_silence():
    clip = render_sound(Excerpt.melody(["", ""]))
    samples, _ = samples_of(clip)
    assert not samples.any()
    assert clip.seconds > 1


def test_very_soft_input_is_brought_up():
    samples = 1e-7 * np.sin(2 * np.pi * 440 * np.arange(44100) / 22050)
    raised = at_house_level(samples, 22050)
    assert pyloudnorm.Meter(22050).integrated_loudness(raised) == pytest.approx(-23, abs=1)


@pytest.mark.parametrize("seed", range(5))
def test_eased_peaks_hold_the_limit_and_leave_the_rest(seed):
    rate = 8000
    random = np.random.default_rng(seed)
    samples = 0.2 * random.normal(size=2 * rate).clip(-1, 1)
    samples[rate // 2] = 3.0
    samples[-1] = -2.0
    samples[0] = 1.5
    eased = ease_peaks(samples, 0.5, rate)
    assert np.max(np.abs(eased)) <= 0.5 + 1e-12
    quiet = np.abs(samples).max() < 0.5
    assert not quiet
    away = slice(rate, int(1.8 * rate))  # far from every peak
    small = np.abs(samples[away]) < 0.5
    if small.all():
        assert np.allclose(eased[away], samples[away])
    steps = np.abs(np.diff(np.log(np.abs(eased[100:-100]) / np.abs(samples[100:-100]))))
    assert np.max(steps) < 0.25  # the gain glides


def test_peak_limit_counts_what_lies_between_the_samples():
    samples = 0.9 * np.sin(np.pi / 2 * np.arange(22050) + np.pi / 4)
    assert 20 * math.log10(true_peak(at_house_level(samples, 22050))) <= -6 + 1e-6
