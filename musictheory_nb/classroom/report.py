"""report.html: what a teacher wants to know of a class, on one page that stands alone."""

from collections.abc import Iterable, Sequence
from importlib.resources import files
from statistics import fmean, median
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks, Confusion, ExerciseMarks, StudentMarks, confused_pairs
from musictheory_nb.classroom.marks_table import number_text
from musictheory_nb.classroom.page import Column, Markup, element, joined, page, picture, table
from musictheory_nb.media.marks_picture import score_picture

#: Parts of the report on a lesson, in order: anchor and heading.
PARTS: Final = MappingProxyType(
    {
        "class": "The class",
        "marks": "Marks",
        "taken-for": "What was taken for what",
        "to-look-at": "To look at",
        "students": "Student by student",
    }
)
#: Rows of a table of confused pairs; those that happened once are left out where there are more.
MAX_PAIRS: Final = 15


def _percent(score: float | None) -> str:
    return "–" if score is None else f"{100 * score:.0f} %"


def _points(value: float) -> str:
    return f"{value:.2f}"


def _of(part: float, whole: float) -> str:
    return f"{_points(part)} of {number_text(whole)}"


def _time(utc: str) -> str:
    return utc[:16].replace("T", " ") + " UTC" if utc else "–"


def _name(one: StudentMarks) -> Markup:
    return element("bdi", one.student.name)


# Ids have no two hyphens in a row, so that these never meet.
def _anchor(lesson: ClassMarks, student: str) -> str:
    return f"{lesson.lesson}--{student}"


def _part_anchor(lesson: ClassMarks, part: str) -> str:
    return f"{lesson.lesson}---{part}"


def _state(one: StudentMarks) -> str:
    if one.failed:
        return "not marked"
    if one.answered:
        return f"{one.answered} of {one.asked}"
    return "no answers" if one.handed_in else "nothing handed in"


def _lines(rows: Iterable[str]) -> Markup:
    return element("ul", *(element("li", row) for row in rows), class_="lines")


def _problems(lesson: ClassMarks) -> Markup:
    rows = [("The class", problem) for problem in lesson.problems]
    cells: list[Sequence[str]] = [*rows]
    cells += [(_name(one), problem) for one in lesson.students for problem in one.problems]
    if not cells:
        return element("p", "Nothing was out of order in what was handed in.")
    return table(
        "Found in what was handed in. Whatever stands here, marks go by the manifest and the teacher's exercises.",
        (Column("Student"), Column("What was found")),
        cells,
    )


def _figures(lesson: ClassMarks) -> Markup:
    taking_part = lesson.taking_part
    scores = [one.score for one in taking_part]
    shown = [
        ("Students", str(len(lesson.students))),
        ("With answers", str(len(taking_part))),
        ("All answered", str(sum(one.answered == one.asked for one in taking_part))),
        ("Mean", _percent(fmean(scores) if scores else None)),
        ("Median", _percent(median(scores) if scores else None)),
        ("Lowest", _percent(min(scores, default=None))),
        ("Highest", _percent(max(scores, default=None))),
    ]
    pairs = [element("div", element("dt", term), element("dd", value)) for term, value in shown]
    count = len(lesson.problems) + sum(len(one.problems) for one in lesson.students)
    if count:
        link = element("a", str(count), href=f"#{_part_anchor(lesson, 'to-look-at')}")
        pairs.append(element("div", element("dt", PARTS["to-look-at"]), element("dd", link)))
    return element("dl", *pairs, class_="figures")


def _exercise_rows(lesson: ClassMarks) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for id, title in lesson.exercises:
        marks = [found for one in lesson.students if (found := one.exercise(id)) is not None]
        scores = [one.score for one in marks if one.answered]
        items = sorted({len(one.scores) for one in marks})
        points = sorted({one.points_possible for one in marks})
        rows.append(
            (
                id,
                title,
                " or ".join(map(str, items)),
                " or ".join(map(number_text, points)),
                str(len(scores)),
                _percent(fmean(scores) if scores else None),
                _percent(min(scores, default=None)),
                _percent(max(scores, default=None)),
            )
        )
    return rows


def _exercises(lesson: ClassMarks) -> Markup:
    columns = (
        Column("Exercise"),
        Column("Kind"),
        Column("Items", True),
        Column("Points", True),
        Column("Students with answers", True),
        Column("Mean", True),
        Column("Lowest", True),
        Column("Highest", True),
    )
    caption = "Each exercise, over the students who answered at least one of its items; an item left out counts 0."
    found = table(caption, columns, _exercise_rows(lesson))
    titles, scores = [], []
    for id, _ in lesson.exercises:
        titles.append(id)
        marks = (one.exercise(id) for one in lesson.students)
        scores.append([one.score for one in marks if one is not None and one.answered])
    if not any(scores):
        return found
    drawn = score_picture(titles, scores)
    shown = picture(drawn.svg, drawn.alt, "Scores of the students with answers, exercise by exercise.")
    return joined(found, shown)


def _marks(lesson: ClassMarks) -> Markup:
    ids = [id for id, _ in lesson.exercises]
    columns = [Column("Student"), Column("Answered", True), *(Column(id, True) for id in ids)]
    columns += [Column("Points", True), Column("Score", True)]
    rows = []
    for one in lesson.students:
        link = element("a", _name(one), href=f"#{_anchor(lesson, one.student.id)}")
        each = (one.exercise(id) for id in ids)
        points = [_points(marks.points) if marks is not None and marks.answered else "–" for marks in each]
        total = _points(one.points) if one.answered else "–"
        rows.append([link, _state(one), *points, total, _percent(one.score) if one.answered else "–"])
    possible = sorted({one.points_possible for one in lesson.students if one.exercises})
    whole = " or ".join(map(number_text, possible))
    return table(f"Points by student, of {whole}. A dash: nothing answered.", columns, rows)


