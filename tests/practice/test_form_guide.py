"""Form guide: marks worked out by hand from the table in its docstring; forms from tests/published/known_forms.tsv."""

import pytest
from family_sample import frozen_excerpts
from settings_of.form_guide import SONG

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.form_step import held_notes, players_of


def guide(*steps, excerpt="song", **settings):
    return Exercise(
        "guide", "form-guide", {"excerpt": excerpt, "steps": list(steps), **settings}, count=len(steps), lesson="demo",
        excerpts=frozen_excerpts(),
    )  # fmt: skip


def marked(step, answer, **settings):
    made = guide(step, **settings)
    item = made.item(1, 0)
    return made.mark(item, {f"part-{at + 1}": value for at, value in enumerate(answer)})


@pytest.fixture
def rag(maple_leaf_rag):
    """The first row of known_forms.tsv: A 1-16 (2nd ending 17), B 18-33/34, A' 35-50, C 51-66/67, D 68-83/84."""

    def make(*steps):
        return Exercise(
            "guide", "form-guide", {"excerpt": "rag", "steps": list(steps)}, count=len(steps), lesson="demo",
            excerpts={"rag": maple_leaf_rag},
        )  # fmt: skip

    return make


def test_the_return_of_a_strain_is_found_and_what_is_like_it_told(rag):
    """known_forms.tsv: bars 35-50 = 1-16 in 15/16 bars."""
    made = rag({"ask": "returns", "measures": ["1", "16"], "answer": [["35", "50"]]})
    item = made.item(1, 0)
    assert made.mark(item, {"part-1": {"measures": [[35, 50]]}}).score == 1.0
    assert "Measures 35 to 50: 15 of 16 measures are those of measures 1 to 16." in item.explain
    half = made.mark(item, {"part-1": {"measures": [[35, 42]]}})
    assert half.score == pytest.approx(2 * 8 / (16 + 8))
    wide = made.mark(item, {"part-1": {"measures": [[35, 51]]}})
    assert wide.why == "16 of 16 measures found. Not in measure 51."


def test_the_letters_of_the_strains(rag):
    rows = [["1", "A"], ["18", "B"], ["35", "A′"], ["51", "C"], ["68", "D"]]
    made = rag({"ask": "letters", "answer": rows}, {"ask": "sections", "answer": rows})
    letters, sections = made.item(1, 0), made.item(1, 1)
    right = dict(zip(["part-1", "part-2", "part-3", "part-4"], [{"choice": one} for one in "BACD"], strict=True))
    assert made.mark(letters, right).score == 1.0
    assert made.mark(letters, right | {"part-2": {"choice": "B"}}).score == 3 / 4
    assert [step.label for step in letters.response.steps][1] == "Measures 35 to 50?"
    told = rag({"ask": "letters", "answer": [*rows[:4], ["68", "coda"]]}).item(1, 0)
    assert len(told.response.steps) == 3
    assert "Measures 68 to 84: coda, without a letter." in told.prompt
    given = {"part-1": {"sections": [[0, "a"], [18, "b"], [35, "a"], [51, "c"], [68, "d"]]}}
    assert made.mark(sections, given).score == 1.0


@pytest.mark.parametrize(
    ("step", "answer", "score"),
    [
        ({"ask": "cadence", "measures": ["1", "4"], "answer": "half"}, [{"choice": "half"}], 1.0),
        ({"ask": "cadence", "measures": ["1", "4"], "answer": "half"}, [{"choice": "Phrygian half"}], 0.5),
        ({"ask": "cadence", "measures": ["1", "4"], "answer": "half"}, [{"choice": "plagal"}], 0.0),
        ({"ask": "phrase lengths", "measures": ["1", "8"], "answer": [4, 4]}, [{"number": 4}, {"number": 5}], 0.75),
        ({"ask": "phrase lengths", "measures": ["1", "8"], "answer": [4, 4]}, [{"number": 8}, {"number": 2}], 0.0),
        (
            {"ask": "changes", "measures": ["13", "16"], "of": ["1", "4"], "answer": ["key", "melody"]},
            [{"choice": ["melody"]}], 0.5,
        ),
        (
            {"ask": "changes", "measures": ["13", "16"], "of": ["1", "4"], "answer": ["key", "melody"]},
            [{"choice": ["key", "melody", "rhythm"]}], 0.5,
        ),
        (
            {"ask": "changes", "measures": ["13", "16"], "of": ["1", "4"], "answer": ["key"]},
            [{"choice": ["harmony", "rhythm"]}], 0.0,
        ),
        (
            {"ask": "pedal point", "answer": [["1", "4"], "G", "bass"]},
            [{"measures": [[1, 4]]}, {"choice": "G"}, {"choice": "inner"}], 2 / 3,
        ),
        (
            {"ask": "trading", "answer": [["1", "4"], ["Voice", "Left hand"], 2]},
            [{"measures": [[1, 2]]}, {"choice": ["Voice", "Left hand"]}, {"number": 3}], (2 / 3 + 1 + 0.5) / 3,
        ),
        (
            {"ask": "orchestration", "answer": [[["1", "4"], ["Voice"]], [["5", "8"], ["Voice", "Left hand"]]]},
            [{"choice": ["Voice", "Left hand"]}, {"choice": ["Left hand"]}], (0 + 0.5) / 2,
        ),
        ({"ask": "form", "answer": "rounded binary"}, [{"choice": "ternary"}], 0.5),
    ],
)  # fmt: skip
def test_each_step_is_marked_by_the_table(step, answer, score):
    assert marked(step, answer).score == pytest.approx(score)


