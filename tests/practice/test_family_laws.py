"""What holds for every exercise family, at settings taken at random (``settings_of/<kind>.py``).

A few hundred items of each family in the default run; ten thousand of each, and the media of every hundredth, with
``-m full -s``, which prints the figures.
"""

import random
import re
import time

import pytest
from family_sample import (
    frozen_excerpts,
    named,
    neighbouring_answers,
    random_answer,
    random_exercise,
    right_answers,
    settings_of,
)

from musictheory_nb.errors import ExerciseError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.sound import render_sound
from musictheory_nb.practice.answer_words import answer_words
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.families import FAMILIES, family_of
from musictheory_nb.practice.family import complete_settings
from musictheory_nb.practice.plain_data import canonical_json, strict_json
from musictheory_nb.theory.pitch import Pitch

#: Items of each family in the default run and in the long one; media are rendered for one in so many.
FEW, MANY = 300, 10_000
FEW_RENDERED_EVERY, MANY_RENDERED_EVERY = 100, 100
EVERY_FAMILY = pytest.mark.parametrize(("kind", "version"), list(FAMILIES))


def check_made_well(exercise, item, index):
    assert (item.exercise, item.index) == ("one", index)
    said = [item.prompt, item.explain, *(step.label for step in item.response.steps), item.twin_text or "."]
    for text in said:
        assert text == text.strip()
        assert text, item
        for line in text.splitlines():
            assert line[-1] in ".?", line
        assert "  " not in text
        assert not re.search(r"\bNone\b(?! (lies|is))|\bnan\b|Fraction|\{|\}", text), text
        assert not re.search(r"[A-G](#|b)\d?\b", text), f"accidentals are printed as signs: {text}"
    for step in item.response.steps:
        assert step.inputs
        assert len({entry.id for entry in step.inputs}) == len(step.inputs)
        for entry in step.inputs:
            if hasattr(entry, "options"):
                for column in ("value", "label"):
                    shown = [getattr(option, column) for option in entry.options]
                    assert len(set(shown)) == len(shown) > 1, shown
    assert len({step.id for step in item.response.steps}) == len(item.response.steps)
    for request in (*item.media, *item.twin):
        assert request.label
        assert request.label == request.label.strip()
        for note in request.excerpt.notes:
            for name in note.pitches:
                assert 0 <= Pitch(name).midi <= 127


def check_right_answers(exercise, item):
    solution = item.solution
    assert list(solution) == [step.id for step in item.response.steps if step.id in solution]
    right = right_answers(item)
    assert right, f"no answer is shown as right: {item.solution}"
    for answer in right:
        mark = exercise.mark(item, answer)
        assert mark.score == 1.0, (item, answer, mark)
        assert mark.why
        assert exercise.confusion(item, answer) is None
        assert exercise.compare(item, answer) == ()
        assert answer_words(item.response, item.response.check(answer))
    for answer in neighbouring_answers(item):
        assert exercise.mark(item, answer).score < 1.0, (item, answer)


def check_any_answer(exercise, item, answer):
    mark = exercise.mark(item, answer)
    assert 0.0 <= mark.score <= 1.0
    assert mark.why.endswith(".")
    confusion = exercise.confusion(item, answer)
    if mark.awaits_teacher:  # nothing is told right or wrong meanwhile
        assert (mark.score, confusion, exercise.compare(item, answer)) == (0.0, None, ())
        return
    assert (confusion is None) == (mark.score == 1.0), (item, answer, mark, confusion)
    if confusion is not None:
        assert all(isinstance(word, str) and word for word in confusion)
        assert confusion[0] != confusion[1]
    for request in exercise.compare(item, answer):
        assert request.moment == "answered"
        assert request.label
    assert answer_words(item.response, answer)
    # the record writes answers as JSON; reading them back changes no mark
    assert exercise.mark(item, strict_json(canonical_json(answer))) == mark


def check_nothing_is_given_away(exercise, item):
    before = [
        item.prompt,
        *(step.label for step in item.response.steps),
        *(request.label for request in item.shown("asked")),
        *(request.label for request in item.twin),
        *(part.name for request in (*item.shown("asked"), *item.twin) for part in request.excerpt.parts),
    ]
    for pattern in settings_of(exercise.kind).forbidden(exercise, item):
        for text in before:
            assert not re.search(pattern, text, re.MULTILINE), f"{pattern!r} is told by {text!r}"


def check_twins(exercise, item):
    """What is only heard has a twin that is seen, and what is only seen one that is read aloud."""
    kinds = {request.kind for request in item.shown("asked")}
    assert all(request.moment == "asked" for request in item.twin)
    if "sound" in kinds and "notation" not in kinds:
        assert any(request.kind == "notation" for request in item.twin), "no twin without hearing"
    if "notation" in kinds and "sound" not in kinds:
        assert item.twin_text, "no twin without sight"


def check_media(item):
    for request in (*item.media, *item.twin):
        if request.kind == "sound":
            assert render_sound(request).seconds > 0.5
        else:
            engraving = engrave(request)
            assert engraving.svg.startswith("<svg")
            assert engraving.text


def check_item(exercise, seed, index, draw, *, rendered):
    item = exercise.item(seed, index)
    assert canonical_json(item.to_data()) == canonical_json(exercise.item(seed, index).to_data())
    check_made_well(exercise, item, index)
    if getattr(settings_of(exercise.kind), "SOLUTION", True):
        check_right_answers(exercise, item)
    if (answer := random_answer(draw, item)) is not None:
        check_any_answer(exercise, item, answer)
    check_nothing_is_given_away(exercise, item)
    if getattr(settings_of(exercise.kind), "TWIN", True):
        check_twins(exercise, item)
    if rendered:
        check_media(item)


