"""Figured bass: notes by the thorough-bass realizer of music21 and worked examples; near misses by the docstring's tables."""

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.figured_chord import PLAIN, SHAPES, figure_case, figures_for, notes_above
from musictheory_nb.practice.numeral_vocabulary import LEVELS, numeral, numerals_of


def exercise(count=20, **settings):
    return Exercise("one", "figured-bass", settings, count=count, lesson="demo")


def made_of(chord, ask, **settings):
    made = exercise(1, items=[chord], ask=[ask], **settings)
    return made, made.item(1, 0)


def score(chord, ask, answered, **settings):
    made, item = made_of(chord, ask, **settings)
    return made.mark(item, {ask: {"symbol": answered}}).score


def numbers_of(chord):
    """How many letters each note lies above the bass, the highest first."""
    letters = "CDEFGAB"
    bass = letters.index(chord.bass.step)
    return sorted(((letters.index(name[0]) - bass) % 7 + 1 for name in chord.names[1:]), reverse=True)


def written_out(number, figures):
    """A number with its accidental in the figures; one by itself belongs to the third."""
    for figure in figures.split("/"):
        digits = figure.strip("#bn") or "3"
        if figure and int(digits) == number:
            return figure if figure.strip("#bn") else f"{figure}3"
    return str(number)


@pytest.mark.parametrize("key", ["C major", "G major", "E minor", "A minor"])
def test_figures_stand_for_the_notes_that_music21_realizes(key):
    """Every chord of every level: its figures over its bass, read by music21's realizer in its scale.

    The realizer knows no abbreviation with an accidental alone (7/#), so that all numbers are written out for it. It takes
    a flat as one more than the signature has, so that no key with flats is tried here; those are worked by hand below.
    """
    from music21.figuredBass.realizerScale import FiguredBassScale

    tonic, mode = key.split()
    scale = FiguredBassScale(tonic.replace("b", "-"), mode)
    tried = 0
    for figure in numerals_of(tuple(LEVELS), mode == "minor"):
        chord, figures = numeral(figure, key), figures_for(figure, key)
        full = ",".join(written_out(one, figures) for one in numbers_of(chord))
        theirs = scale.getPitchNames(chord.bass.name.replace("b", "-"), full)
        assert {name.replace("-", "b") for name in theirs} == set(chord.names), (figure, figures)
        tried += 1
    assert tried > 30


@pytest.mark.parametrize(
    ("chord", "figures"),
    [
        ("C major: I", ""),
        ("C major: I6", "6"),
        ("C major: I64", "6/4"),
        ("C major: V7", "7"),
        ("C major: V65", "6/5"),
        ("C major: V43", "4/3"),
        ("C major: V42", "4/2"),
        ("A minor: V", "#"),
        ("A minor: V6", "6"),
        ("C minor: V", "n"),
        ("A minor: V7", "7/#"),
        ("C major: V65/V", "6/5"),
        ("C major: V7/V", "7/#"),
        ("C major: V42/V", "#4/2"),
        ("C major: N6", "b6/b"),
        ("Eb major: N6", "b6/b"),
        ("Ab major: V", ""),
        ("F minor: V7", "7/n"),
        ("G minor: vii°7", "7"),
        ("A minor: It6", "#6"),
    ],
)
def test_figures_of_worked_examples(chord, figures):
    """The usual abbreviations, and accidentals against the signature (common practice, worked by hand)."""
    key, _, text = chord.partition(": ")
    assert figures_for(text, key) == figures
    _, item = made_of(chord, "figures")
    assert item.solution["figures"]["symbol"] == [figures or PLAIN]
    assert [one.text for one in item.media[2].excerpt.chords] == ([figures] if figures else [])


@pytest.mark.parametrize(
    ("chord", "answered", "worth"),
    [
        ("C major: V65", "6 5", 1.0),
        ("C major: V65", "653", 1.0),
        ("C major: I", "53", 1.0),
        ("C major: I", "5", 1.0),
        ("A minor: V", "#", 1.0),
        ("A minor: V", "#3", 1.0),
        ("A minor: V", "5/3", 0.5),  # the accidental is missing
        ("C major: V65", "6", 0.5),  # one note is missing
        ("C major: V6", "6/5", 0.5),  # one too many
        ("C major: V65", "4/2", 0.0),
        ("C major: I6", "6/4", 0.0),
    ],
)
def test_credit_of_figures_is_that_of_the_table(chord, answered, worth):
    """The rows of the docstring, read off by hand."""
    assert score(chord, "figures", answered) == worth
    assert score(chord, "figures", answered, partial=False) == (worth if worth == 1.0 else 0.0)


@pytest.mark.parametrize(
    ("answered", "worth"),
    [
        ("D F G", 1.0),
        ("G B D F", 1.0),  # the bass may be given again
        ("D F", 2 / 3),
        ("D F G A", 2 / 3),
        ("D E# G", 5 / 6),
        ("C E", 0.0),
    ],
)
def test_credit_of_notes_is_that_of_the_table(answered, worth):
    """Above B, 6/5 of C major is D F G; counted by hand."""
    assert score("C major: V65", "notes", answered) == pytest.approx(worth)


