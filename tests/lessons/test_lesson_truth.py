"""What the form lesson calls right, against the published forms in ``tests/published/known_forms.tsv``.

Its rows give the plan of each piece as bars; the bars that are the same were measured there on the bundled files.
"""

import csv
import re
from pathlib import Path

import nbformat
import pytest

from musictheory_nb.classroom.lesson_notebook import read_lesson

ROOT = Path(__file__).parents[2]
LESSON = ROOT / "lessons" / "15_map_the_form_of_a_rag.ipynb"


def published(path: str) -> str:
    with (ROOT / "tests" / "published" / "known_forms.tsv").open(encoding="utf-8", newline="") as file:
        rows = csv.reader((line for line in file if not line.startswith("#")), delimiter="\t")
        (plan,) = [row[2] for row in rows if row and row[0] == path]
    return plan


def taught(id: str) -> list[tuple[int, str]]:
    exercise = read_lesson(LESSON).plan.exercise(id)
    return [(int(row[0]), row[1]) for row in exercise.settings["sections"]]


def test_rag():
    plan = published("joplin/maple_leaf_rag.mxl")
    strains = re.findall(r"\b([A-D])'? (?:\([^)]*\) )?(\d+)-", plan)
    assert len(strains) == 5
    # the pickup before bar 1 belongs to the first strain
    assert taught("rag-sections") == [(0 if first == "1" else int(first), letter) for letter, first in strains]


def test_minuet_and_trio():
    plan = published("mozart/k156/movement3.mxl")
    repeated = [int(first) for first in re.findall(r"[|:]\|?:?(\d+)-\d+", plan)]
    (returns,) = (int(bar) for bar in re.findall(r"return at (\d+)", plan))
    starts = sorted({*repeated, returns})
    assert starts == [1, 15, 25, 37, 47]
    sections = taught("minuet-sections")
    assert [first for first, _ in sections] == starts
    # the return shares the letter of the opening, and the trio has letters of its own
    letters = dict(sections)
    assert letters[returns] == letters[1]
    assert len({letters[1], letters[15], letters[37], letters[47]}) == 4


@pytest.mark.parametrize(("bar", "fifths"), [(50, -4), (51, -5), (67, -5), (68, -4)])
def test_key_signatures_of_the_rag(bar, fifths):
    """known_forms.tsv: key signatures of four flats, of five from bar 51, of four from bar 68."""
    rag = read_lesson(LESSON).plan.exercise("rag-sections").excerpts["rag"]
    assert rag.measures[rag.measure_index(str(bar))].fifths == fifths


def visible_before(path: Path, id: str) -> str:
    """All that a student has seen, cell by cell, before an exercise: text, unfolded code, what the cells show."""
    seen = []
    for cell in nbformat.read(path, as_version=4).cells:
        folded = cell.metadata.get("jupyter", {}).get("source_hidden", False)
        if not folded:
            seen.append(cell.source)
        elif f'lesson.exercise(\n    "{id}"' in cell.source:
            return "\n".join(seen)
        seen += [output.get("text", "") or output.data.get("text/plain", "") for output in cell.get("outputs", [])]
    raise AssertionError(f"{id} is not in a folded cell: its settings hold what is right")


@pytest.mark.parametrize(("id", "told"), [("minuet-sections", {1, 15, 25}), ("rag-sections", {0, 1, 18})])
def test_where_sections_begin_is_not_told_before_it_is_asked(id, told):
    """A few boundaries are worked out in the text; the others are for the student to find."""
    seen = {
        int(number)
        for number in re.findall(
            r"\d+", re.sub(r"[A-G](-(flat|sharp))? \d|[A-G][#♯b♭]?\d", "", visible_before(LESSON, id))
        )
    }
    asked = {first for first, _ in taught(id)} - told
    assert len(asked) >= 2
    assert not asked & seen
