"""Clips: WAV as the standard library reads it, onsets, ties, grace notes, sounding pitch, fades and joins."""

import hashlib
import io
import struct
import subprocess
import sys
import wave
from fractions import Fraction as F

import numpy as np
import pytest
from scipy.signal import zoom_fft

from musictheory_nb.errors import MediaError
from musictheory_nb.media.passage import passage
from musictheory_nb.media.sound import LEAD_S, LONGEST_S, SAMPLE_RATE, Clip, render_sound
from musictheory_nb.media.sounding_note import sounding_notes
from musictheory_nb.media.tone import TIMBRES
from musictheory_nb.media.wav import wav_bytes
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.media_request import MediaRequest


def samples_of(clip: Clip) -> np.ndarray:
    with wave.open(io.BytesIO(clip.wav)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2") / 32768


def onset_s(clip: Clip, after_s: float, before_s: float) -> float:
    """Where the sound first passes 40 dB below its peak between two times (the music there begins after a rest)."""
    samples = samples_of(clip)[int(after_s * SAMPLE_RATE) : int(before_s * SAMPLE_RATE)]
    loud = np.flatnonzero(np.abs(samples) > 0.01 * np.max(np.abs(samples)))
    assert len(loud)
    return after_s + float(loud[0]) / SAMPLE_RATE


def level_at(clip: Clip, hz: float, from_s: float, to_s: float) -> float:
    """Strength of one frequency in a stretch of the clip."""
    samples = samples_of(clip)[int(from_s * SAMPLE_RATE) : int(to_s * SAMPLE_RATE)]
    return float(np.max(np.abs(zoom_fft(samples * np.hanning(len(samples)), [hz - 3, hz + 3], m=61, fs=SAMPLE_RATE))))


def fundamental_hz(clip: Clip, from_s: float, to_s: float, near: float) -> float:
    samples = samples_of(clip)[int(from_s * SAMPLE_RATE) : int(to_s * SAMPLE_RATE)]
    low, high = near * 2 ** (-1 / 24), near * 2 ** (1 / 24)
    level = np.abs(zoom_fft(samples * np.blackman(len(samples)), [low, high], m=4001, fs=SAMPLE_RATE, endpoint=True))
    return float(np.linspace(low, high, 4001)[int(np.argmax(level))])


def cents(hz: float, reference: float) -> float:
    return float(1200 * np.log2(hz / reference))


# -- the file ------------------------------------------------------------------------------------------------------------


def test_the_standard_library_reads_the_file():
    clip = render_sound(Excerpt.melody(["A4"], [2], tempo=60))
    with wave.open(io.BytesIO(clip.wav)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, clip.sample_rate)
        assert file.getnframes() / file.getframerate() == pytest.approx(clip.seconds)
    # RIFF: the size field counts what follows it
    assert struct.unpack("<I", clip.wav[4:8])[0] == len(clip.wav) - 8


def test_samples_survive_the_file_exactly():
    samples = np.array([0.0, 1.0, -1.0, 0.5, -0.25])
    with wave.open(io.BytesIO(wav_bytes(samples, 22050))) as file:
        read = np.frombuffer(file.readframes(5), dtype="<i2")
    assert read.tolist() == [0, 32767, -32767, 16384, -8192]


@pytest.mark.parametrize("bad", [[1.5], [float("nan")], [0.0, float("-inf")]])
def test_samples_beyond_full_scale_are_refused(bad):
    with pytest.raises(MediaError, match="full scale"):
        wav_bytes(np.array(bad), 22050)


def test_a_piece_of_three_minutes_stays_under_ten_megabytes():
    measures = tuple(ExcerptMeasure(str(n), F(2), "2/4") for n in range(140))
    notes = tuple(ExcerptNote(0, n, F(0), F(2), ("C4", "E4")) for n in range(140))
    clip = render_sound(Excerpt((ExcerptPart(""),), measures, notes, tempo=F(96)))
    assert clip.seconds > 170
    assert len(clip.wav) < 10_000_000


def test_equal_music_gives_equal_bytes_in_another_process():
    code = (
        "import hashlib;from musictheory_nb.practice.excerpt import Excerpt;"
        "from musictheory_nb.media.sound import render_sound;"
        "print(hashlib.sha256(render_sound(Excerpt.melody(['B3','F4','C#5'])).wav).hexdigest())"
    )
    here = hashlib.sha256(render_sound(Excerpt.melody(["B3", "F4", "C#5"])).wav).hexdigest()
    other = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, encoding="utf-8")
    assert other.stdout.strip() == here