def run_laws(kind, version, items, rendered_every):
    """Try `items` items; return how many settings there were, how many were refused, and items rendered."""
    draw, excerpts = random.Random(f"{kind} {version}"), frozen_excerpts()
    done = tried = refused = rendered = 0
    while done < items:
        exercise, no = random_exercise(kind, version, draw, excerpts)
        tried, refused = tried + 1, refused + no
        for _ in range(min(5, items - done)):
            seed, index = draw.randint(0, 2**53), draw.randrange(exercise.count)
            render = done % rendered_every == 0
            try:
                check_item(exercise, seed, index, draw, rendered=render)
            except Exception as error:
                error.add_note(
                    f"Exercise('one', {kind!r}, {exercise.settings!r}, count={exercise.count}), {seed}, {index}"
                )
                raise
            done, rendered = done + 1, rendered + render
    assert refused <= 3 * tried, f"most settings at random are refused: {refused} of {refused + tried}"
    return tried, refused, rendered


@EVERY_FAMILY
def test_each_family_has_a_sample(kind, version):
    module = settings_of(kind)
    assert module is not None, f"write tests/practice/settings_of/{kind.replace('-', '_')}.py"
    assert any(row[0] == version for row in module.GOLDEN.values())


@EVERY_FAMILY
def test_laws_of_a_few_hundred_items(kind, version):
    run_laws(kind, version, FEW, FEW_RENDERED_EVERY)


@pytest.mark.full
@EVERY_FAMILY
def test_laws_of_ten_thousand_items(kind, version):
    began = time.perf_counter()
    tried, refused, rendered = run_laws(kind, version, MANY, MANY_RENDERED_EVERY)
    print(
        f"\n{kind} {version}: {MANY} items of {tried} exercises ({refused} settings refused), "
        f"media of {rendered}, {time.perf_counter() - began:.0f} s"
    )


def some_settings(kind, version):
    """Settings that make an exercise: those of the first that is pinned."""
    return next(row[1] for row in settings_of(kind).GOLDEN.values() if row[0] == version)


@EVERY_FAMILY
def test_items_of_two_seeds_differ(kind, version):
    """Not where all that there is to ask comes in one item."""
    settings, count = next(row[1:3] for row in settings_of(kind).GOLDEN.values() if row[0] == version)
    chosen = named(settings, frozen_excerpts())
    made = Exercise("one", kind, settings, count=count, version=version, lesson="demo", excerpts=chosen)
    keys = {canonical_json([made.item(seed, at).to_data() for at in range(count)]) for seed in range(6)}
    assert len(keys) > 1 or count == 1


@EVERY_FAMILY
def test_the_settings_table_the_defaults_and_the_docstring_agree(kind, version):
    family = family_of(kind, version)
    complete = complete_settings(family, some_settings(kind, version), "one")
    assert list(complete) == [setting.name for setting in family.settings]
    doc = type(family).__doc__ or ""
    for setting in family.settings:
        assert f"\n        {setting.name}" in doc
        assert setting.meaning.split(".")[0][:40] in " ".join(doc.split())
    assert "{" not in doc.replace("{'", "")


@EVERY_FAMILY
@pytest.mark.parametrize(
    "value", [None, 3, -1, "", "x", [], ["x"], {}, [[]], [None], 1.5, float("nan"), True, [["1", "A"]], [3, "x"]]
)
def test_a_value_that_a_setting_does_not_allow_is_refused_with_what_is(kind, version, value):
    family, given = family_of(kind, version), some_settings(kind, version)
    for setting in family.settings:
        try:
            complete_settings(family, given | {setting.name: value}, "one")
        except ExerciseError as error:
            told = str(error)
            assert any(other.name in told for other in family.settings), told
        else:
            assert setting.check(value)


def test_an_unknown_kind_version_or_setting_is_refused_with_what_is_allowed():
    with pytest.raises(ExerciseError, match=r"allowed: note-reading, interval-by-ear, .*section-marking"):
        family_of("chords", 1)
    with pytest.raises(ExerciseError, match="allowed versions: 1"):
        family_of("interval-by-ear", 9)
    with pytest.raises(ExerciseError, match="'colour' is not one of 'interval-by-ear'; allowed: intervals, directions"):
        Exercise("one", "interval-by-ear", {"colour": "red"})


@EVERY_FAMILY
def test_an_excerpt_that_the_lesson_does_not_hold_is_named(kind, version):
    with_music = [row for row in settings_of(kind).GOLDEN.values() if row[0] == version and row[1].get("excerpt")]
    for _, settings, count, _ in with_music:
        exercise = Exercise("one", kind, settings, count=count, version=version, lesson="demo")
        with pytest.raises(ExerciseError, match=r"excerpt '.*' is not in the lesson; it has: none"):
            exercise.item(1, 0)


@EVERY_FAMILY
def test_the_words_of_an_item_are_those_of_the_setting(kind, version):
    """A measure is a bar in British words (common practice, no source)."""
    family = family_of(kind, version)
    if "words" not in {setting.name for setting in family.settings}:
        return
    draw, excerpts = random.Random(1), frozen_excerpts()
    for _ in range(10):
        exercise, _ = random_exercise(kind, version, draw, excerpts)
        british = Exercise(
            "one", kind, {**exercise.settings, "words": "british"}, count=exercise.count, version=version, lesson="demo",
            excerpts=exercise.excerpts,
        )  # fmt: skip
        item = british.item(1, 0)
        labels = [request.label for request in (*item.media, *item.twin)]
        for text in (item.prompt, item.explain, *labels, *(step.label for step in item.response.steps)):
            assert not re.search(r"\b(measures?|half steps?|whole steps?|quarter notes?|staff)\b", text), text
