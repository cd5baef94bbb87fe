"""The parts of the class report on the whole class and on its marks."""

from statistics import fmean, median

from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks
from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.page import Column, Markup, element, joined, picture, table
from musictheory_nb.classroom.policy_effect import percent_words
from musictheory_nb.classroom.report_anchor import part_anchor, student_anchor
from musictheory_nb.classroom.report_extras import ReportExtras
from musictheory_nb.classroom.report_words import figures, list_of, name_of, points_words, share_words
from musictheory_nb.media.distribution_picture import distribution_picture
from musictheory_nb.media.marks_picture import score_picture


def state_words(one: StudentMarks) -> str:
    """Return how much a student has answered, or why there is nothing."""
    if one.failed:
        return "not marked"
    if one.answered:
        return f"{one.answered} of {one.asked}"
    return "no answers" if one.handed_in else "nothing handed in"


def class_section(lesson: ClassMarks, extras: ReportExtras) -> Markup:
    """Return the figures of the class, how its marks are spread, and the exercises."""
    taking_part = lesson.taking_part
    scores = [one.score for one in taking_part]
    shown: list[tuple[str, str]] = [
        ("Students", str(len(lesson.students))),
        ("With answers", str(len(taking_part))),
        ("All answered", str(sum(one.answered == one.asked for one in taking_part))),
        ("Mean", share_words(fmean(scores) if scores else None)),
        ("Median", share_words(median(scores) if scores else None)),
        ("Lowest", share_words(min(scores, default=None))),
        ("Highest", share_words(max(scores, default=None))),
    ]
    count = len(lesson.problems) + sum(len(one.problems) for one in lesson.students)
    if count:
        shown.append(("To look at", element("a", str(count), href=f"#{part_anchor(lesson, 'to-look-at')}")))
    return joined(figures(shown), _spread(lesson, extras), _exercises(lesson))


def _spread(lesson: ClassMarks, extras: ReportExtras) -> Markup:
    """How the marks are spread, over the students with answers."""
    percents = []
    for one in lesson.taking_part:
        final = extras.final(one.student.id)
        percents.append(100 * one.score if final is None else final.percent)
    if not percents:
        return Markup("")
    drawn = distribution_picture(percents, extras.pass_percent)
    what = "Marks after the marking policy" if extras.finals else "Marks"
    return picture(drawn.svg, drawn.alt, f"{what} of the students with answers.")


def _exercise_rows(lesson: ClassMarks) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for id, title in lesson.exercises:
        marks = [found for one in lesson.students if (found := one.exercise(id)) is not None]
        scores = [one.score for one in marks if one.answers_marked]
        items = sorted({len(one.scores) for one in marks})
        points = sorted({one.points_possible for one in marks})
        rows.append(
            (
                id,
                title,
                " or ".join(map(str, items)),
                " or ".join(map(number_text, points)),
                str(len(scores)),
                share_words(fmean(scores) if scores else None),
                share_words(min(scores, default=None)),
                share_words(max(scores, default=None)),
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
        scores.append([one.score for one in marks if one is not None and one.answers_marked])
    if not any(scores):
        return found
    drawn = score_picture(titles, scores)
    shown = picture(drawn.svg, drawn.alt, "Scores of the students with answers, exercise by exercise.")
    return joined(found, shown)


def marks_section(lesson: ClassMarks, extras: ReportExtras) -> Markup:
    """Return the table of marks, and where there is a policy, what its rules did to whom."""
    ids = [id for id, _ in lesson.exercises]
    columns = [Column("Student"), Column("Answered", True), *(Column(id, True) for id in ids)]
    columns += [Column("Points", True), Column("Score", True)]
    if extras.finals:
        columns.append(Column("Mark", True))
    rows = []
    for one in lesson.students:
        link = element("a", name_of(one.student), href=f"#{student_anchor(lesson, one.student.id)}")
        each = (one.exercise(id) for id in ids)
        points = [points_words(marks.points) if marks is not None and marks.answered else "–" for marks in each]
        total = points_words(one.points) if one.answered else "–"
        row = [link, state_words(one), *points, total, share_words(one.score) if one.answered else "–"]
        if extras.finals:
            final = extras.final(one.student.id)
            row.append("–" if final is None else percent_words(final.percent))
        rows.append(row)
    possible = sorted({one.points_possible for one in lesson.students if one.exercises})
    whole = " or ".join(map(number_text, possible))
    marks = table(f"Points by student, of {whole}. A dash: nothing answered.", columns, rows)
    return joined(marks, _effects(lesson, extras))


def _effects(lesson: ClassMarks, extras: ReportExtras) -> Markup:
    rows = []
    for one in lesson.students:
        final = extras.final(one.student.id)
        if final is not None and final.effects:
            passed = "" if final.passed is None else "yes" if final.passed else "no"
            words = list_of(effect.words for effect in final.effects)
            rows.append(
                (name_of(one.student), percent_words(final.raw_percent), words, percent_words(final.percent), passed)
            )
    if not rows:
        return Markup("")
    columns = [Column("Student"), Column("Before", True), Column("Rules"), Column("Mark", True), Column("Passed")]
    return table(
        "What the marking policy did, rule by rule; students for whom it changed nothing are left out.", columns, rows
    )
