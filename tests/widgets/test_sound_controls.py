"""Which fields stand beside a sound, and what is made when they are set. What makes sense is common practice, no source."""

from dataclasses import replace
from fractions import Fraction as F

import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.practice.counted_in import counted_in
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.widgets.media_box import MediaBox
from musictheory_nb.widgets.sound_controls import sound_controls


def duet(measures=6, names=("Violin", "Cello"), low="C3"):
    return Excerpt(
        tuple(ExcerptPart(name, clef) for name, clef in zip(names, ("treble", "bass"), strict=True)),
        tuple(ExcerptMeasure(str(n + 1), F(4)) for n in range(measures)),
        tuple(ExcerptNote(0, n, F(k), F(1), ("C5",)) for n in range(measures) for k in range(4))
        + tuple(ExcerptNote(1, n, F(0), F(4), (low,)) for n in range(measures)),
        tempo=F(120),
    )


def controls(music=None, **request):
    return sound_controls(MediaRequest("sound", music or duet(), "Hear it", **request), "demo")


def test_each_field_stands_where_it_makes_sense():
    assert controls().offers == [
        "parts", "measures", "tempo", "repeat", "count-in", "metronome", "drone", "timbre", "register",
    ]  # fmt: skip
    assert "parts" not in controls(parts=(1,)).offers
    assert controls(first=2, last=2).offers == ["parts", "tempo", "repeat", "timbre"]
    assert controls(Excerpt.melody(["C4", "E4"], together=True)).offers == ["repeat", "timbre"]
    assert controls(Excerpt.melody(["C4", "E4"])).offers == ["tempo", "repeat", "timbre"]


def test_a_family_leaves_out_what_would_give_the_answer_away():
    assert controls(controls=("tempo", "count-in")).offers == ["tempo", "count-in"]
    assert controls(controls=()).offers == []
    limited = controls(hearings=2)
    assert (limited.most_plays, "repeat" in limited.offers) == (2, False)
    chosen = controls(controls=("tempo",), choose_measures=True)
    assert (chosen.choose_measures, chosen.offers) == (True, ["measures", "tempo"])


def test_a_dictation_that_is_counted_in_gets_no_second_beat_and_no_voice_alone():
    heard = counted_in(duet(), "4/4")
    assert controls(heard).offers == ["measures", "tempo", "repeat", "timbre"]


def test_parts_without_names_of_their_own_are_numbered():
    assert controls(duet(names=("Piano", "Piano"))).parts == [[0, "Piano (1)"], [1, "Piano (2)"]]
    assert controls(duet(names=("", ""))).parts == [[0, "Part 1"], [1, "Part 2"]]


def test_music_is_moved_no_further_than_a_piano_goes():
    """A piano goes from A0 to C8 (MIDI numbers 21 to 108)."""
    assert [octaves for octaves, _ in controls(duet(low="E1")).registers] == [0, 1, 2]
    assert [octaves for octaves, _ in controls().registers] == [-2, -1, 0, 1, 2]


def test_what_is_set_is_made_and_kept():
    one = controls(first=1, last=4)
    assert (one.span, one.first, one.last, len(one.measure_starts_s)) == ([1, 4], 1, 4, 4)
    plain = one.wav
    one.options = {"percent": 50, "parts": [1], "metronome": True}
    one.request += 1
    assert one.ready == one.request
    assert one.made == {"first": 1, "last": 4, "options": dict(one.options)}
    assert one.measure_starts_s == pytest.approx([0.05, 4.05, 8.05, 12.05])  # four quarters at 60
    slow = one.wav
    one.options = {}
    one.request += 1
    assert one.wav == plain
    one.options = {"metronome": True, "parts": [1], "percent": 50}
    one.load(1, 4)
    assert one.wav is not None
    assert one.wav == slow


@pytest.mark.parametrize("options", [{"percent": 500}, {"octaves": "up"}, {"parts": [7]}, {"loud": True}])
def test_what_a_page_may_not_ask_for_is_told(options):
    one = controls()
    one.options = options
    with pytest.raises(MediaError):
        one.request += 1
    assert one.problem
    assert one.ready != one.request


def test_notation_beside_the_sound_knows_its_music_and_its_first_measure():
    box = MediaBox("demo")
    request = MediaRequest("sound", duet(), "Hear it", choose_measures=True, first=2, last=3)
    box.show((request, replace(request, kind="notation")))
    (one,) = box.listening
    view = box.children[-1]
    assert (view.music, view.first) == (one.music, 2)
    before = view.svg
    box.hear(0, 1)
    assert (view.first, one.first, one.last) == (0, 0, 1)
    assert view.svg != before