def test_each_step_is_an_item_in_the_order_of_the_teacher_with_its_hint():
    made = guide(*SONG)
    items = [made.item(5, at) for at in range(len(SONG))]
    assert [item.key["ask"] for item in items] == [step["ask"] for step in SONG]
    assert items[1].prompt.startswith("Step 2 of 10. Give each section a letter.")
    assert items[1].prompt.endswith("Hint: Sing the first measure of each.")
    assert "Hint" not in guide(*SONG, hints=False).item(5, 1).prompt
    assert items[2].explain.endswith("Each phrase is halved here.")
    assert all(item.media[0].choose_measures and item.media[0].kind == "sound" for item in items)


def test_fewer_steps_than_there_are_stay_in_order():
    few = Exercise(
        "guide", "form-guide", {"excerpt": "song", "steps": SONG}, count=4, lesson="demo", excerpts=frozen_excerpts()
    )
    chosen = [tuple(few.item(seed, at).key["step"] for at in range(4)) for seed in range(20)]
    assert all(list(one) == sorted(set(one)) for one in chosen)
    assert len(set(chosen)) > 5


def test_what_was_wrong_can_be_heard_beside_what_is_right():
    step = {"ask": "pedal point", "answer": [["1", "4"], "G", "bass"]}
    made = guide(step)
    item = made.item(1, 0)
    answer = {"part-1": {"measures": [[5, 8]]}, "part-2": {"choice": "G"}, "part-3": {"choice": "bass"}}
    assert [request.label for request in made.compare(item, answer)] == [
        "Listen again: measures 1 to 4",
        "You marked: measures 5 to 8",
    ]
    assert made.confusion(item, answer) == ("measures 1 to 4", "measures 5 to 8")


def test_notes_of_a_pedal_point_are_those_of_the_signature():
    """Key signatures of one sharp and three flats hold these notes (common practice, no source)."""
    assert held_notes(1, "G") == ("A", "B", "C", "D", "E", "F#", "G")
    assert held_notes(-3, "C") == ("Ab", "Bb", "C", "D", "Eb", "F", "G")
    german = guide({"ask": "pedal point", "answer": [["1", "4"], "B", "bass"]}, names="german").item(1, 0)
    assert "H" in [option.label for option in german.response.steps[1].inputs[0].options]


def test_two_staves_are_one_player(maple_leaf_rag):
    assert players_of(maple_leaf_rag) == ("Piano",)


@pytest.mark.parametrize(
    ("step", "why"),
    [
        ({"ask": "cadence", "answer": "half"}, "allowed"),
        ({"ask": "tempo", "answer": 4}, "allowed"),
        ({"ask": "form", "answer": "sonata"}, "allowed"),
        ({"ask": "changes", "measures": ["1", "4"], "of": ["1", "4"], "answer": ["nothing", "key"]}, "allowed"),
        ({"ask": "cadence", "measures": ["1", "99"], "answer": "half"}, "measure '99'"),
        ({"ask": "cadence", "measures": ["4", "1"], "answer": "half"}, "the first one first"),
        ({"ask": "phrase lengths", "measures": ["1", "8"], "answer": [4, 5]}, "they make 9 measures"),
        ({"ask": "letters", "answer": [["1", "A"], ["5", "C"]]}, "each new one takes the next"),
        ({"ask": "returns", "measures": ["5", "8"], "answer": [["1", "4"]]}, "come before them"),
        ({"ask": "trading", "answer": [["1", "4"], ["Voice", "Flute"], 2]}, "part 'Flute'"),
        ({"ask": "pedal point", "measures": ["1", "4"], "answer": [["3", "6"], "C", "bass"]}, "does not lie in"),
    ],
)
def test_steps_that_cannot_be_asked_are_refused_in_words(step, why):
    with pytest.raises(ExerciseError, match=why):
        guide(step).item(1, 0)


def test_who_plays_is_not_asked_of_one_player():
    with pytest.raises(ExerciseError, match="leave this step out"):
        guide({"ask": "orchestration", "answer": [[["1", "4"], ["Piano"]]]}, excerpt="rag").item(1, 0)


def test_where_to_look_is_told():
    step = {"ask": "pedal point", "measures": ["1", "6"], "answer": [["3", "6"], "C", "bass"]}
    assert "in measures 1 to 6" in guide(step).item(1, 0).prompt
    assert "of measures 1 to 6" in guide({"ask": "form", "measures": ["1", "6"], "answer": "binary"}).item(1, 0).prompt
