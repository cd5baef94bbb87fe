"""Music heard otherwise: slower at the same pitch, counted in, with clicks, over a held note, in another timbre or register.

Frequencies are those of twelve-tone equal temperament at A4 = 440 Hz (ISO 16); the level is that of EBU R 128 as this
project sets it (-23 LUFS, peak at most -6 dBFS), measured by pyloudnorm; times follow from the tempo.
"""

from fractions import Fraction as F

import numpy as np
import pyloudnorm
import pytest
from scipy.signal import butter, sosfiltfilt
from test_sound import cents, fundamental_hz, level_at, onset_s, samples_of

from musictheory_nb.errors import ExerciseError, MediaError
from musictheory_nb.media.click import ACCENT_HZ, BEAT_HZ
from musictheory_nb.media.listening_options import DRONES, ListeningOptions
from musictheory_nb.media.sound import LEAD_S, SAMPLE_RATE, render_sound
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.media_request import MediaRequest

HZ = {"C3": 130.813, "G3": 195.998, "C4": 261.626, "A4": 440.0, "E5": 659.255, "C5": 523.251, "C6": 1046.502}


def heard(music, **options):
    return render_sound(music, options=ListeningOptions(**options))


def click_times(clip):
    """Times at which something at the clicks' frequencies begins, from the envelope of that band."""
    band = butter(4, [900, 1700], "bandpass", fs=SAMPLE_RATE, output="sos")
    level = np.abs(sosfiltfilt(band, samples_of(clip)))
    level = np.convolve(level, np.ones(64) / 64, mode="same")
    loud = level > 0.25 * level.max()
    rises = np.flatnonzero(loud[1:] & ~loud[:-1])
    return [float(at) / SAMPLE_RATE for at in rises if not loud[max(0, at - 900) : at].any()]


def waltz(pickup=False, timbre="plain"):
    """Low notes, so that nothing of the music sounds where the clicks do."""
    lengths = ([F(1)] if pickup else []) + [F(3), F(3)]
    measures = tuple(ExcerptMeasure(str(at), length, "3/4") for at, length in enumerate(lengths, 0 if pickup else 1))
    notes = tuple(ExcerptNote(0, at, F(0), length, ("G2",)) for at, length in enumerate(lengths))
    return Excerpt((ExcerptPart("", "bass", timbre=timbre),), measures, notes, tempo=F(120))


@pytest.mark.parametrize("percent", [25, 50, 100, 150])
@pytest.mark.parametrize("timbre", ["struck", "held"])
def test_another_tempo_keeps_the_pitch_and_the_onsets(percent, timbre):
    clip = heard(Excerpt.melody(["A4", "", "E5", ""], tempo=96, timbre=timbre), percent=percent)
    quarter = 60 / 96 * 100 / percent
    for at, name in ((0, "A4"), (2, "E5")):
        start = clip.measure_starts_s[0] + at * quarter
        assert abs(onset_s(clip, max(0.0, start - 0.2 * quarter), start + 0.5 * quarter) - start) <= 0.001
        assert (
            abs(cents(fundamental_hz(clip, start + 0.05, start + 0.05 + min(0.3, 0.8 * quarter), HZ[name]), HZ[name]))
            < 1
        )


@pytest.mark.parametrize("percent", [50, 100])
def test_one_measure_is_counted_in_and_each_beat_clicks(percent):
    clip = heard(waltz(), count_in=True, metronome=True, percent=percent)
    beat = 0.5 * 100 / percent
    assert clip.measure_starts_s == pytest.approx([LEAD_S + 3 * beat, LEAD_S + 6 * beat])
    assert click_times(clip) == pytest.approx([LEAD_S + beat * at for at in range(9)], abs=0.004)
    for at in range(9):
        start = LEAD_S + beat * at
        wanted, other = (ACCENT_HZ, BEAT_HZ) if at % 3 == 0 else (BEAT_HZ, ACCENT_HZ)
        assert level_at(clip, wanted, start, start + 0.05) > 2 * level_at(clip, other, start, start + 0.05)


