"""A lesson's exercises on paper, for one student: questions, notation, and room for the answers.

The sheet holds no answer: no explanation, nothing that is shown after a question, and no words that read the notation aloud.
Exercises and questions bear the names and numbers by which `paper_answers` reads them back.
"""

import base64
import html
from dataclasses import dataclass
from importlib.resources import files
from typing import Final

from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.page import Markup, element, page
from musictheory_nb.classroom.paper_value import STEP_MARK, choice_marks, how_to_write, is_for_paper
from musictheory_nb.classroom.report_words import counted
from musictheory_nb.errors import MediaError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.staff_drawing import staff_drawing
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.fingerboard_input import FingerboardInput
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.response import ChoiceInput, Step
from musictheory_nb.practice.roles_input import RolesInput
from musictheory_nb.practice.staff_input import StaffInput
from musictheory_nb.practice.text_input import TextInput
from musictheory_nb.practice.twin import twins_in

#: How what only sounds comes to paper -> what is printed.
LISTENING: Final = {
    "printed": "the notation in place of the sound",
    "played": "a line that says: your teacher plays it",
}
#: Measures that one picture shows.
_MEASURES: Final = 16
_WIDTH_PX: Final = 700
PLAYED: Final = "Listen: your teacher plays this question."
SEEN: Final = "On paper, look at the notation in place of listening."
IN_NOTEBOOK: Final = "This question cannot be answered on paper; answer it in the notebook."


@dataclass(frozen=True)
class Sheet:
    """Whose sheet of which lesson.

    Parameters
    ----------
    plan : LessonPlan
        As it was handed out to the student.
    seed : int
        From which the items are drawn.
    student : str
        Id; empty for a sheet that is nobody's.
    name : str
        The student's name; empty leaves a line for it.
    """

    plan: LessonPlan
    seed: int
    student: str = ""
    name: str = ""

    @property
    def file_name(self) -> str:
        """Name of the file without its ending."""
        return f"{self.plan.id}.{self.student}" if self.student else self.plan.id


def _image(svg: str, label: str) -> Markup:
    data = base64.b64encode(svg.encode("utf-8")).decode("ascii")
    return Markup(f'<img src="data:image/svg+xml;base64,{data}" alt="{html.escape(label)}">')


def notation(request: MediaRequest) -> Markup:
    """Return the notation of a request, in pictures of a few lines; none of them says in words what it shows."""
    first, last = (0, len(request.excerpt.measures) - 1) if request.choose_measures else request.span
    parts = []
    for start in range(first, last + 1, _MEASURES):
        try:
            svg = engrave(
                request, first=start, last=min(last, start + _MEASURES - 1), width_px=_WIDTH_PX, is_described=False
            ).svg
        except MediaError as error:
            return element("p", f"{request.label}: {error}", class_="quiet")
        parts.append(_image(svg, f"Notation: {request.label}"))
    return element("figure", *parts, element("figcaption", request.label))


def is_played(item: Item, listening: str) -> bool:
    """Return whether the item sounds and nothing of it is printed."""
    asked = item.shown("asked")
    sounds = any(request.kind == "sound" for request in asked)
    seen = any(request.kind == "notation" for request in asked) or (listening == "printed" and item.twin)
    return sounds and not seen


def _media(item: Item, listening: str) -> list[Markup]:
    asked = item.shown("asked")
    shown = [request for request in asked if request.kind == "notation"]
    sounding = [request for request in asked if request.kind == "sound"]
    if listening == "printed" and item.twin:
        shown += item.twin
        sounding = []
    parts = [notation(request) for request in shown]
    if listening == "printed" and item.twin:
        parts.insert(0, element("p", SEEN, class_="quiet"))
    if sounding and (not shown or listening == "played"):
        parts.append(element("p", PLAYED, class_="played"))
    return parts


