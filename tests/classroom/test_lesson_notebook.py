"""A lesson notebook is read from its syntax tree; nothing in it is run."""

import json

import nbformat
import pytest

from musictheory_nb.classroom.lesson_notebook import parse_lesson, read_lesson
from musictheory_nb.errors import LessonError
from musictheory_nb.practice.excerpt import Excerpt


def written(cells) -> bytes:
    return nbformat.writes(nbformat.v4.new_notebook(cells=cells)).encode("utf-8")


def with_cell(cells_of, source: str) -> bytes:
    cells = cells_of()
    cells.insert(-1, nbformat.v4.new_code_cell(source))
    return written(cells)


def test_plan_holds_what_the_calls_say(cells_of):
    plan = parse_lesson(written(cells_of()), "x.ipynb").plan
    # read off the calls in conftest.py
    assert (plan.id, plan.title) == ("read-intervals", "Read intervals")
    assert [(one.id, one.kind, one.count, one.points) for one in plan.exercises] == [
        ("first", "interval-by-ear", 4, 8),
        ("second", "interval-by-ear", 2, 1.5),
    ]


def test_nothing_is_run(cells_of, tmp_path):
    target = tmp_path / "ran"
    parse_lesson(with_cell(cells_of, f"open({str(target)!r}, 'w')\nraise SystemExit"), "x.ipynb")
    assert not target.exists()


def test_plan_is_the_one_that_the_open_lesson_has(cells_of):
    """Reading and running agree: the calls are made on a real open lesson, which knows nothing of the reading."""
    from musictheory_nb.widgets.lesson_session import open_lesson

    namespace = {"lesson": open_lesson("read-intervals", seed=1)}
    for cell in cells_of()[3:5]:
        exec(cell["source"], namespace)
    assert namespace["lesson"].plan.digest == parse_lesson(written(cells_of()), "x.ipynb").plan.digest


def test_music_frozen_into_the_lesson_reaches_its_exercise(cells_of):
    music = Excerpt.melody(["C4", "F#4", "G4", "C5"])
    text = json.dumps(music.to_data())
    excerpt = f"lesson.excerpt('tune', '''{text}''', digest='{music.digest}')"
    exercise = (
        "lesson.exercise('in-tune', 'interval-by-ear', count=2, "
        "settings={'excerpt': 'tune', 'intervals': ['A4', 'm2', 'P4'], 'directions': ['up']})"
    )
    cells = cells_of()
    cells[3:5] = [nbformat.v4.new_code_cell(excerpt), nbformat.v4.new_code_cell(exercise)]
    plan = parse_lesson(written(cells), "x.ipynb").plan
    assert plan.exercise("in-tune").excerpts == {"tune": music}
    with pytest.raises(LessonError, match=r"cell 4, line 1: .*'tune' is not what was frozen"):
        parse_lesson(written(cells).replace(b"F#4", b"F4"), "x.ipynb")


REFUSED = [
    ("for id in ('a', 'b'):\n    lesson.exercise(id, 'interval-by-ear')", r"cell 6, line 2: .* inside a loop"),
    ("def more():\n    lesson.exercise('a', 'interval-by-ear')", r"cell 6, line 2: .* inside a function"),
    ("more = lambda: lesson.exercise('a', 'interval-by-ear')", r"cell 6, line 1: .* inside a function"),
    ("[lesson.exercise(i, 'interval-by-ear') for i in 'ab']", r"cell 6, line 1: .* inside a loop"),
    ("if True:\n    lesson.exercise('a', 'interval-by-ear')", r"cell 6, line 2: .* inside an 'if'"),
    ("True and lesson.exercise('a', 'interval-by-ear')", r"cell 6, line 1: .* inside an 'and' or 'or'"),
    ("try:\n    lesson.exercise('a', 'interval-by-ear')\nfinally:\n    pass", r"cell 6, line 2: .* inside a 'try'"),
    ("with x:\n    lesson.exercise('a', 'interval-by-ear')", r"cell 6, line 2: .* inside a 'with'"),
    ("match 1:\n    case 1:\n        lesson.exercise('a', 'interval-by-ear')", r"cell 6, line 3: .* another statement"),
    ("kind = 'interval-by-ear'\nlesson.exercise('a', kind)", r"cell 6, line 2: .* kind is worked out \(kind\)"),
    ("lesson.exercise('a', 'interval-by-ear', count=2 * N)", r"count is worked out \(2 \* N\)"),
    ("lesson.exercise('a', 'interval-by-ear', settings=dict(low='C4'))", r"settings is worked out"),
    ("lesson.exercise('a', 'interval-by-ear', **more)", r"argument '\*\*'; allowed, each once: id, kind, count"),
    ("lesson.exercise(*more)", r"exercise takes id, kind and then only named arguments"),
    ("lesson.exercise('a', 'interval-by-ear', 3)", r"exercise takes id, kind and then only named arguments"),
    ("lesson.exercise('a')", r"exercise: missing kind"),
    ("lesson.exercise('a', 'interval-by-ear', weight=3)", r"argument 'weight'; allowed"),
    ("lesson.exercise('a', 'interval-by-ear', id='b')", r"argument 'id'; allowed, each once"),
    ("lesson.exercise('a', 'interval-by-eye')", r"cell 6, line 1: .*exercise kind 'interval-by-eye'; allowed"),
    ("lesson.exercise('a', 'interval-by-ear', count=0)", r"cell 6, line 1: .*count 0; allowed: 1 to 200"),
    ("lesson.exercise('a', 'interval-by-ear', settings={'hue': 1})", r"cell 6, line 1: .*setting 'hue'"),
    ("lesson.exercise('a', 'interval-by-ear', settings={'excerpt': 'rag'})", r"excerpt 'rag' is not in the lesson"),
    ("lesson.exercise('a', 'interval-by-ear', settings={'low': {1}})", r"cell 6, line 1: .*set"),
    ("lesson.exercise('first', 'interval-by-ear')", r"two exercises have the id 'first'"),
    ("ask = lesson.exercise\nask('a', 'interval-by-ear')", r"cell 6, line 1: .* must be called where it stands"),
    ("other = lesson\nother.exercise('a', 'interval-by-ear')", r"cell 6, line 1: 'lesson' under a second name"),
    ("(other := lesson).exercise('a', 'interval-by-ear')", r"cell 6, line 1: 'lesson' under a second name"),
    ("lesson.exercise('a', 'interval-by-ear'", r"cell 6, line 1: no Python that can be read"),
    ("%%time\nlesson.exercise('a', 'interval-by-ear')", r"cell 6: .* begins with %%"),
    ("lesson.hand_in()", r"stands after the hand-in cell"),
]