def test_the_first_click_and_the_first_note_are_within_a_millisecond():
    clip = heard(waltz(), count_in=True)
    assert abs(onset_s(clip, 0.0, LEAD_S + 0.2) - LEAD_S) <= 0.001
    assert abs(onset_s(clip, LEAD_S + 1.2, LEAD_S + 1.7) - clip.measure_starts_s[0]) <= 0.001


def test_a_count_in_alone_ends_where_the_music_begins():
    assert len(click_times(heard(waltz(), count_in=True))) == 3
    assert len(click_times(heard(waltz(), metronome=True))) == 6
    assert click_times(heard(waltz(), metronome=True))[0] == pytest.approx(LEAD_S, abs=0.004)


def test_a_pickup_falls_into_the_measure_that_is_counted_in():
    clip = heard(waltz(pickup=True), count_in=True, metronome=True)
    # common practice: one, two, and the pickup on three
    assert clip.measure_starts_s == pytest.approx([LEAD_S + 1.0, LEAD_S + 1.5, LEAD_S + 3.0])
    assert click_times(clip) == pytest.approx([LEAD_S + 0.5 * at for at in range(9)], abs=0.004)
    second = render_sound(waltz(pickup=True), first=1, options=ListeningOptions(count_in=True))
    assert second.measure_starts_s[0] == pytest.approx(LEAD_S + 1.5)


@pytest.mark.parametrize(
    ("metre", "length", "beats"),
    [("6/8", 3, [0, 1.5]), ("7/8", F(7, 2), [0, 1, 2]), ("2/2", 4, [0, 2]), ("4/8", 2, [0, 1])],
)
def test_the_beats_are_those_of_the_metre(metre, length, beats):
    """Common practice, no source: dotted beats in compound time, groups of 2, 2 and 3 in 7/8, halves in 2/2."""
    music = Excerpt(
        (ExcerptPart("", "bass", timbre="plain"),), (ExcerptMeasure("1", F(length), metre),),
        (ExcerptNote(0, 0, F(0), F(length), ("G2",)),), tempo=F(60),
    )  # fmt: skip
    assert click_times(heard(music, metronome=True)) == pytest.approx([LEAD_S + at for at in beats], abs=0.004)


def test_a_drone_sounds_from_the_count_in_to_the_end():
    clip = heard(Excerpt.melody(["", "A4", "", ""], tempo=60, timbre="plain"), drone="C3", count_in=True)
    start = clip.measure_starts_s[0]
    for second in (0.5, start + 0.3, start + 2.5):
        assert abs(cents(fundamental_hz(clip, second, second + 0.4, HZ["C3"]), HZ["C3"])) < 1
    # softer than the music, and gone after it
    assert level_at(clip, HZ["C3"], start + 1.1, start + 1.9) < level_at(clip, HZ["A4"], start + 1.1, start + 1.9)
    assert np.abs(samples_of(clip)[-200:]).max() < 0.001
    assert level_at(render_sound(Excerpt.melody(["A4"])), HZ["C3"], 0.1, 0.5) < 0.01 * level_at(
        clip, HZ["C3"], 0.5, 0.9
    )


@pytest.mark.parametrize(("octaves", "name"), [(-1, "C4"), (0, "C5"), (1, "C6")])
def test_another_register_sounds_octaves_away(octaves, name):
    clip = heard(Excerpt.melody(["C5"], [2], tempo=60), octaves=octaves)
    assert abs(cents(fundamental_hz(clip, 0.2, 1.0, HZ[name]), HZ[name])) < 1
    for other in set(HZ) & {"C4"} - {name}:
        assert level_at(clip, HZ[other], 0.2, 1.0) < 0.02 * level_at(clip, HZ[name], 0.2, 1.0)