def _confusions(lesson: ClassMarks) -> Markup:
    parts = []
    for id, _ in lesson.exercises:
        pairs = confused_pairs(lesson.students, id)
        often = pairs[:MAX_PAIRS] if len(pairs) <= MAX_PAIRS else [pair for pair in pairs if pair.times > 1][:MAX_PAIRS]
        if pairs and not often:
            often = pairs[:MAX_PAIRS]
        if often:
            columns = (Column("Right"), Column("Answered"), Column("Times", True), Column("Students", True))
            rows = [(pair.right, pair.answered, str(pair.times), str(pair.students)) for pair in often]
            left = len(pairs) - len(often)
            more = f" {left} rarer pairs are not shown." if left else ""
            parts.append(table(f"In {id}, most often first.{more}", columns, rows))
    return joined(*parts) if parts else element("p", "No wrong answers to compare.")


def _wrong(marks: ExerciseMarks, confusions: Sequence[Confusion]) -> str:
    """What a student got wrong in one exercise, in words."""
    if not marks.answered:
        return "–"
    named = [
        f"item {one.index + 1}: {one.right}; answered: {one.answered}" for one in confusions if one.exercise == marks.id
    ]
    if named:
        return _lines(named)
    return "nothing" if all(score in (None, 1.0) for score in marks.scores) else "nothing that can be named"


def _student(lesson: ClassMarks, one: StudentMarks, level: int) -> Markup:
    summary = (
        f"{_of(one.points, one.points_possible)} points; {_state(one)} answered; last answer {_time(one.last_answer)}"
    )
    if one.failed or not one.answered:
        summary = _state(one).capitalize()
    parts = [element(f"h{level}", _name(one)), element("p", summary + ".", class_="quiet")]
    if one.after_due:
        parts.append(element("p", f"{one.after_due} answers say that they were given after the due time; they count."))
    if one.answered:
        rows = []
        for marks in one.exercises:
            rows.append(
                (
                    marks.id,
                    f"{marks.answered} of {len(marks.scores)}",
                    _of(marks.points, marks.points_possible),
                    _wrong(marks, one.confusions),
                )
            )
        columns = (Column("Exercise"), Column("Answered", True), Column("Points", True), Column("What was wrong"))
        parts.append(table(f"Exercises of {one.student.name}", columns, rows, show_caption=False))
    if one.problems or one.notes:
        parts += [element("p", "Found in what was handed in:"), _lines([*one.problems, *one.notes])]
    return element("article", *parts, id=_anchor(lesson, one.student.id))


def _lesson(lesson: ClassMarks, level: int) -> Markup:
    def heading(part: str) -> Markup:
        return element(f"h{level}", PARTS[part], id=_part_anchor(lesson, part))

    due = f"Due {lesson.due.written} ({_time(lesson.due.utc)}). " if lesson.due else ""
    about = f"{due}Lesson {lesson.lesson}, version {lesson.digest[7:19]}."
    return joined(
        element("p", about, class_="quiet"),
        heading("class"),
        _figures(lesson),
        _exercises(lesson),
        heading("marks"),
        _marks(lesson),
        heading("taken-for"),
        _confusions(lesson),
        heading("to-look-at"),
        _problems(lesson),
        heading("students"),
        *(_student(lesson, one, level + 1) for one in lesson.students),
    )


def _overview(lessons: Sequence[ClassMarks]) -> Markup:
    """A table of students by lessons, where there are several lessons."""
    students = {one.student.id: one for lesson in lessons for one in lesson.students}
    found = [{one.student.id: one for one in lesson.students} for lesson in lessons]
    columns = [Column("Student"), *(Column(lesson.title, True) for lesson in lessons)]
    rows = []
    for id, first in students.items():
        cells: list[str] = [_name(first)]
        for lesson, marks in zip(lessons, found, strict=True):
            one = marks.get(id)
            shown = _percent(one.score) if one is not None and one.answered else "–"
            is_link = one is not None and one.answered
            cells.append(element("a", shown, href=f"#{_anchor(lesson, id)}") if is_link else "–")
        rows.append(cells)
    foot = ["Mean", *(_percent(lesson.mean_score()) for lesson in lessons)]
    return table("Score of each student in each lesson. A dash: nothing answered.", columns, rows, foot)


def report_html(lessons: Sequence[ClassMarks], title: str = "") -> bytes:
    """Return the report on one lesson, or on several, as the file of a page.

    Parameters
    ----------
    lessons : sequence of ClassMarks
        At least one.
    title : str
        Heading; by default the lesson's title.

    Notes
    -----
    The same marks give the same file. It fetches nothing, runs nothing, and escapes every text.
    """
    style = files("musictheory_nb.classroom").joinpath("report.css").read_text(encoding="utf-8")
    if len(lessons) == 1:
        (lesson,) = lessons
        title = title or f"Marks: {lesson.title}"
        links = [(_part_anchor(lesson, part), words) for part, words in PARTS.items()]
        body = _lesson(lesson, 2)
    else:
        title = title or "Marks of the class"
        links = [(lesson.lesson, lesson.title) for lesson in lessons]
        sections = (
            element("section", element("h2", lesson.title, id=lesson.lesson), _lesson(lesson, 3)) for lesson in lessons
        )
        body = joined(element("h2", "All lessons"), _overview(lessons), *sections)
    items = (element("li", element("a", words, href=f"#{anchor}")) for anchor, words in links)
    nav = element("nav", element("ul", *items), aria_label="On this page")
    return page(title, style, element("header", element("h1", title), nav), Markup("\n"), element("main", body))
