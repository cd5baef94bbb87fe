"""What holds for every exercise family, at settings taken at random."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from musictheory_nb.errors import ExerciseError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.sound import render_sound
from musictheory_nb.practice.excerpt import CLEFS, TIMBRES
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.families import FAMILIES, KINDS, family_of
from musictheory_nb.practice.family import complete_settings
from musictheory_nb.practice.interval_choice import INTERVALS
from musictheory_nb.practice.interval_settings import DIRECTIONS, PRESENTATIONS
from musictheory_nb.practice.plain_data import canonical_json, strict_json
from musictheory_nb.practice.response import ChoiceInput, KeysInput, SectionsInput
from musictheory_nb.practice.scale_over_chord_settings import LEVELS, ROOTS
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale

FORM = [["1", "A"], ["5", "A"], ["9", "B"], ["13", "A"]]
SETTINGS = {
    "interval-by-ear": st.fixed_dictionaries(
        {
            "intervals": st.lists(st.sampled_from(INTERVALS), min_size=2, unique=True),
            "directions": st.lists(st.sampled_from(DIRECTIONS), min_size=1, unique=True),
            "low": st.sampled_from(["C2", "G3", "Bb2", "E4"]),
            "high": st.sampled_from(["G4", "E5", "C7"]),
            "present": st.sampled_from(PRESENTATIONS),
            "inputs": st.sampled_from([["buttons"], ["keys"], ["buttons", "keys"]]),
            "excerpt": st.sampled_from(["", "", "song"]),
            "clef": st.sampled_from(["auto", *CLEFS]),
            "timbre": st.sampled_from(TIMBRES),
            "partial": st.booleans(),
        }
    ),
    "scale-over-chord": st.fixed_dictionaries(
        {
            "level": st.sampled_from(list(LEVELS)),
            "roots": st.lists(st.sampled_from(ROOTS), min_size=1, unique=True),
            "chords": st.lists(
                st.sampled_from(
                    ["Cmaj7", "F#m7b5", "Bb7alt", "Em7 in C major", "A7(b9) in D minor", "Gdim7", "Dm6", "F"]
                ),
                unique=True,
            ),
            "offered": st.integers(3, 8),
            "ask": st.sampled_from([["scales"], ["scales", "avoid"], ["scales", "avoid", "why"]]),
            "timbre": st.sampled_from(TIMBRES),
        }
    ),
    "section-marking": st.fixed_dictionaries(
        {
            "excerpt": st.just("song"),
            "sections": st.lists(st.integers(2, 16), min_size=1, max_size=6, unique=True).map(
                lambda starts: [["1", "A"], *([str(start), "ABC"[start % 3]] for start in sorted(starts))]
            ),
            "tolerance": st.integers(0, 4),
            "label_weight": st.sampled_from([0, 0.25, 0.3, 0.5, 0.7, 1, 1.0]),
            "variants": st.booleans(),
            "hints": st.sampled_from(["none", "number", "letters"]),
            "show_marks": st.just(False),
        }
    ),
}


@st.composite
def exercises(draw, little_song, kinds=KINDS):
    kind = draw(st.sampled_from(kinds))
    count = 1 if kind == "section-marking" else draw(st.integers(1, 30))
    chosen = draw(SETTINGS[kind])
    try:
        exercise = Exercise("one", kind, chosen, count=count, lesson="demo", excerpts={"song": little_song})
        exercise.item(0, 0)
    except ExerciseError:  # settings that do not go together are refused in words, and tested where the family is
        chosen = {name: chosen[name] for name in ("excerpt", "sections") if kind == "section-marking"}
        exercise = Exercise("one", kind, chosen, count=count, lesson="demo", excerpts={"song": little_song})
    return exercise


def right_answers(item):
    """All the ways of answering rightly: one for each input."""
    if "sections" in item.key:
        return [{"sections": {"sections": [list(row) for row in item.key["sections"]]}}]
    if "fitting" in item.key:
        steps = {"scales": list(item.key["fitting"]), **item.key["notes"][0]}
        return [{step: {"choice": steps[step]} for step in item.key["steps"]}]
    found = []
    for entry in item.response.steps[0].inputs:
        if isinstance(entry, ChoiceInput):
            value = next(names[0] for names in item.key["choices"] if item.key["interval"] in names)
            found.append({"interval": {"choice": value}})
        else:
            found.append({"interval": {"keys": list(item.key["midi"])[-entry.count :]}})
    return found


def any_value(entry):
    if isinstance(entry, ChoiceInput):
        values = [option.value for option in entry.options]
        return st.lists(st.sampled_from(values), min_size=1, unique=True) if entry.many else st.sampled_from(values)
    if isinstance(entry, KeysInput):
        return st.lists(st.integers(entry.low, entry.high), min_size=entry.count, max_size=entry.count)
    assert isinstance(entry, SectionsInput)
    starts = st.lists(st.integers(1, len(entry.measures) - 1), unique=True).map(lambda inner: [0, *sorted(inner)])
    return starts.flatmap(
        lambda at: st.tuples(*(st.sampled_from(["A", "b", "C′", "X 2"]) for _ in at)).map(
            lambda labels: [list(row) for row in zip(at, labels, strict=True)]
        )
    )


@st.composite
def any_answer(draw, item):
    answer = {}
    for step in item.response.steps:
        entry = draw(st.sampled_from(step.inputs))
        answer[step.id] = {entry.id: draw(any_value(entry))}
    return answer


@settings(max_examples=200)
@given(st.data())
def test_a_right_answer_gets_the_full_score_by_whatever_input(little_song, data):
    exercise = data.draw(exercises(little_song))
    item = exercise.item(data.draw(st.integers(0, 2**53)), data.draw(st.integers(0, exercise.count - 1)))
    for answer in right_answers(item):
        mark = exercise.mark(item, answer)
        assert mark.score == 1.0, (item, answer, mark)
        assert mark.why
        assert exercise.confusion(item, answer) is None
        assert exercise.compare(item, answer) == ()


@settings(max_examples=100)
@given(st.data())
def test_what_is_shown_as_right_is_right(little_song, data):
    exercise = data.draw(exercises(little_song))
    item = exercise.item(data.draw(st.integers(0, 2**53)), data.draw(st.integers(0, exercise.count - 1)))
    assert list(item.solution) == [step.id for step in item.response.steps]
    for step in item.response.steps:
        assert list(item.solution[step.id]) == [entry.id for entry in step.inputs]
    for which in range(max(len(step.inputs) for step in item.response.steps)):
        answer = {}
        for step in item.response.steps:
            entry = step.inputs[min(which, len(step.inputs) - 1)]
            right = item.solution[step.id][entry.id]
            answer[step.id] = {entry.id: right[0] if isinstance(entry, ChoiceInput) and not entry.many else list(right)}
        assert exercise.mark(item, answer).score == 1.0


@settings(max_examples=200)
@given(st.data())
def test_any_answer_is_marked_and_only_the_full_score_is_without_confusion(little_song, data):
    exercise = data.draw(exercises(little_song))
    item = exercise.item(data.draw(st.integers(0, 2**53)), data.draw(st.integers(0, exercise.count - 1)))
    answer = item.response.check(data.draw(any_answer(item)))
    mark = exercise.mark(item, answer)
    assert 0.0 <= mark.score <= 1.0
    assert mark.why.endswith(".")
    confusion = exercise.confusion(item, answer)
    assert (confusion is None) == (mark.score == 1.0)
    if confusion is not None:
        assert all(isinstance(word, str) and word for word in confusion)
    for request in exercise.compare(item, answer):
        assert request.moment == "answered"
        assert request.label
    # the record writes answers as JSON; reading them back changes no mark
    assert exercise.mark(item, strict_json(canonical_json(answer))) == mark


@settings(max_examples=150)
@given(st.data())
def test_no_other_single_choice_gets_the_full_score(little_song, data):
    exercise = data.draw(exercises(little_song, ["interval-by-ear"]))
    item = exercise.item(data.draw(st.integers(0, 2**53)), data.draw(st.integers(0, exercise.count - 1)))
    (step,) = item.response.steps
    right = right_answers(item)
    for entry in step.inputs:
        if isinstance(entry, ChoiceInput):
            others = [{"interval": {"choice": option.value}} for option in entry.options]
        elif entry.count == 1:
            others = [{"interval": {"keys": [key]}} for key in range(entry.low, entry.high + 1)]
        else:  # two notes at once are right at any pitch
            continue
        for answer in others:
            if answer not in right:
                assert exercise.mark(item, answer).score < 1.0


@settings(max_examples=150)
@given(st.data())
def test_adding_or_leaving_out_a_choice_costs_something(little_song, data):
    exercise = data.draw(exercises(little_song, ["scale-over-chord"]))
    item = exercise.item(data.draw(st.integers(0, 2**53)), data.draw(st.integers(0, exercise.count - 1)))
    (answer,) = right_answers(item)
    for step in item.response.steps:
        (entry,) = step.inputs
        right = answer[step.id]["choice"]
        for option in entry.options:
            other = [value for value in right if value != option.value]
            if option.value not in right:
                other = [*right, option.value]
            if other:
                assert exercise.mark(item, {**answer, step.id: {"choice": other}}).score < 1.0


@settings(max_examples=150)
@given(st.data())
def test_an_item_is_well_made(little_song, data):
    exercise = data.draw(exercises(little_song))
    seed, index = data.draw(st.integers(0, 2**53)), data.draw(st.integers(0, exercise.count - 1))
    item = exercise.item(seed, index)
    assert item == exercise.item(seed, index)
    assert canonical_json(item.to_data()) == canonical_json(exercise.item(seed, index).to_data())
    assert (item.exercise, item.index) == ("one", index)
    for text in (item.prompt, item.explain, *(step.label for step in item.response.steps)):
        assert text == text.strip()
        assert text[-1] in ".?"
        assert "  " not in text
        assert not re.search(r"\bNone\b(?! lies)|\bnan\b|Fraction", text)
    for step in item.response.steps:
        for entry in step.inputs:
            if isinstance(entry, ChoiceInput):
                for column in ("value", "label"):
                    shown = [getattr(option, column) for option in entry.options]
                    assert len(set(shown)) == len(shown) > 1
            if isinstance(entry, KeysInput):
                assert entry.low <= min((*entry.given, *item.key["midi"]))
                assert entry.high >= max((*entry.given, *item.key["midi"]))
    assert item.shown("asked")
    assert item.shown("answered") or exercise.settings.get("present") == "both"
    for request in item.media:
        assert request.label
        for note in request.excerpt.notes:
            for name in note.pitches:
                assert 0 <= Pitch(name).midi <= 127


@settings(max_examples=150)
@given(st.data())
def test_nothing_that_is_shown_before_the_answer_gives_it_away(little_song, data):
    exercise = data.draw(exercises(little_song))
    item = exercise.item(data.draw(st.integers(0, 2**53)), data.draw(st.integers(0, exercise.count - 1)))
    before = " ".join(
        [
            item.prompt,
            *(step.label for step in item.response.steps),
            *(request.label for request in item.shown("asked")),
        ]
    )
    if exercise.kind == "interval-by-ear":
        assert not re.search(
            r"unison|second\b(?! note)|third|fourth|fifth|sixth|seventh|octave|tritone|augmented|diminished|semitone",
            before,
        )
        assert not re.search(r"\b[A-G][♯♭]?\d?\b", before.replace("A measure", ""))
        if exercise.family.settings and not item.key["seen"]:
            assert all(request.kind == "sound" for request in item.shown("asked"))
    elif exercise.kind == "scale-over-chord":
        scales = [option.label for option in item.response.steps[0].inputs[0].options]
        labels = [request.label for request in item.shown("asked")][2:]
        assert labels == [f"Hear {scale} over the chord" for scale in scales]  # all alike, in the order of the buttons
        for scale in scales:
            assert scale not in item.prompt
        for step in item.response.steps[1:2]:  # notes of all scales offered, not of the one that fits
            notes = {PitchName(option.value).pitch_class for option in step.inputs[0].options if option.value != "none"}
            offered = (Scale(option.value) for option in item.response.steps[0].inputs[0].options)
            assert notes == {pitch for scale in offered for pitch in scale.pitch_classes}
    else:
        assert all(measure.mark == "" for request in item.shown("asked") for measure in request.excerpt.measures)
        for number, letter in exercise.settings["sections"][1:]:
            assert not re.search(
                rf"\b{number}\b|\b{letter}\b", item.prompt.replace("give it a letter", "").replace("A", "")
            )


@pytest.mark.parametrize("kind", KINDS)
def test_what_an_item_asks_to_be_heard_and_seen_can_be_rendered(little_song, kind):
    chosen = {"section-marking": {"excerpt": "song", "sections": FORM}, "interval-by-ear": {"excerpt": "song"}}.get(
        kind, {}
    )
    exercise = Exercise("one", kind, chosen, count=1, lesson="demo", excerpts={"song": little_song})
    item = exercise.item(3, 0)
    for request in item.media:
        if request.kind == "sound":
            assert render_sound(request).seconds > 1
        else:
            engraving = engrave(request)
            assert engraving.svg.startswith("<svg")
            assert engraving.text


@pytest.mark.parametrize(("kind", "version"), list(FAMILIES))
def test_the_settings_table_the_defaults_and_the_docstring_agree(kind, version, little_song):
    family = family_of(kind, version)
    given = {"excerpt": "song", "sections": FORM} if kind == "section-marking" else {}
    complete = complete_settings(family, given, "one")
    assert list(complete) == [setting.name for setting in family.settings]
    doc = type(family).__doc__ or ""
    for setting in family.settings:
        assert f"\n        {setting.name}" in doc
        assert setting.meaning.split(".")[0][:40] in " ".join(doc.split())
    assert "{" not in doc.replace("{'", "")


@pytest.mark.parametrize(("kind", "version"), list(FAMILIES))
@pytest.mark.parametrize(
    "value", [None, 3, -1, "", "x", [], ["x"], {}, [[]], [None], 1.5, float("nan"), True, [["1", "A"]]]
)
def test_a_value_that_a_setting_does_not_allow_is_refused_with_what_is(kind, version, value):
    family = family_of(kind, version)
    given = {"excerpt": "song", "sections": FORM} if kind == "section-marking" else {}
    for setting in family.settings:
        try:
            complete_settings(family, given | {setting.name: value}, "one")
        except ExerciseError as error:
            assert setting.name in str(error) or "sections" in str(error)  # noqa: PT017
        else:
            assert setting.check(value)


def test_an_unknown_kind_version_or_setting_is_refused_with_what_is_allowed():
    with pytest.raises(ExerciseError, match="allowed: interval-by-ear, scale-over-chord, section-marking"):
        family_of("chords", 1)
    with pytest.raises(ExerciseError, match="allowed versions: 1"):
        family_of("interval-by-ear", 9)
    with pytest.raises(ExerciseError, match="'colour' is not one of 'interval-by-ear'; allowed: intervals, directions"):
        Exercise("one", "interval-by-ear", {"colour": "red"})


@pytest.mark.parametrize("kind", ["interval-by-ear", "section-marking"])
def test_an_excerpt_that_the_lesson_does_not_hold_is_named(kind):
    chosen = {"excerpt": "waltz"} | ({"sections": FORM} if kind == "section-marking" else {})
    exercise = Exercise("one", kind, chosen, count=1, lesson="demo")
    with pytest.raises(ExerciseError, match="excerpt 'waltz' is not in the lesson; it has: none"):
        exercise.item(1, 0)
