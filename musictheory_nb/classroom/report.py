"""report.html: what a teacher wants to know of a class, on one page that stands alone."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks, Confusion, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.likeness_hint import NOT_A_VERDICT
from musictheory_nb.classroom.page import Column, Markup, element, joined, page, table
from musictheory_nb.classroom.report_anchor import part_anchor, student_anchor
from musictheory_nb.classroom.report_class import class_section, marks_section, state_words
from musictheory_nb.classroom.report_extras import ReportExtras
from musictheory_nb.classroom.report_help import HELP_BELOW, confusion_section, help_section, open_questions
from musictheory_nb.classroom.report_items import item_section, time_section
from musictheory_nb.classroom.report_words import counted, list_of, name_of, of_words, share_words, time_words

#: Hints on likeness that one report tells.
MAX_HINTS: Final = 200
NO_EXTRAS: Final[Mapping[str, ReportExtras]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the report on a lesson: its heading, and what makes it."""

    heading: str
    make: Callable[[ClassMarks, ReportExtras, int], Markup]


def _problems(lesson: ClassMarks, extras: ReportExtras, level: int) -> Markup:
    rows: list[Sequence[str]] = [("The class", problem) for problem in lesson.problems]
    rows += [(name_of(one.student), problem) for one in lesson.students for problem in one.problems]
    if rows:
        caption = (
            "Found in what was handed in. Whatever stands here, marks go by the manifest and the teacher's exercises."
        )
        found = table(caption, (Column("Student"), Column("What was found")), rows)
    else:
        found = element("p", "Nothing was out of order in what was handed in.")
    return joined(open_questions(lesson, extras.exchanges), found, _hints(lesson, extras))


def _hints(lesson: ClassMarks, extras: ReportExtras) -> Markup:
    if not extras.hints:
        return Markup("")
    more = len(extras.hints) - MAX_HINTS
    left = [f"and {counted(more, 'more hint')}"] if more > 0 else []
    return joined(
        element("p", "Where the records of students are alike:"),
        list_of([*(hint.sentence for hint in extras.hints[:MAX_HINTS]), *left]),
        element("p", NOT_A_VERDICT, class_="quiet"),
    )


def _wrong(marks: ExerciseMarks, confusions: Sequence[Confusion]) -> str:
    """What a student got wrong in one exercise, in words."""
    if not marks.answered:
        return "–"
    named = [
        f"item {one.index + 1}: {one.right}; answered: {one.answered}" for one in confusions if one.exercise == marks.id
    ]
    if named:
        return list_of([*named, *_awaiting(marks)])
    marked = [score for at, score in enumerate(marks.scores) if at not in marks.awaits]
    told = [] if all(score in (None, 1.0) for score in marked) else ["nothing that can be named"]
    return "; ".join([*told, *_awaiting(marks)]) or "nothing"


def _awaiting(marks: ExerciseMarks) -> list[str]:
    return [f"item {at + 1} awaits your mark" for at in marks.awaits if marks.scores[at] is not None]


def _student(lesson: ClassMarks, one: StudentMarks, extras: ReportExtras, level: int) -> Markup:
    summary = f"{of_words(one.points, one.points_possible)} points; {state_words(one)} answered; last answer {time_words(one.last_answer)}"
    if one.failed or not one.answered:
        summary = state_words(one).capitalize()
    parts = [element(f"h{level}", name_of(one.student)), element("p", summary + ".", class_="quiet")]
    final = extras.final(one.student.id)
    if final is not None and final.effects:
        parts += [element("p", "By the marking policy:"), list_of(effect.words for effect in final.effects)]
    if one.after_due:
        parts.append(element("p", f"{one.after_due} answers say that they were given after the due time; they count."))
    if one.answered:
        rows = []
        for marks in one.exercises:
            rows.append(
                (
                    marks.id,
                    f"{marks.answered} of {len(marks.scores)}",
                    of_words(marks.points, marks.points_possible),
                    _wrong(marks, one.confusions),
                )
            )
        columns = (Column("Exercise"), Column("Answered", True), Column("Points", True), Column("What was wrong"))
        parts.append(table(f"Exercises of {one.student.name}", columns, rows, show_caption=False))
    if one.problems or one.notes:
        parts += [element("p", "Found in what was handed in:"), list_of([*one.problems, *one.notes])]
    if href := extras.pages.get(one.student.id):
        link = element("a", "The page to give back to ", name_of(one.student), href=href)
        parts.append(element("p", link))
    return element("article", *parts, id=student_anchor(lesson, one.student.id))


