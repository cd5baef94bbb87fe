"""Lessons made from pieces: each can be read, handed out, answered and marked; none asks about what is in doubt.

The truth about form is the table of known forms (tests/published/known_forms.tsv); the pieces are those that music21 bundles.
"""

import json
import zlib
from pathlib import Path

import pytest

from musictheory_nb.classroom.bundled_piece import find_piece
from musictheory_nb.classroom.corrected_piece import correct_piece
from musictheory_nb.classroom.form_proposal import form_proposals
from musictheory_nb.classroom.harmony_proposal import sure_chords
from musictheory_nb.classroom.lesson_choice import proposals
from musictheory_nb.classroom.lesson_files import CORRECTIONS, make_lesson
from musictheory_nb.classroom.lesson_from_piece import lesson_notebook_of, lesson_slug
from musictheory_nb.classroom.lesson_notebook import parse_lesson, read_lesson
from musictheory_nb.classroom.lesson_options import SURE, LessonOptions
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.classroom.piece_corrections import parse_corrections
from musictheory_nb.errors import LessonError
from musictheory_nb.practice.marking import mark_lesson
from musictheory_nb.score.load import load_score

#: Of many kinds: chorales, quartet movements, rags, songs, tunes, madrigals, piano pieces, an aria.
PIECES = (
    "bach/bwv66.6",
    "bach/bwv269",
    "bach/bwv846",
    "bach/bwv1.6",
    "bach/bwv347",
    "bach/bwv5.7",
    "mozart/k156/movement3",
    "mozart/k80/movement3",
    "mozart/k545/movement1_exposition",
    "mozart/k458/movement2",
    "haydn/opus1no1/movement2",
    "haydn/opus74no1/movement3",
    "haydn/opus74no1/movement1",
    "mozart/k155/movement2",
    "haydn/opus74no1/movement4",
    "schubert/Lindenbaum",
    "beethoven/opus18no1/movement3",
    "beethoven/opus18no1/movement2",
    "beethoven/opus59no1/movement3",
    "beethoven/opus18no4",
    "joplin/maple_leaf_rag",
    "johnson_j_r/lift_every_voice",
    "leadSheet/fosterBrownHair",
    "leadSheet/berlinAlexandersRagtime",
    "monteverdi/madrigal.3.1",
    "monteverdi/madrigal.3.2",
    "monteverdi/madrigal.3.5",
    "monteverdi/madrigal.3.8",
    "palestrina/Agnus_01",
    "palestrina/Kyrie_02",
    "schumann_clara/polonaise_op1n1",
    "schumann_clara/polonaise_op1n3",
    "schumann_robert/opus41no1/movement3",
    "schoenberg/opus19/movement2",
    "chopin/mazurka06-2",
    "handel/rinaldo/Lascia_chio_pianga",
    "verdi/laDonnaEMobile",
    "corelli/opus3no1/1grave",
    "cpebach/h186",
    "beach/prayer_of_a_tired_child",
    "liliuokalani/aloha_oe",
)
DEFAULT = ("bach/bwv66.6", "joplin/maple_leaf_rag", "leadSheet/fosterBrownHair", "mozart/k156/movement3")


def piece_named(name):
    found = None
    for ending in ("", ".mxl", ".xml", ".krn", ".musicxml", ".abc", ".mid"):
        try:
            found = find_piece(Path(name + ending))
            if found.is_file():
                break
        except Exception:
            continue
    return load_score(found)


def check_lesson(name):
    piece = piece_named(name)
    analysis = analyse(piece)
    made = lesson_notebook_of(analysis, lesson_slug(name.replace("/", "-")))
    lesson = parse_lesson(json.dumps(made.notebook).encode(), "made.ipynb")
    assert 1 <= len(lesson.plan.exercises) <= 7
    for exercise in lesson.plan.exercises:
        for seed in (3, 2**40):
            for index in range(exercise.count):
                item = exercise.item(seed, index)
                assert item.prompt
                assert item.explain
    assert len({exercise.id for exercise in lesson.plan.exercises}) == len(lesson.plan.exercises)
    # whatever is asked about chords is sure
    sure = {span.chord.symbol.partition("/")[0] for span in sure_chords(analysis)}
    for exercise in lesson.plan.exercises:
        for symbol in (*exercise.settings.get("items", ()), *exercise.settings.get("chords", ())):
            if exercise.kind.startswith(("chord", "scale")):
                assert symbol in sure or symbol in {span.chord.symbol for span in sure_chords(analysis)}
    text = json.dumps(made.notebook)
    assert "volume low" in text
    assert "health professional" in text
    return made


@pytest.mark.parametrize("name", DEFAULT)
def test_a_lesson_comes_of_it(name):
    check_lesson(name)


@pytest.mark.full
@pytest.mark.parametrize("name", [name for name in PIECES if name not in DEFAULT])
def test_a_lesson_comes_of_every_kind_of_piece(name):
    check_lesson(name)