def test_another_timbre_is_that_timbre():
    written = Excerpt.melody(["C4", "G3"], tempo=60, timbre="held")
    assert (
        heard(Excerpt.melody(["C4", "G3"], tempo=60, timbre="plucked"), timbre="held").wav == render_sound(written).wav
    )


def test_parts_that_are_chosen_sound_alone():
    two = Excerpt(
        (ExcerptPart("A"), ExcerptPart("B", "bass")), (ExcerptMeasure("1", F(2), "2/4"),),
        (ExcerptNote(0, 0, F(0), F(2), ("A4",)), ExcerptNote(1, 0, F(0), F(2), ("C3",))), tempo=F(60),
    )  # fmt: skip
    alone = heard(two, parts=(1,))
    assert alone.wav == render_sound(two, parts=[1]).wav
    assert level_at(alone, HZ["A4"], 0.1, 0.9) < 0.01 * level_at(render_sound(two), HZ["A4"], 0.1, 0.9)
    with pytest.raises(MediaError, match="part 2"):
        heard(two, parts=(2,))


@pytest.mark.parametrize(
    "options",
    [
        {"percent": 25, "count_in": True, "metronome": True, "drone": "C3"},
        {"metronome": True, "timbre": "struck", "octaves": -1},
        {"drone": "B3", "percent": 150},
        {"count_in": True},
    ],
)
def test_every_clip_is_at_the_level_of_the_house(options):
    clip = heard(waltz(timbre="struck"), **options)
    samples = samples_of(clip)
    assert np.abs(samples).max() <= 10 ** (-6 / 20) + 1e-4
    assert pyloudnorm.Meter(SAMPLE_RATE).integrated_loudness(samples) == pytest.approx(-23, abs=1)


@pytest.mark.parametrize(
    ("said", "problem"),
    [
        ({"percent": 24}, "tempo 24 %; allowed: 25 to 150 %"), ({"percent": 151}, "tempo 151"), ({"percent": 99.5}, "tempo"),
        ({"percent": True}, "tempo True"), ({"drone": "H3"}, "drone 'H3'"), ({"timbre": "loud"}, "timbre 'loud'; allowed: struck"),
        ({"octaves": 3}, "register 3; allowed: -2 to 2"), ({"parts": ["x"]}, "parts"), ({"parts": None}, "parts None"),
        ({"count_in": 1}, "count_in 1; allowed: True or False"), ({"echo": 1}, "listening option 'echo'; allowed: percent"),
    ],
)  # fmt: skip
def test_what_is_no_option_is_refused(said, problem):
    with pytest.raises(MediaError, match=problem.replace("(", r"\(")):
        ListeningOptions.of(said)


def test_each_drone_that_is_offered_is_the_note_that_it_says():
    assert list(DRONES) == ["C", "D♭", "D", "E♭", "E", "F", "F♯", "G", "A♭", "A", "B♭", "B"]
    clip = heard(Excerpt.melody(["", ""], tempo=60), drone=DRONES["G"])
    assert abs(cents(fundamental_hz(clip, 0.3, 1.2, HZ["G3"]), HZ["G3"])) < 1


def test_controls_that_a_family_leaves_are_checked_and_stand_in_the_item():
    two = Excerpt.melody(["C4", "E4"])
    limited = MediaRequest("sound", two, "Hear it", controls=("tempo",), hearings=3)
    assert {"controls": ["tempo"], "hearings": 3}.items() <= limited.to_data().items()
    assert not {"controls", "hearings"} & set(MediaRequest("sound", two, "Hear it").to_data())
    with pytest.raises(ExerciseError, match="media control 'echo'; allowed: parts, measures, tempo"):
        MediaRequest("sound", two, "Hear it", controls=("echo",))
    with pytest.raises(ExerciseError, match="media hearings -1"):
        MediaRequest("sound", two, "Hear it", hearings=-1)
