"""The part of the class report on its items: difficulty, discrimination, reliability, and the time that they took."""

from collections import Counter
from statistics import median
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks
from musictheory_nb.classroom.item_statistics import ItemStatistics, TableStatistics, statistics_of
from musictheory_nb.classroom.page import Column, Markup, element, joined, table
from musictheory_nb.classroom.report_words import counted, share_words, spent_words

#: A figure of an item -> below or above what it is worth a look, and why. Common practice of teachers, no source.
HARD_BELOW: Final = 0.25
EASY_ABOVE: Final = 0.95
WEAK_BELOW: Final = 0.1

OWN_ITEMS: Final = (
    "Every student has items of their own, drawn from the same settings: the figures of item 3 are those of the third place in the "
    "exercise, not of one question."
)
LEGEND: Final = (
    "Difficulty: share of the points reached (1.00: all right). Item and rest: correlation of the item with the total of all "
    "others. Upper less lower: mean score of the best 27 % less that of the weakest 27 %. Without it: alpha of the lesson without the "
    "item. An item without an answer counts 0 for those who answered others."
)
TIME_NOTE: Final = "Times are written by the students' computers: a hint, on which no mark depends."

Shape = tuple[tuple[str, int], ...]


def _shape(one: StudentMarks) -> Shape:
    return tuple((marks.id, len(marks.scores)) for marks in one.exercises)


def lesson_statistics(lesson: ClassMarks) -> tuple[Shape, TableStatistics, int]:
    """Return exercises and item counts, the figures of all items, and how many students had another version.

    Counted are the students who answered something of the version that most of them got. Exercises in which answers
    await a teacher's mark are left out.
    """
    taking_part = lesson.taking_part
    if not taking_part:
        return (), statistics_of([]), 0
    ((shape, _),) = Counter(map(_shape, taking_part)).most_common(1)
    same = [one for one in taking_part if _shape(one) == shape]
    waiting = {marks.id for one in same for marks in one.exercises if marks.awaiting}
    rows = [[s or 0.0 for marks in one.exercises if marks.id not in waiting for s in marks.scores] for one in same]
    shape = tuple(row for row in shape if row[0] not in waiting)
    return shape, statistics_of(rows), len(taking_part) - len(same)


def to_look_at(item: ItemStatistics) -> str:
    """Return why an item is worth a look, or nothing."""
    told = []
    difficulty = item.difficulty.value
    if difficulty is not None and difficulty < HARD_BELOW:
        told.append("very difficult")
    if difficulty is not None and difficulty > EASY_ABOVE:
        told.append("nearly all right")
    if item.item_total.value is not None and item.item_total.value < 0:
        told.append("weaker students do better than stronger ones")
    elif item.item_total.value is not None and item.item_total.value < WEAK_BELOW:
        told.append("hardly tells strong from weak")
    return "; ".join(told)


def item_section(lesson: ClassMarks) -> Markup:
    """Return the table of items, with alpha of the lesson."""
    shape, figures, others = lesson_statistics(lesson)
    if not shape:
        return element("p", "No answers yet.")
    names = [f"{id}, item\u00a0{at + 1}" for id, count in shape for at in range(count)]
    columns = (
        Column("Item"),
        Column("Difficulty", True),
        Column("Item and rest", True),
        Column("Upper less lower", True),
        Column("Alpha without it", True),
        Column("To look at"),
    )
    reasons: dict[str, None] = {}
    rows = []
    for name, item in zip(names, figures.items, strict=True):
        cells = [name]
        for figure in (item.difficulty, item.item_total, item.upper_lower, item.alpha_without):
            cells.append("n/a" if figure.value is None else str(figure))
            if figure.value is None:
                reasons[figure.reason] = None
        rows.append([*cells, to_look_at(item)])
    students = figures.items[0].students
    told = [f"Reliability (Cronbach's alpha) of the lesson, {counted(students, 'student')}: {figures.alpha}."]
    if figures.caution:
        told.append(figures.caution)
    if others:
        told.append(f"Left out: {counted(others, 'student')} with another version of the lesson.")
    parts = [element("p", " ".join(told)), element("p", OWN_ITEMS, class_="quiet"), table(LEGEND, columns, rows)]
    if reasons:
        parts.append(element("p", f"n/a, not to be told from these data: {'; '.join(reasons)}.", class_="quiet"))
    return joined(*parts)


def time_section(lesson: ClassMarks) -> Markup:
    """Return the table of time spent, exercise by exercise."""
    rows = []
    for id, title in lesson.exercises:
        own = [
            marks for one in lesson.students if (marks := one.exercise(id)) is not None and marks.seconds is not None
        ]
        seconds = [marks.seconds for marks in own if marks.seconds is not None]
        items = [ms / 1000 for marks in own for ms in marks.ms if ms is not None]
        if not seconds:
            continue
        rows.append(
            (
                f"{title} ({id})",
                str(len(seconds)),
                spent_words(median(items)),
                spent_words(median(seconds)),
                spent_words(min(seconds)),
                spent_words(max(seconds)),
            )
        )
    if not rows:
        return element("p", "No times are recorded.")
    columns = (
        Column("Exercise"),
        Column("Students", True),
        Column("An item, median", True),
        Column("All items, median", True),
        Column("Quickest", True),
        Column("Longest", True),
    )
    return table(f"Time spent. {TIME_NOTE}", columns, rows)


def needs_help(lesson: ClassMarks, below: float) -> list[tuple[str, StudentMarks, float]]:
    """Return (exercise, student, score) where a student who took part in an exercise scored under `below`, worst first."""
    found = [
        (id, one, marks.score)
        for id, _ in lesson.exercises
        for one in lesson.students
        if (marks := one.exercise(id)) is not None and marks.answers_marked and marks.score < below
    ]
    order = {id: at for at, (id, _) in enumerate(lesson.exercises)}
    return sorted(found, key=lambda row: (order[row[0]], row[2], row[1].student.id))


def score_words(score: float, answered: int, asked: int) -> str:
    """Return a score with what it is of.

    Examples
    --------
    >>> score_words(0.4, 3, 5)
    '40 %, 3 of 5 answered'
    """
    return f"{share_words(score)}, {answered} of {asked} answered"
