"""What the microphone widget makes of a recording, and what is kept of it.

Recordings are made here with numpy from frequencies alone (ISO 16: A4 = 440 Hz; 12-tone equal temperament, A4 = MIDI 69).
"""

import io
import wave

import numpy as np
import pytest

from musictheory_nb.practice.sung_input import SungInput
from musictheory_nb.widgets.lesson_session import open_lesson
from musictheory_nb.widgets.microphone import Microphone

RATE = 48_000


def hertz(midi):
    return 440.0 * 2 ** ((midi - 69) / 12)


def sung(*notes, seconds=0.6, gap=0.25, level=0.3):
    """Tones of six partials with silences between, as 16-bit samples."""
    parts = []
    for note in notes:
        midi, length = note if isinstance(note, tuple) else (note, seconds)
        at = np.arange(int(length * RATE)) / RATE
        tone = sum(np.sin(2 * np.pi * n * hertz(midi) * at) / n for n in range(1, 7))
        parts += [tone * np.minimum(1, np.minimum(at, at[-1] - at) / 0.02), np.zeros(int(gap * RATE))]
    samples = np.concatenate(parts)
    return np.rint(32767 * level * samples / max(1e-9, np.max(np.abs(samples)))).astype("<i2").tobytes()


def record(microphone, pcm):
    """As the page does: the samples, then the number of the take."""
    microphone.set_state({"recording": memoryview(pcm), "sample_rate": RATE})
    microphone.set_state({"take": microphone.take + 1, "edit": microphone.edit + 1})
    assert microphone.heard == microphone.take
    assert microphone.failures == []


def test_notes_are_found_to_a_few_cents_in_order():
    microphone = Microphone(SungInput(3))
    record(microphone, sung(60, 64.2, 67))
    assert microphone.value == pytest.approx([60, 64.2, 67], abs=0.05)
    assert microphone.told.startswith("Heard: C4")
    assert "E4 (20 cents high)" in microphone.told


def test_another_tuning_of_the_instrument():
    microphone = Microphone(SungInput(1), a4_hz=415.0)
    record(microphone, sung(69 + 12 * np.log2(415 / 440)))
    assert microphone.value == pytest.approx([69], abs=0.05)


def test_a_scoop_into_a_note_is_no_note():
    microphone = Microphone(SungInput(2))
    record(microphone, sung((56, 0.12), 60, 64, gap=0.1))
    assert microphone.value == pytest.approx([60, 64], abs=0.05)


@pytest.mark.parametrize(
    ("pcm", "told"),
    [
        (b"", "Nothing was heard"),
        (bytes(2 * RATE), "Nothing was heard"),
        (sung(60, level=0.002), "Nothing was heard"),
        (np.random.default_rng(1).normal(0, 3000, RATE).astype("<i2").tobytes(), "No note was found"),
        (sung(60), "One note was heard (C4"),
        (sung(60, 62, 64), "Three notes were heard"),
        (sung(60, 97), "lies beyond E2 to C6"),
    ],
    ids=["empty", "silence", "far away", "noise", "too few", "too many", "too high"],
)
def test_what_is_no_answer_is_told_and_not_taken(pcm, told):
    microphone = Microphone(SungInput(2), value=[60.0, 64.0])
    record(microphone, pcm)
    assert microphone.value == []
    assert told in microphone.told
    assert microphone.told.endswith((".", "again."))


def test_marked_it_tells_both():
    microphone = Microphone(SungInput(1), value=[60.25], right=[62.0], locked=True)
    assert microphone.told == "You sang or played: C4 (25 cents high)."
    assert microphone.right_words == "D4"


def test_an_answer_given_in_another_way_takes_the_line_away():
    microphone = Microphone(SungInput(1), value=[60.0])
    microphone.value = []
    assert microphone.told == "Nothing recorded yet."


# -- what is kept ------------------------------------------------------------------------------------------------


def answered(folder, keep, student="ines-orta"):
    lesson = open_lesson("demo", student=student, seed=7, folder=folder)
    view = lesson.exercise("echo", "degree-play-back", count=1, settings={"inputs": ["sung", "keys"]})
    (box,) = view.step_boxes
    (microphone,) = box.recorders
    assert microphone.offers_keeping
    assert not microphone.keep
    right = view.item.solution[box.step.id]["sung"]
    record(microphone, sung(*right))
    microphone.keep = keep
    assert view.check().score == 1.0
    return microphone


def test_without_consent_no_recording_is_kept(tmp_path):
    microphone = answered(tmp_path, keep=False)
    assert microphone.kept == ""
    assert [path.suffix for path in tmp_path.iterdir()] == [".jsonl"]


def test_with_consent_the_teacher_can_hear_the_answer(tmp_path):
    microphone = answered(tmp_path, keep=True)
    (path,) = tmp_path.glob("*.wav")
    assert path.name in microphone.kept
    assert path.name.startswith("demo.ines-orta.echo-1.")
    with wave.open(io.BytesIO(path.read_bytes())) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        assert file.readframes(file.getnframes()) == microphone.recording


def test_a_preview_keeps_nothing(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    answered(tmp_path, keep=True, student="")
    assert list(tmp_path.iterdir()) == []


def test_a_recording_that_cannot_be_written_costs_no_answer(tmp_path, monkeypatch):
    def full(_path, _data):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.write_bytes", full)
    microphone = answered(tmp_path, keep=True)
    assert "could not be kept" in microphone.kept
    assert "No space left" in microphone.kept
    assert len((tmp_path / "demo.ines-orta.answers.jsonl").read_text(encoding="utf-8").splitlines()) == 2
