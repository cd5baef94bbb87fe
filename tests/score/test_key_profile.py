import csv
from pathlib import Path

import numpy as np
import pytest

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.key_profile import PROFILE_MODES, PROFILES, key_profile, profile_correlations

PUBLISHED = Path(__file__).parents[1] / "published"


def _rows():
    # tests/published/key_profiles.tsv names the publications and the edition of the values.
    with open(PUBLISHED / "key_profiles.tsv", encoding="utf-8") as file:
        return list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))


@pytest.mark.parametrize("row", _rows(), ids=lambda row: f"{row['profile']} {row['mode']}")
def test_profile_has_the_published_values(row):
    name = row["profile"].removesuffix(" as in music21")
    assert key_profile(name, row["mode"]).tolist() == [float(row[str(at)]) for at in range(12)]


@pytest.mark.parametrize(
    ("name", "of_music21"),
    [("Krumhansl-Kessler", "KrumhanslKessler"), ("Temperley-Kostka-Payne", "TemperleyKostkaPayne")],
)
@pytest.mark.parametrize("mode", ["major", "minor"])
def test_profile_is_that_of_music21(name, of_music21, mode):
    from music21.analysis import discrete

    weights = getattr(discrete, of_music21)().getWeights(mode)
    assert key_profile(name, mode).tolist() == pytest.approx(list(weights))


@pytest.mark.parametrize("name", PROFILES)
@pytest.mark.parametrize("mode", PROFILE_MODES)
@pytest.mark.parametrize("tonic", range(12))
def test_profile_itself_belongs_to_its_key(name, mode, tonic):
    # Law: the correlation of a profile with itself is 1, and no other key's is higher.
    found = profile_correlations(np.roll(key_profile(name, mode), tonic), name)
    assert found[tonic, mode] == pytest.approx(1.0)
    assert max(found.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("bad", ["Krumhansl", "", "krumhansl-kessler"])
def test_unknown_profile_is_refused_and_quoted(bad):
    with pytest.raises(ScoreError, match=f"key profile '{bad}'"):
        key_profile(bad, "major")


def test_unknown_mode_is_refused_and_quoted():
    with pytest.raises(ScoreError, match="mode 'locrian'"):
        key_profile("Krumhansl-Kessler", "locrian")


def test_even_amounts_have_no_key():
    with pytest.raises(ScoreError, match="all twelve pitch classes sound alike"):
        profile_correlations(np.full(12, 3.0), "Krumhansl-Kessler")