def test_the_form_that_is_asked_is_the_published_one():
    """Maple Leaf Rag: A 1, B 18, A 35, C 51, D 68 (known_forms.tsv); K. 156 iii: minuet 1, 15, return at 25, trio 37, 47."""
    for name, starts in (
        ("joplin/maple_leaf_rag", ["1", "18", "35", "51", "68"]),
        ("mozart/k156/movement3", ["1", "15", "25", "37", "47"]),
    ):
        analysis = analyse(piece_named(name))
        marking = [one for one in form_proposals(analysis, LessonOptions()) if one.exercise.kind == "section-marking"]
        for proposal in marking:
            rows = proposal.exercise.settings["sections"]
            begun = [row[0] for row in rows]
            assert [{"0": "1"}.get(number, number) for number in begun] == starts


QUINTET = Path(__file__).parents[2] / "lessons" / "pieces" / "timetable-for-the-last-ferry.musicxml"


def test_what_is_asked_of_our_chart_is_what_it_was_written_to_hold():
    """The values are what its composers wrote, bar by bar (lessons/pieces/README.md)."""
    analysis = analyse(load_score(QUINTET, cache=False))
    asked = {one.exercise.id: one.exercise for one in proposals(analysis, LessonOptions())}
    steps = [(step["ask"], step["answer"]) for step in asked["follow-the-players"].settings["steps"]]
    horns = ["Trumpet in Bb", "Tenor Saxophone"]
    assert ("pedal point", [["1", "8"], "G", "bass"]) in steps
    assert ("pedal point", [["73", "76"], "C", "bass"]) in steps
    assert ("trading", [["41", "56"], horns, 4]) in steps
    assert ["57", "64", "G Phrygian dominant"] in asked["scale-of-passages"].settings["passages"]
    assert asked["hear-degrees"].settings["keys"] == ["C minor"]


def test_a_doubtful_form_is_asked_only_when_the_teacher_gives_it():
    # two halves that the analysis cannot be sure of
    drawn = [("CDEFGAB"[zlib.crc32(bytes([at])) % 7], at) for at in range(64)]
    bars = "|".join("".join(name for name, place in drawn if place // 4 == bar) for bar in range(16))
    piece = load_score(f"X:1\nT:Drawn by lot\nM:4/4\nL:1/4\nK:C\n{bars}|]\n".encode(), cache=False)
    assert list(form_proposals(analyse(piece), LessonOptions())) == []
    right = correct_piece(piece, parse_corrections("section 1: A\nsection 9: B\n"))
    (proposal,) = form_proposals(analyse(right), LessonOptions())
    assert [row[:2] for row in proposal.exercise.settings["sections"]] == [["1", "A"], ["9", "B"]]


def test_no_doubtful_chord_is_asked():
    analysis = analyse(piece_named("bach/bwv66.6"))
    assert all(span.confidence >= SURE for span in sure_chords(analysis))
    assert len(sure_chords(analysis)) < len(analysis.harmony)


def test_files_and_the_whole_of_marking(tmp_path):
    piece = load_score(Path(__file__).parents[2] / "lessons/pieces/low-water-slack-rope.abc")
    to = tmp_path / "low_water.ipynb"
    files = make_lesson(piece, to, LessonOptions(level="first", length=5), run=False)
    assert files.corrections == to.with_suffix(CORRECTIONS)
    assert files.corrections.is_file()
    plan = read_lesson(to).plan
    assert plan.id == "low-water"
    given = files.corrections.read_text(encoding="utf-8")
    # the teacher confirms every doubt: takes away the first "# " of the lines below the heading
    head, _, rest = given.partition("\n\n")
    files.corrections.write_text(head + "\n\n" + rest.replace("# ", "", 1).replace("\n# ", "\n"), encoding="utf-8")
    again = make_lesson(piece, to, LessonOptions(level="first", length=5), run=False)
    assert again.lesson.doubts == ()
    assert any("Corrections used" in line for line in again.told)
    plan = read_lesson(to).plan
    assert "mark-sections" in [exercise.id for exercise in plan.exercises]
    nothing = mark_lesson(plan, 7, ())
    assert nothing.points == 0


def test_focus_and_length():
    analysis = analyse(piece_named("leadSheet/fosterBrownHair"))
    kinds = [
        one.group
        for one in lesson_notebook_of(analysis, "brown-hair", LessonOptions(focus=("scales",), length=5)).exercises
    ]
    assert "scales" in kinds
    assert len(kinds) <= 5
    first = lesson_notebook_of(analysis, "brown-hair", LessonOptions(level="first"))
    assert all(one.exercise.kind != "scale-over-chord" for one in first.exercises)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [({"level": "hard"}, "level 'hard'"), ({"focus": ("jazz",)}, "focus 'jazz'"), ({"length": 3}, "5 to 10")],
)
def test_options_that_there_are_not(wrong, told):
    with pytest.raises(LessonError, match=told):
        LessonOptions(**wrong)


def test_a_wrong_ending_is_refused_before_anything_is_written(tmp_path):
    piece = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|GABc|]\n", cache=False)
    with pytest.raises(LessonError, match="ipynb"):
        make_lesson(piece, tmp_path / "lesson.txt", LessonOptions())
    assert list(tmp_path.iterdir()) == []
