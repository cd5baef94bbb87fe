"""Tones: their frequency against ISO 16 and 12-tone equal temperament, measured from the samples."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import zoom_fft

from musictheory_nb.errors import MediaError
from musictheory_nb.media.sound import SAMPLE_RATE
from musictheory_nb.media.tone import HIGHEST, LOWEST, TIMBRES, check_a4, timbre_named, tone
from musictheory_nb.practice import excerpt

PUBLISHED = Path(__file__).parents[1] / "published" / "tempered_pitches.tsv"


def tempered() -> list[tuple[str, int, float]]:
    with open(PUBLISHED, encoding="utf-8", newline="") as file:
        rows = csv.DictReader((row for row in file if not row.startswith("#")), delimiter="\t")
        return [(row["note"], int(row["midi"]), float(row["hz"])) for row in rows]


def strongest_hz(samples: np.ndarray, rate: int, low: float, high: float) -> float:
    """Frequency between `low` and `high` at which a windowed Fourier transform of the samples is largest."""
    points = 4001
    level = np.abs(zoom_fft(samples * np.blackman(len(samples)), [low, high], m=points, fs=rate, endpoint=True))
    return float(np.linspace(low, high, points)[int(np.argmax(level))])


def measured_cents_off(midi: int, hz: float, timbre: str, a4: float = 440.0) -> float:
    """Distance of the sounding fundamental from `hz`, looked for up to a quarter tone to either side."""
    seconds = 2.0
    samples = tone(midi, int(seconds * SAMPLE_RATE), timbre_named(timbre), SAMPLE_RATE, a4=a4)
    found = strongest_hz(samples, SAMPLE_RATE, hz * 2 ** (-1 / 24), hz * 2 ** (1 / 24))
    return float(1200 * np.log2(found / hz))


def test_the_published_table_is_there():
    assert len(tempered()) >= 17


@pytest.mark.parametrize("timbre", TIMBRES)
@pytest.mark.parametrize(("name", "midi", "hz"), [row for row in tempered() if row[1] >= 28])
def test_fundamental_is_within_a_cent_of_the_table(timbre, name, midi, hz):
    assert abs(measured_cents_off(midi, hz, timbre)) < 1


@pytest.mark.parametrize("timbre", TIMBRES)
def test_fundamental_of_the_lowest_and_highest_tones_of_a_keyboard(timbre):
    # A0 = 27.5 Hz and C8 = 4186.009 Hz: ISO 16 and equal temperament
    assert abs(measured_cents_off(21, 27.5, timbre)) < 1
    assert abs(measured_cents_off(108, 4186.009, timbre)) < 1


def test_another_tuning_a_moves_every_tone():
    # 415.3047 Hz is G#4 at A4 = 440: a semitone lower, 100 cents
    assert abs(measured_cents_off(69, 415.0, "held", a4=415.0)) < 1
    assert abs(measured_cents_off(60, 415.0 / 2 ** (9 / 12), "struck", a4=415.0)) < 1


@pytest.mark.parametrize("timbre", TIMBRES)
@pytest.mark.parametrize("midi", [28, 60, 84])
def test_partials_are_exactly_harmonic(timbre, midi):
    samples = tone(midi, 2 * SAMPLE_RATE, timbre_named(timbre), SAMPLE_RATE)
    hz = 440.0 * 2 ** ((midi - 69) / 12)
    for number in (2, 3):  # whole multiples: the definition of a harmonic
        near = number * hz
        found = strongest_hz(samples, SAMPLE_RATE, near * 0.985, near * 1.015)
        assert abs(1200 * np.log2(found / near)) < 1


@pytest.mark.parametrize("timbre", TIMBRES)
@pytest.mark.parametrize("midi", [LOWEST, 21, 60, 108, HIGHEST])
def test_tone_starts_from_silence_and_stays_finite(timbre, midi):
    samples = tone(midi, SAMPLE_RATE, timbre_named(timbre), SAMPLE_RATE)
    assert samples[0] == 0.0
    assert np.all(np.isfinite(samples))
    assert np.max(np.abs(samples)) > 0.1


@pytest.mark.parametrize("timbre", ["struck", "plucked"])
def test_a_string_dies_away_and_the_bass_rings_longer(timbre):
    def late_share(midi: int) -> float:
        samples = tone(midi, 2 * SAMPLE_RATE, timbre_named(timbre), SAMPLE_RATE)
        return float(np.std(samples[-SAMPLE_RATE // 4 :]) / np.std(samples[: SAMPLE_RATE // 4]))

    assert late_share(84) < late_share(60) < late_share(36) < 1  # common practice, no source: as on a piano or guitar


@pytest.mark.parametrize("timbre", ["held", "plain"])
def test_a_held_tone_stays_as_loud(timbre):
    samples = tone(60, 2 * SAMPLE_RATE, timbre_named(timbre), SAMPLE_RATE)
    early, late = samples[SAMPLE_RATE // 4 : SAMPLE_RATE // 2], samples[-SAMPLE_RATE // 4 :]
    assert np.std(late) == pytest.approx(np.std(early), rel=0.02)


def test_nothing_sounds_above_half_the_sample_rate_or_folds_back():
    # C8 has room for two partials below 11.025 kHz; a folded third (12.56 kHz) would stand at 9.49 kHz
    samples = tone(108, SAMPLE_RATE, timbre_named("struck"), SAMPLE_RATE)
    spectrum = np.abs(np.fft.rfft(samples * np.blackman(len(samples))))
    assert spectrum[9300:9700].max() < 1e-3 * spectrum.max()


def test_every_timbre_that_an_excerpt_may_have_is_built():
    assert tuple(TIMBRES) == tuple(excerpt.TIMBRES)


def test_names_and_numbers_that_do_not_exist():
    with pytest.raises(MediaError, match="timbre 'brass'; allowed: struck, plucked, held, plain"):
        timbre_named("brass")
    for a4 in (0, -440, 44, 4400, float("nan")):
        with pytest.raises(MediaError, match="a4"):
            check_a4(a4)