# -- time ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("timbre", TIMBRES)
@pytest.mark.parametrize("tempo", [60, 96, 137])
def test_onsets_are_within_a_millisecond(timbre, tempo):
    # every other quarter is a rest, so that each note begins in silence
    written = ["C4", "", "E5", "", "G3", "", "C6"]
    clip = render_sound(Excerpt.melody(written, tempo=tempo, timbre=timbre))
    quarter = 60 / tempo
    for at in (0, 2, 4, 6):
        start = clip.measure_starts_s[0] + at * quarter
        found = onset_s(clip, max(0.0, start - 0.2 * quarter), start + 0.5 * quarter)
        assert abs(found - start) <= 0.001


@pytest.mark.parametrize("timbre", TIMBRES)
def test_no_sample_is_early(timbre):
    clip = render_sound(Excerpt.melody(["", "C4"], tempo=60, timbre=timbre))
    begin = round((clip.measure_starts_s[0] + 1) * SAMPLE_RATE)
    samples = samples_of(clip)
    assert not samples[: begin - 1].any()
    assert samples[begin : begin + round(0.001 * SAMPLE_RATE) + 22].any()


def test_measure_starts_follow_lengths_and_tempo():
    measures = (ExcerptMeasure("0", F(1), "3/4"), ExcerptMeasure("1", F(3), "3/4"), ExcerptMeasure("2", F(3), "3/4"))
    notes = tuple(ExcerptNote(0, at, F(0), measures[at].length, ("G4",)) for at in range(3))
    waltz = Excerpt((ExcerptPart(""),), measures, notes, tempo=F(180))
    clip = render_sound(waltz)
    assert np.diff(clip.measure_starts_s).tolist() == pytest.approx([1 / 3, 1.0])
    slow = render_sound(waltz, tempo=60, first=1)
    assert np.diff(slow.measure_starts_s).tolist() == pytest.approx([3.0])
    assert slow.measure_starts_s[0] == LEAD_S


def test_tied_notes_sound_as_one():
    tied = Excerpt.melody(["A4", "A4"], tempo=60, timbre="struck")
    first, second = (
        ExcerptNote(0, 0, F(0), F(1), ("A4",), tie="start"),
        ExcerptNote(0, 0, F(1), F(1), ("A4",), tie="stop"),
    )
    joined = Excerpt(tied.parts, tied.measures, (first, second), tempo=F(60))
    one = Excerpt.melody(["A4"], [2], tempo=60, timbre="struck")
    assert render_sound(joined).wav == render_sound(one).wav
    assert render_sound(tied).wav != render_sound(one).wav


def test_ties_across_measures_voices_and_chords(music):
    heard = sounding_notes(passage(music["rag"], tempo=60))
    # tied from the last eighth of measure 1 into the first sixteenth of measure 2: three sixteenths from 1.5 s
    assert [(n.start_s, n.length_s) for n in heard if n.midi == 80 and n.start_s == 1.5] == [(1.5, 0.75)]
    assert not [n for n in heard if n.midi == 80 and n.start_s == 2.0]
    part = ExcerptPart("")
    measures = (ExcerptMeasure("1", F(2), "2/4"), ExcerptMeasure("2", F(2), "2/4"))
    chords = Excerpt(
        (part,),
        measures,
        (
            ExcerptNote(0, 0, F(0), F(2), ("C4", "E4", "G4"), 1, "start"),
            ExcerptNote(0, 1, F(0), F(2), ("C4", "F4", "G4"), 2, "stop"),
        ),
    )
    heard = sounding_notes(passage(chords, tempo=60))
    assert [(n.midi, n.start_s, n.length_s) for n in heard] == [
        (60, 0.0, 4.0),
        (64, 0.0, 2.0),
        (67, 0.0, 4.0),
        (65, 2.0, 2.0),
    ]