@pytest.mark.parametrize(("source", "message"), REFUSED, ids=[source[:40] for source, _ in REFUSED])
def test_what_cannot_be_read_is_refused_with_its_cell(cells_of, source, message):
    with pytest.raises(LessonError, match=message):
        parse_lesson(with_cell(cells_of, source), "x.ipynb")


@pytest.mark.parametrize(
    "source",
    [
        "lesson.exercise('a', 'interval-by-ear')",
        "view = lesson.exercise('a', 'interval-by-ear')",
        "display(lesson.exercise('a', 'interval-by-ear'))",
        "lesson.exercise(\n    id='a',\n    kind='interval-by-ear',\n)",
        "%matplotlib inline\nlesson.exercise('a', 'interval-by-ear')",
        "print(lesson)\nlesson.exercise('a', 'interval-by-ear')",
    ],
)
def test_plain_calls_are_read_however_they_are_written(cells_of, source):
    plan = parse_lesson(with_cell(cells_of, source), "x.ipynb").plan
    assert [exercise.id for exercise in plan.exercises] == ["first", "second", "a"]


@pytest.mark.parametrize(
    "source", ["%%html\n<b>lesson</b>", "this is no Python", "!ls", "for i in range(3):\n    print(i)"]
)
def test_cells_that_set_nothing_may_hold_anything(cells_of, source):
    assert parse_lesson(with_cell(cells_of, source), "x.ipynb").plan.count == 6


PARAMETERS_REFUSED = [
    ('LESSON = "a"\nSTUDENT = ""\nSEED = 1', "missing: DIGEST"),
    ('LESSON = "A b"\nSTUDENT = ""\nSEED = 1\nDIGEST = ""', "LESSON 'A b'; allowed: lower-case"),
    ('LESSON = "a"\nSTUDENT = "ada"\nSEED = 1\nDIGEST = ""', "this is the copy of 'ada'; give the teacher's notebook"),
    ('LESSON = "a"\nSTUDENT = ""\nSEED = "1"\nDIGEST = ""', "SEED '1'; allowed: a whole number"),
    ('LESSON = "a"\nSTUDENT = ""\nSEED = True\nDIGEST = ""', "SEED True; allowed: a whole number"),
    ('LESSON = "a"\nSTUDENT = ""\nSEED = 2 * 3\nDIGEST = ""', "line 3: SEED: write the value itself"),
    ('LESSON = "a"\nSTUDENT = ""\nSEED = 1\nDIGEST = ""\nimport os', "line 5: the parameters cell sets"),
    ('LESSON = "a"\nLESSON = "b"\nSTUDENT = ""\nSEED = 1\nDIGEST = ""', "line 2: the parameters cell sets"),
    ("LESSON =", "is no Python"),
]


@pytest.mark.parametrize(("source", "message"), PARAMETERS_REFUSED, ids=[words for _, words in PARAMETERS_REFUSED])
def test_parameters_are_four_plain_values(cells_of, source, message):
    cells = cells_of()
    cells[1]["source"] = source
    with pytest.raises(LessonError, match=message):
        parse_lesson(written(cells), "x.ipynb")


