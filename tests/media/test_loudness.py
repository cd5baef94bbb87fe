"""Loudness and peak against ITU-R BS.1770-4, EBU Tech 3341 and pyloudnorm."""

import csv
import math
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest
from scipy.signal import lfilter

from musictheory_nb.media.loudness import (
    integrated_loudness_lufs,
    true_peak,
    weighted,
    weighting_coefficients,
    weighting_gain,
)

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(name: str) -> list[dict[str, str]]:
    with open(PUBLISHED / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader((row for row in file if not row.startswith("#")), delimiter="\t"))


def sine(hz: float, seconds: float, rate: int, dbfs: float = 0.0, phase: float = 0.0) -> np.ndarray:
    return 10 ** (dbfs / 20) * np.sin(2 * np.pi * hz * np.arange(round(seconds * rate)) / rate + phase)


def test_filter_coefficients_are_those_of_the_recommendation():
    published = rows("loudness.tsv")
    assert [row["stage"] for row in published] == ["shelf", "high-pass"]
    for ours, row in zip(weighting_coefficients(48000), published, strict=True):
        expected = (row["b0"], row["b1"], row["b2"], "1", row["a1"], row["a2"])
        assert ours == pytest.approx([float(number) for number in expected], abs=1e-9)


@pytest.mark.parametrize("rate", [22050, 32000, 44100, 48000])
def test_reference_sine(rate):
    # BS.1770-4 annex 1: a 997 Hz sine at 0 dBFS in one channel reads -3.01 LKFS
    assert integrated_loudness_lufs(sine(997, 5, rate), rate) == pytest.approx(-3.01, abs=0.05)


@pytest.mark.parametrize("row", rows("loudness_signals.tsv"), ids=lambda row: f"signal-{row['signal']}")
@pytest.mark.parametrize("rate", [22050, 48000])
def test_gating_on_the_test_signals_of_the_broadcasting_union(row, rate):
    levels, lengths = row["levels_dbfs"].split(), row["lengths_s"].split()
    samples = np.concatenate(
        [sine(1000, float(length), rate, float(level)) for level, length in zip(levels, lengths, strict=True)]
    )
    both_channels = 10 * math.log10(2)
    loudness = integrated_loudness_lufs(samples, rate) + both_channels
    assert loudness == pytest.approx(float(row["expected_lufs"]), abs=0.1)


@pytest.mark.parametrize("rate", [22050, 44100, 48000])
@pytest.mark.parametrize("kind", ["noise", "swelling noise", "low tone"])
def test_agrees_with_another_implementation(rate, kind):
    noise = np.random.default_rng(7).normal(size=6 * rate) * 0.05
    signals = {
        "noise": noise,
        "swelling noise": noise * np.linspace(0, 1, len(noise)) ** 3,
        "low tone": sine(55, 6, rate, -10),
    }
    theirs = pyloudnorm.Meter(rate).integrated_loudness(signals[kind])
    assert integrated_loudness_lufs(signals[kind], rate) == pytest.approx(theirs, abs=0.2)


@pytest.mark.parametrize("rate", [22050, 48000])
def test_weighting_by_blocks_is_the_recursive_filter(rate):
    samples = np.random.default_rng(3).normal(size=3 * rate)
    expected = samples
    for b0, b1, b2, a0, a1, a2 in weighting_coefficients(rate):
        expected = lfilter([b0, b1, b2], [a0, a1, a2], expected)
    assert np.max(np.abs(weighted(samples, rate) - expected)) < 1e-6


def test_weighting_gain_falls_in_the_bass_and_rises_in_the_treble():
    # BS.1770-4 annex 1, figures 2 and 4: about +4 dB above 2 kHz, nothing at 500 Hz, falling below 100 Hz
    low, middle, high = (20 * np.log10(np.abs(weighting_gain(hz, 48000))) for hz in (30, 500, 8000))
    assert low < -6
    assert abs(middle) < 0.2
    assert high == pytest.approx(4, abs=0.2)


def test_silence_and_near_silence_have_no_loudness():
    assert integrated_loudness_lufs(np.zeros(48000), 48000) == -math.inf
    assert integrated_loudness_lufs(sine(997, 2, 48000, -80), 48000) == -math.inf  # below the absolute gate of -70


def test_a_clip_shorter_than_a_block_counts_with_silence_up_to_the_block():
    # 200 ms of 400: half the power, 3.01 dB less
    assert integrated_loudness_lufs(sine(997, 0.2, 48000), 48000) == pytest.approx(-6.02, abs=0.1)


def test_true_peak_lies_between_the_samples():
    # BS.1770-4 annex 2: a sine of a quarter of the sample rate, sampled 45 degrees off its peaks, reads 3 dB too low
    samples = sine(12000, 1, 48000, 0, np.pi / 4)
    assert np.max(np.abs(samples)) == pytest.approx(math.sqrt(0.5), abs=1e-6)
    # EBU Tech 3341 asks for +0.2 / -0.4 dB
    assert -0.4 <= 20 * math.log10(true_peak(samples[4000:-4000] * np.hanning(40000))) <= 0.2


def test_true_peak_at_the_ends_and_of_nothing():
    assert true_peak(np.zeros(0)) == 0.0
    assert true_peak(np.zeros(5)) == 0.0
    assert true_peak(np.array([0.5])) >= 0.5
    assert true_peak(np.array([0.0, 0.0, -0.7])) >= 0.7