def test_a_note_below_the_bass_costs_its_share():
    made, item = made_of("C major: V65", "notes")
    bass = int(item.key["bass"][-1])
    rows = [[[f"D{bass + 1}", f"F{bass + 1}", f"G{bass - 1}"], "1", False]]
    assert made.mark(item, {"notes": {"staff": rows}}).score == pytest.approx(0.75)


def test_choices_hold_every_shape_and_one_of_them_in_two_versions():
    """So that an accidental in the list does not give the answer away."""
    made = exercise(60, ask=["figures"], levels=list(LEVELS))
    for index in range(made.count):
        item = made.item(3, index)
        bass = item.key["bass"][:-1]
        texts = [option.value for option in item.response.steps[0].inputs[0].options]
        cases = [figure_case(bass, item.key["figures"], text, item.key["key"]) for text in texts]
        assert cases.count("right") == 1
        assert len(texts) == len(SHAPES) + 1
        assert cases.count("sign") == 1, (item.key, texts)


def test_asks_come_in_turn():
    made = exercise(12)
    assert [made.item(1, index).key["ask"] for index in range(12)].count("notes") == 6


def test_the_bass_is_seen_with_its_figures_and_read_aloud():
    _, item = made_of("A minor: V65", "notes")
    (shown, *_) = item.media
    assert shown.excerpt.chords[0].text == "6/5"
    assert [note.pitches[0][:-1] for note in shown.excerpt.notes] == ["G#"]
    assert "figures 6/5" in item.twin_text


def test_a_wrong_answer_is_heard_and_seen_over_the_same_bass():
    made, item = made_of("C major: V65", "figures")
    right, answered, *_ = made.compare(item, {"figures": {"symbol": "6"}})
    assert (right.label, answered.label) == ("Right: 6/5", "Your answer: 6")
    assert [name[:-1] for name in answered.excerpt.notes[0].pitches] == ["B", "D", "G"]


def test_notes_above_are_those_of_the_signature():
    """B flat belongs to F major (common practice, no source)."""
    assert notes_above("G", "6", "F major") == ("Bb", "E")


def line_of(voices):
    return {voice: {"symbol": text} for voice, text in voices.items()}


@pytest.fixture
def a_line():
    """A bass C3 F3 G3 C4 with 7 under G: I IV V7 I, drawn until it comes."""
    made = exercise(30, ask=["four parts"], keys=["C major"], progressions=["primary chords"], chords=4)
    drawn = (made.item(1, index) for index in range(made.count))
    item = next(item for item in drawn if item.key["chords"] == ("I", "IV", "V7", "I"))
    assert [parts[3] for parts in item.key["columns"]] == ["C3", "F3", "G3", "C4"]
    return made, item


#: A setting of I IV V7 I from a harmony course: common tone, contrary motion, seventh and leading tone resolved.
WELL_SET = {"soprano": "C5 C5 B4 C5", "alto": "G4 A4 G4 G4", "tenor": "E4 F4 F4 E4"}


def test_a_good_setting_worked_by_hand_is_right(a_line):
    """Voices within their ranges, no parallels, B to C, F to E; V7 without its fifth (rules from memory)."""
    made, item = a_line
    mark = made.mark(item, line_of(WELL_SET))
    assert mark.score == 1.0, mark.why


@pytest.mark.parametrize(
    ("changed", "score", "told"),
    [
        ({"soprano": "C5 C5 A4 C5"}, 10 / 12, "A of the soprano is not in the chord"),  # and the third is missing
        ({"alto": "G4 A4 G4 G#4"}, 11 / 12, "G♯ of the alto is not in the chord"),
        ({"tenor": "E4 F4 E#4 E4"}, 11.5 / 12, "is spelled F here"),
        ({"tenor": "E4 F4 F4 G4"}, None, "the seventh of V7"),  # it rises
        ({"soprano": "C5 C5 B4"}, 11 / 12, "the soprano has no note"),
        ({"soprano": "C6 C5 B4 C5"}, None, "apart"),  # the soprano lies too far above the alto
    ],
)
def test_faults_of_a_setting_are_told_and_cost_their_share(a_line, changed, score, told):
    """Shares of twelve notes counted by hand; a fault of part writing costs a tenth, as the docstring says."""
    made, item = a_line
    mark = made.mark(item, line_of(WELL_SET | changed))
    assert told in mark.why
    if score is None:
        assert mark.score <= 0.9
    else:
        assert score - 0.4 <= mark.score <= score + 1e-9


def test_parallel_octaves_cost_a_tenth_each(a_line):
    """Soprano C F G C in octaves with the bass: octaves into the second, third and fourth chord."""
    made, item = a_line
    mark = made.mark(item, line_of(WELL_SET | {"soprano": "C5 F5 G5 C5"}))
    assert mark.why.lower().count("octaves between soprano and bass") >= 2
    assert mark.score < 0.8


def test_a_figured_line_shows_the_bass_alone_with_its_figures(a_line):
    _, item = a_line
    shown = item.media[0].excerpt
    assert len(shown.parts) == 1
    assert [note.pitches[0][0] for note in shown.notes] == ["C", "F", "G", "C"]
    assert [chord.text for chord in shown.chords] == ["7"]
    assert item.twin_text.count("without figures") == 3


@pytest.mark.parametrize(
    ("chosen", "why"),
    [({"ask": []}, "ask"), ({"ask": ["chords"]}, "ask"), ({"figure_inputs": ["keys"]}, "figure_inputs")],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)