def _students(lesson: ClassMarks, extras: ReportExtras, level: int) -> Markup:
    return joined(*(_student(lesson, one, extras, level + 1) for one in lesson.students))


#: Parts of the report on a lesson, in order, by anchor.
PARTS: Final[Mapping[str, Part]] = MappingProxyType(
    {
        "class": Part("The class", lambda lesson, extras, level: class_section(lesson, extras)),
        "marks": Part("Marks", lambda lesson, extras, level: marks_section(lesson, extras)),
        "help": Part(
            "Who needs help with what",
            lambda lesson, extras, level: help_section(lesson, extras.pass_percent / 100 or HELP_BELOW),
        ),
        "taken-for": Part("What was taken for what", lambda lesson, extras, level: confusion_section(lesson)),
        "items": Part("Items", lambda lesson, extras, level: item_section(lesson)),
        "time": Part("Time spent", lambda lesson, extras, level: time_section(lesson)),
        "to-look-at": Part("To look at", _problems),
        "students": Part("Student by student", _students),
    }
)


def _lesson(lesson: ClassMarks, extras: ReportExtras, level: int) -> Markup:
    due = f"Due {lesson.due.written} ({time_words(lesson.due.utc)}). " if lesson.due else ""
    about = f"{due}Lesson {lesson.lesson}, version {lesson.digest[7:19]}."
    parts = [element("p", about, class_="quiet")]
    for name, part in PARTS.items():
        parts.append(element(f"h{level}", part.heading, id=part_anchor(lesson, name)))
        parts.append(part.make(lesson, extras, level))
        parts.append(Markup("\n"))
    return joined(*parts)


def _overview(lessons: Sequence[ClassMarks]) -> Markup:
    """A table of students by lessons, where there are several lessons."""
    students = {one.student.id: one for lesson in lessons for one in lesson.students}
    found = [{one.student.id: one for one in lesson.students} for lesson in lessons]
    columns = [Column("Student"), *(Column(lesson.title, True) for lesson in lessons)]
    rows = []
    for id, first in students.items():
        cells: list[str] = [name_of(first.student)]
        for lesson, marks in zip(lessons, found, strict=True):
            one = marks.get(id)
            shown = share_words(one.score) if one is not None and one.answered else "–"
            is_link = one is not None and one.answered
            cells.append(element("a", shown, href=f"#{student_anchor(lesson, id)}") if is_link else "–")
        rows.append(cells)
    foot = ["Mean", *(share_words(lesson.mean_score()) for lesson in lessons)]
    return table("Score of each student in each lesson. A dash: nothing answered.", columns, rows, foot)


def report_html(
    lessons: Sequence[ClassMarks], title: str = "", extras: Mapping[str, ReportExtras] = NO_EXTRAS
) -> bytes:
    """Return the report on one lesson, or on several, as the file of a page.

    Parameters
    ----------
    lessons : sequence of ClassMarks
        At least one.
    title : str
        Heading; by default the lesson's title.
    extras : Mapping of str to ReportExtras
        What is known beside the marks, by lesson id.

    Notes
    -----
    The same marks give the same file. It fetches nothing, runs nothing, and escapes every text.
    """
    style = files("musictheory_nb.classroom").joinpath("report.css").read_text(encoding="utf-8")
    nothing = ReportExtras()
    if len(lessons) == 1:
        (lesson,) = lessons
        title = title or f"Marks: {lesson.title}"
        links = [(part_anchor(lesson, name), part.heading) for name, part in PARTS.items()]
        body = _lesson(lesson, extras.get(lesson.lesson, nothing), 2)
    else:
        title = title or "Marks of the class"
        links = [(lesson.lesson, lesson.title) for lesson in lessons]
        sections = (
            element(
                "section",
                element("h2", lesson.title, id=lesson.lesson),
                _lesson(lesson, extras.get(lesson.lesson, nothing), 3),
            )
            for lesson in lessons
        )
        body = joined(element("h2", "All lessons"), _overview(lessons), *sections)
    items = (element("li", element("a", words, href=f"#{anchor}")) for anchor, words in links)
    nav = element("nav", element("ul", *items), aria_label="On this page")
    return page(
        title, style, element("header", element("h1", title), nav), Markup("\n"), element("main", body, id="main")
    )