def test_a_tie_that_leads_nowhere_changes_nothing():
    plain = Excerpt.melody(["A4", "B4"])
    notes = tuple(ExcerptNote(n.part, n.measure, n.onset, n.duration, n.pitches, 1, "continue") for n in plain.notes)
    assert render_sound(Excerpt(plain.parts, plain.measures, notes, tempo=plain.tempo)).wav == render_sound(plain).wav


def test_grace_notes_are_short_and_come_before_the_beat(music):
    heard = sounding_notes(passage(music["band"], tempo=60, parts=[0]))
    by_midi = {note.midi: note for note in heard}
    assert by_midi[61].start_s < 0 < by_midi[61].length_s < 0.11  # C#4 before the first beat
    assert by_midi[62].start_s == 0  # D4 keeps its place
    before = [note for note in heard if 1.7 < note.start_s < 2]
    assert [note.midi for note in before] == [67, 69]  # G4, A4, in turn, before the third beat
    assert before[0].start_s + before[0].length_s == pytest.approx(before[1].start_s)
    assert before[1].start_s + before[1].length_s == pytest.approx(2)
    clip = render_sound(music["band"], parts=[0])
    assert clip.measure_starts_s[0] > LEAD_S  # room for the grace note
    assert onset_s(clip, 0.0, clip.measure_starts_s[0]) == pytest.approx(LEAD_S, abs=0.004)


# -- pitch ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "written", "sounding_hz"),
    [
        # transpositions: handbooks of orchestration; frequencies: equal temperament at A4 = 440
        (ExcerptPart("Clarinet in B flat", chromatic=-2, diatonic=-1), "C5", 466.1638),
        (ExcerptPart("Horn in F", chromatic=-7, diatonic=-4), "E5", 440.0),
        (ExcerptPart("Double bass", "bass", chromatic=-12, diatonic=-7), "A3", 110.0),
        (ExcerptPart("Piccolo", chromatic=12, diatonic=7), "A4", 880.0),
        (ExcerptPart("Violin"), "A4", 440.0),
    ],
    ids=lambda value: value.name if isinstance(value, ExcerptPart) else None,
)
def test_transposing_parts_sound_at_concert_pitch(part, written, sounding_hz):
    measure = ExcerptMeasure("1", F(2), "2/4")
    clip = render_sound(Excerpt((part,), (measure,), (ExcerptNote(0, 0, F(0), F(2), (written,)),), tempo=F(60)))
    assert abs(cents(fundamental_hz(clip, 0.05, 2.05, sounding_hz), sounding_hz)) < 1


@pytest.mark.parametrize("timbre", TIMBRES)
def test_pitch_in_the_finished_clip(timbre):
    # levelled and rounded to 16 bits, still within a cent: E1 = 41.203 Hz, B3 = 246.9417 Hz, C7 = 2093.005 Hz
    for pitch, hz in (("E1", 41.2034), ("B3", 246.9417), ("C7", 2093.0045)):
        clip = render_sound(Excerpt.melody([pitch], [3], tempo=60, timbre=timbre))
        assert abs(cents(fundamental_hz(clip, 0.1, 2.9, hz), hz)) < 1


def test_spelling_does_not_change_the_sound():
    assert render_sound(Excerpt.melody(["F#4", "Cb5"])).wav == render_sound(Excerpt.melody(["Gb4", "B4"])).wav


def test_all_notes_of_a_chord_sound_for_their_whole_length():
    clip = render_sound(Excerpt.melody(["C4", "E4", "G4"], [2], together=True, tempo=60, timbre="held"))
    for hz in (261.6256, 329.6276, 391.9954):
        for at in (0.2, 1.0, 1.7):
            assert level_at(clip, hz, at, at + 0.3) > 10 * level_at(clip, 293.6648, at, at + 0.3)  # no D sounds


def test_another_tuning():
    clip = render_sound(Excerpt.melody(["A4"], [2], tempo=60), a4=415)
    assert abs(cents(fundamental_hz(clip, 0.1, 2, 415.0), 415.0)) < 1