def _ruled(lines: int) -> Markup:
    return element("div", *(element("p", Markup("&nbsp;"), class_="rule") for _ in range(lines)), class_="rules")


def _choices(step: Step) -> Markup | str:
    for entry in step.inputs:
        options = (
            entry.options if isinstance(entry, ChoiceInput) else entry.roles if isinstance(entry, RolesInput) else ()
        )
        if options:
            rows = (
                element("li", element("b", mark), f" {option.label}")
                for mark, option in zip(choice_marks(options), options, strict=True)
            )
            return element("ul", *rows, class_="choices")
    return ""


def _step(step: Step) -> list[Markup]:
    """The wording of a step, what may be chosen, and room for the answer."""
    parts = [element("p", step.label, class_="step")]
    if not any(map(is_for_paper, step.inputs)):
        return [*parts, element("p", IN_NOTEBOOK, class_="quiet")]
    parts.append(Markup(_choices(step)))
    lines = 1
    for entry in step.inputs:
        if isinstance(entry, StaffInput):
            parts.append(_image(staff_drawing(entry, (), _WIDTH_PX), "An empty staff to write on"))
        elif isinstance(entry, RolesInput):
            parts.append(element("p", "The notes in order: " + ", ".join(entry.notes), class_="quiet"))
        elif isinstance(entry, FingerboardInput):
            parts.append(element("p", "Strings from low to high: " + ", ".join(entry.tuning), class_="quiet"))
        elif isinstance(entry, TextInput):
            lines = max(lines, entry.lines + 2)
    parts.append(element("p", f"Write {how_to_write(step.inputs)}.", class_="quiet"))
    return [*parts, _ruled(lines)]


def _item(exercise: Exercise, item: Item, listening: str) -> Markup:
    parts = [element("h3", f"{item.index + 1}"), element("p", item.prompt, class_="prompt"), *_media(item, listening)]
    if "sight" in twins_in(exercise.twin) and item.twin_text:
        parts.append(element("p", item.twin_text))
    for step in item.response.steps:
        parts += _step(step)
    if len(item.response.steps) > 1:
        parts.append(
            element(
                "p",
                f"In a table, the answers to the parts of this question stand with {STEP_MARK} between them.",
                class_="quiet",
            )
        )
    return element("section", *parts, class_="item")


def worksheet_html(sheet: Sheet, *, listening: str = "printed", due: str = "") -> bytes:
    """Return the worksheet of one student as a file.

    Parameters
    ----------
    sheet : Sheet
        Whose it is.
    listening : str
        One of `LISTENING`.
    due : str
        When it is due, as the teacher wrote it; empty for no time.

    Notes
    -----
    The same sheet gives the same file; it runs nothing and fetches nothing.
    """
    style = files("musictheory_nb.classroom").joinpath("worksheet.css").read_text(encoding="utf-8")
    plan = sheet.plan
    who = [element("p", "Name: ", sheet.name or Markup("&nbsp;"), class_="who" if sheet.name else "who blank")]
    told = [f"Lesson: {plan.id}."]
    if sheet.student:
        told.append(f"Student: {sheet.student}.")
    if due:
        told.append(f"Due {due}.")
    head = element("header", element("h1", plan.title), *who, element("p", " ".join(told), class_="quiet"))
    bodies: list[Markup] = []
    for exercise in plan.exercises:
        points = f"{number_text(exercise.points)} {'point' if exercise.points == 1 else 'points'}"
        title = f"{exercise.family.title} ({exercise.id})"
        bodies.append(element("h2", title))
        bodies.append(element("p", f"{counted(exercise.count, 'question')}, {points} in all.", class_="quiet"))
        for index in range(exercise.count):
            bodies += [_item(exercise, exercise.item(sheet.seed, index), listening), Markup("\n")]
    title = f"{plan.title}: {sheet.name}" if sheet.name else plan.title
    return page(title, style, head, Markup("\n"), element("main", *bodies, id="main"))