def test_what_a_lesson_needs_is_named_when_it_is_missing(cells_of):
    for place, message in ((1, "tag 'parameters'; no code cell"), (2, "no cell opens the lesson"), (5, "hand_in")):
        cells = cells_of()
        del cells[place]
        with pytest.raises(LessonError, match=message):
            parse_lesson(written(cells), "x.ipynb")
    with pytest.raises(LessonError, match="sets no exercise"):
        parse_lesson(written([*cells_of()[:3], cells_of()[-1]]), "x.ipynb")
    with pytest.raises(LessonError, match="cells 2, 3 have it"):
        parse_lesson(written([*cells_of()[:2], *cells_of()[1:]]), "x.ipynb")


@pytest.mark.parametrize(
    "setup",
    [
        "lesson = mt.open_lesson('read-intervals', student=STUDENT, seed=SEED, digest=DIGEST)",
        "lesson = mt.open_lesson(LESSON, student=STUDENT, seed=5, digest=DIGEST)",
        "lesson = mt.open_lesson(LESSON, student='ada-quill', seed=SEED, digest=DIGEST)",
        "lesson = mt.open_lesson(LESSON, student=STUDENT, seed=SEED)",
    ],
)
def test_opening_must_take_the_parameters(cells_of, setup):
    """Or a student's own parameters would not reach the lesson."""
    cells = cells_of()
    cells[2]["source"] = setup
    with pytest.raises(LessonError, match="open_lesson must take"):
        parse_lesson(written(cells), "x.ipynb")


# -- the file itself; case F07 and F09 of tests/published/cases: ids missing or copied, text in UTF-8 ------------------


def test_missing_and_copied_cell_ids_are_put_right(cells_of):
    content = json.loads(written(cells_of()))
    del content["cells"][0]["id"]
    content["cells"][4]["id"] = content["cells"][3]["id"]
    content["cells"][5]["id"] = "has blanks, which nbformat's schema does not allow"
    data = json.dumps(content).encode()
    lesson = parse_lesson(data, "x.ipynb")
    assert len(lesson.remarks) == 3
    made = lesson.copy_for("ada-quill", 7)
    nbformat.validate(nbformat.reads(made.decode("utf-8"), as_version=4))  # its schema wants unique ids
    assert made == parse_lesson(data, "x.ipynb").copy_for("ada-quill", 7)


def test_older_notebooks_without_ids_are_read(cells_of):
    content = json.loads(written(cells_of()))
    content["nbformat_minor"] = 2
    for cell in content["cells"]:
        del cell["id"]
    made = parse_lesson(json.dumps(content).encode(), "x.ipynb").copy_for("ada-quill", 7)
    nbformat.validate(nbformat.reads(made.decode("utf-8"), as_version=4))


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_text_is_utf_8_wherever_it_is_read(cells_of, mark, tmp_path):
    cells = cells_of()
    cells[0]["source"] = "# Hear ♭9 Δ ø\u0301"
    path = tmp_path / "x.ipynb"
    path.write_bytes(mark + written(cells))
    assert read_lesson(path).plan.title == "Hear ♭9 Δ ǿ"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "not JSON"),
        (b"[]", "not a notebook"),
        (b'{"nbformat": 3, "worksheets": []}', "notebook format 3; allowed: 4"),
        (b'{"nbformat": 4, "cells": [{}]}', "its cells are damaged"),
        (b'{"nbformat": 4, "cells": [\xff]}', "not UTF-8 at byte 26"),
        (b'{"nbformat": 4, "nbformat": 4, "cells": []}', "stands twice"),
    ],
)
def test_what_is_no_notebook_is_refused(data, message):
    with pytest.raises(LessonError, match=message):
        parse_lesson(data, "x.ipynb")


def test_copy_differs_in_parameters_and_outputs_alone(cells_of):
    cells = cells_of()
    cells[4]["outputs"] = [nbformat.v4.new_output("stream", text="run before")]
    cells[4]["execution_count"] = 3
    content = json.loads(written(cells))
    content["metadata"] = {"kernelspec": {"name": "python3", "display_name": "Python 3"}, "widgets": {"state": {}}}
    lesson = parse_lesson(json.dumps(content).encode(), "x.ipynb")
    made = nbformat.reads(lesson.copy_for("ada-quill", 7).decode("utf-8"), as_version=4)
    assert [cell.source for cell in made.cells[2:]] == [cell["source"] for cell in cells[2:]]
    assert all(not cell.get("outputs") and cell.get("execution_count") is None for cell in made.cells)
    assert "widgets" not in made.metadata
    assert made.metadata.kernelspec.name == "python3"
    values: dict = {}
    exec(made.cells[1].source, values)
    assert (values["LESSON"], values["STUDENT"], values["SEED"]) == ("read-intervals", "ada-quill", 7)
    assert values["DIGEST"] == lesson.plan.digest