# -- smoothness ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("timbre", TIMBRES)
@pytest.mark.parametrize("pitches", [["C3"] * 8, ["C3", "G3", "Eb3", "C4"], ["C3", "", "C3", ""]])
def test_joins_do_not_click(timbre, pitches):
    """No join is steeper than the steepest wave inside one long tone of the same pitches at the same peak."""
    clip = samples_of(render_sound(Excerpt.melody(pitches, tempo=120, timbre=timbre)))
    smooth = 0.0
    for pitch in {pitch for pitch in pitches if pitch}:
        whole = samples_of(render_sound(Excerpt.melody([pitch], [4], tempo=120, timbre=timbre)))
        smooth = max(smooth, float(np.max(np.abs(np.diff(whole[4000:9000]))) / np.max(np.abs(whole))))
    steepest = float(np.max(np.abs(np.diff(clip))) / np.max(np.abs(clip)))
    assert steepest < 2.5 * smooth  # two tones may overlap while one is let go


@pytest.mark.parametrize("timbre", TIMBRES)
def test_clip_begins_and_ends_in_silence(timbre):
    samples = samples_of(render_sound(Excerpt.melody(["C4"], timbre=timbre)))
    edge = round(0.005 * SAMPLE_RATE)
    assert np.max(np.abs(samples[:edge])) < 1e-3
    assert np.max(np.abs(samples[-edge:])) < 1e-3


# -- choice --------------------------------------------------------------------------------------------------------------


def test_a_request_brings_its_own_span_parts_and_tempo(chorale):
    asked = MediaRequest("sound", chorale, "Bass", first=1, last=2, parts=(3,), tempo=F(60))
    same = render_sound(chorale, first=1, last=2, parts=[3], tempo=60)
    assert render_sound(asked).wav == same.wav
    assert len(render_sound(asked).measure_starts_s) == 2
    assert len(render_sound(asked, first=0, last=-1).measure_starts_s) == len(chorale.measures)


def test_measures_of_a_longer_clip_sound_as_they_do_alone(chorale):
    whole, alone = render_sound(chorale, parts=[0]), render_sound(chorale, first=3, last=3, parts=[0])
    begin = round(whole.measure_starts_s[3] * SAMPLE_RATE)
    start = round(alone.measure_starts_s[0] * SAMPLE_RATE)
    length = SAMPLE_RATE // 3
    ours, theirs = samples_of(whole)[begin : begin + length], samples_of(alone)[start : start + length]
    assert np.corrcoef(ours, theirs)[0, 1] > 0.9  # the release of the note before it is the difference


@pytest.mark.parametrize(
    ("keywords", "message"),
    [
        ({"first": 2}, "measures 2 to 0: this music has the measure indices 0 to 0"),
        ({"last": 7}, "measures 0 to 7"),
        ({"parts": [1]}, "part 1: this music has the part indices 0 to 0"),
        ({"parts": [-1]}, "part -1"),
        ({"tempo": 0}, "tempo '0'"),
        ({"tempo": F(1, 2)}, "tempo '1/2'"),
        ({"tempo": 10_000}, "tempo '10000'"),
        ({"a4": 44}, "a4 44"),
    ],
)
def test_what_does_not_exist_is_refused_and_quoted(keywords, message):
    with pytest.raises(MediaError, match=message):
        render_sound(Excerpt.melody(["B3", "F4"]), **keywords)


def test_pitches_out_of_hearing_unknown_timbres_and_endless_clips_are_refused():
    for pitch in ("C-1", "G9"):
        with pytest.raises(MediaError, match="tones go from C0"):
            render_sound(Excerpt.melody([pitch]))
    with pytest.raises(MediaError, match="pitch 'H4'"):
        render_sound(Excerpt.melody(["H4"]))
    endless = Excerpt((ExcerptPart(""),), tuple(ExcerptMeasure(str(n), F(4)) for n in range(40)), ())
    with pytest.raises(MediaError, match="the longest is"):
        render_sound(endless, tempo=10)
    assert LONGEST_S >= 300
    with pytest.raises(MediaError, match="give a MediaRequest or an Excerpt"):
        render_sound("C4")


def test_the_sound_module_loads_numpy_only_when_it_sounds():
    code = "import sys, musictheory_nb.media.sound; print('numpy' in sys.modules)"
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, encoding="utf-8")
    assert answer.stdout.strip() == "False"
