"""The page of one student, made to be given back: what was asked and answered, why, what to practise next.

It stands alone, runs nothing and fetches nothing; see `page`. Pictures and sounds are in the page, up to a limit; those of
questions that were not right come first.
"""

from collections.abc import Sequence
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.page import Column, Markup, element, joined, page, table
from musictheory_nb.classroom.page_media import CAUTION, MAX_MEDIA_BYTES, MediaRoom, media_markup
from musictheory_nb.classroom.policy_effect import Effect, percent_words, signed_percent
from musictheory_nb.classroom.report_words import counted, figures, list_of, name_of, of_words, time_words
from musictheory_nb.classroom.student_report import ReportedExercise, ReportedItem, StudentReport, practise_next
from musictheory_nb.classroom.teacher_remark import Comment, Exchange, RubricMark

#: Parts of the page, in order: anchor and heading.
PARTS: Final = MappingProxyType(
    {
        "mark": "Your mark",
        "practise": "What to practise next",
        "comments": "Comments",
        "questions": "Question by question",
        "ask": "Your questions about this mark",
    }
)
HOW_TO_ASK: Final = "Write your question here, or send it to your teacher with the number of the question it is about."


def _verdict(item: ReportedItem) -> str:
    if item.score is None:
        return "not answered"
    if item.awaits_teacher:
        return "awaits your teacher's mark"
    if item.score >= 1:
        return "right"
    return f"partly right, {100 * item.score:.0f} %" if item.score > 0 else "not right"


#: Sign before a verdict, so that it is told without colour too.
_SIGNS: Final = MappingProxyType({"right": "✓", "partly": "◐", "not right": "✗", "not answered": "–", "awaits": "…"})


def _sign(item: ReportedItem) -> str:
    words = _verdict(item)
    return next(sign for start, sign in _SIGNS.items() if words.startswith(start))


def _anchor(exercise: str, index: int) -> str:
    return f"{exercise}--{index + 1}"


def _remark(comment: Comment) -> Markup:
    by = f" {comment.by}" if comment.by else ""
    when = f", {time_words(comment.time)}" if comment.time else ""
    said = f"Your teacher{by}{when}:" if by or when else "Your teacher:"
    return element("div", element("p", said, class_="quiet"), element("p", comment.text), class_="remark")


def _rubric(mark: RubricMark, name: str) -> Markup:
    rows = [
        (
            row.criterion or "all",
            of_words(row.points, row.points_possible) if row.points_possible else number_text(row.points),
            row.remark,
        )
        for row in mark.rows
    ]
    if len(rows) > 1 and mark.points_possible:
        rows.append(("together", of_words(mark.points, mark.most), ""))
    columns = (Column("Criterion"), Column("Points", True), Column("Remark"))
    return table(f"Rubric marks of {name}", columns, rows)


def _facts(item: ReportedItem) -> Markup:
    rows = [("You answered", item.answered or "nothing")]
    if item.twin:
        rows.append(("By", item.twin))
    if item.right:
        rows.append(("Right", item.right))
    if item.why:
        rows.append(("Mark", item.why))
    if item.explain and item.rubric is None:
        rows.append(("Why", item.explain))
    pairs = (joined(element("dt", term), element("dd", words)) for term, words in rows)
    return element("dl", *pairs, class_="facts")


def _item(one: ReportedExercise, item: ReportedItem, media: Markup, comments: Sequence[Comment]) -> Markup:
    name = f"{one.id}, question {item.index + 1}"
    heading = f"{_sign(item)} Question {item.index + 1} of {len(one.items)}: {_verdict(item)}"
    parts = [element("h4", heading), element("p", item.prompt, class_="prompt"), _facts(item), media]
    if item.rubric is not None:
        parts.append(_rubric(item.rubric, name))
    parts += [_remark(comment) for comment in comments if (comment.exercise, comment.index) == (one.id, item.index)]
    return element("article", *parts, id=_anchor(one.id, item.index))


def _media(report: StudentReport, room: MediaRoom) -> dict[tuple[str, int], Markup]:
    """Pictures and sounds of every question; those that were not right are given room first."""
    order = [(one.id, item) for one in report.exercises for item in one.items]
    made = {}
    for id, item in sorted(order, key=lambda pair: pair[1].score == 1 or pair[1].awaits_teacher):
        compare = media_markup(item.compare, room)
        parts = [media_markup(item.media, room, beside=item.compare)]
        if item.compare:
            parts += [element("p", "To compare:", class_="quiet"), compare]
        made[id, item.index] = joined(*parts)
    return made


def _effects(effects: Sequence[Effect]) -> Markup:
    rows = [
        (effect.words, percent_words(effect.before), signed_percent(effect.change), percent_words(effect.after))
        for effect in effects
    ]
    columns = (Column("Rule"), Column("Before", True), Column("Change", True), Column("After", True))
    return table("How your mark came about, rule by rule.", columns, rows)


def _mark(report: StudentReport) -> Markup:
    final = report.final
    shown = []
    if final is not None:
        shown.append(("Mark", percent_words(final.percent)))
        shown.append(("Points", f"{number_text(final.points)} of {number_text(final.points_possible)}"))
        if final.passed is not None:
            shown.append(("Pass mark", "reached" if final.passed else "not reached"))
    else:
        shown.append(("Points", f"{number_text(report.points)} of {number_text(report.points_possible)}"))
    shown.append(("Answered", f"{report.answered} of {report.asked}"))
    if report.awaiting:
        shown.append(("Await your teacher's mark", counted(report.awaiting, "answer")))
    rows = [
        (f"{one.title} ({one.id})", f"{sum(item.score is not None for item in one.items)} of {len(one.items)}",
         of_words(one.points, one.points_possible))
        for one in report.exercises
    ]  # fmt: skip
    columns = (Column("Exercise"), Column("Answered", True), Column("Points", True))
    parts = [figures(shown), table("Points by exercise, before any rule is applied.", columns, rows)]
    if final is not None and final.effects:
        parts.append(_effects(final.effects))
    if report.notices:
        parts += [element("p", "Found in what you handed in:"), list_of(report.notices)]
    return joined(*parts)


def _comments(report: StudentReport) -> Markup:
    on_whole = [comment for comment in report.comments if comment.index is None]
    if not on_whole:
        elsewhere = any(comment.index is not None for comment in report.comments)
        told = "Your teacher's comments stand with the questions below." if elsewhere else "No comments yet."
        return element("p", told)
    titles = {one.id: one.title for one in report.exercises}
    parts = []
    for comment in on_whole:
        if comment.exercise:
            parts.append(element("p", f"On {titles.get(comment.exercise, comment.exercise)} ({comment.exercise}):"))
        parts.append(_remark(comment))
    return joined(*parts)


def _exchange(one: Exchange) -> Markup:
    about = f" about {one.exercise}, question {one.index + 1}" if one.exercise and one.index is not None else ""
    asked = f"You asked{about}" + (f", {time_words(one.asked)}:" if one.asked else ":")
    parts = [element("p", asked, class_="quiet"), element("p", one.question)]
    if one.reply:
        when = f", {time_words(one.replied)}" if one.replied else ""
        parts += [element("p", f"Your teacher replied{when}:", class_="quiet"), element("p", one.reply)]
    else:
        parts.append(element("p", "No reply yet.", class_="quiet"))
    return element("div", *parts, class_="remark")


def _ask(report: StudentReport, how_to_ask: str) -> Markup:
    lines = element("div", *(element("p", Markup("&nbsp;"), class_="rule") for _ in range(4)), aria_hidden="true")
    return joined(*map(_exchange, report.exchanges), element("p", how_to_ask), lines)


def student_page_html(
    report: StudentReport, *, with_sound: bool = True, most_bytes: int = MAX_MEDIA_BYTES, how_to_ask: str = HOW_TO_ASK
) -> bytes:
    """Return the page of a student as a file.

    Parameters
    ----------
    report : StudentReport
        What it shows.
    with_sound : bool
        Whether sounds are in the page; without them it takes about a tenth of the room.
    most_bytes : int
        Bytes of pictures and sounds at most.
    how_to_ask : str
        How a student asks about the mark.

    Notes
    -----
    The same report gives the same file. Every text is escaped.
    """
    style = files("musictheory_nb.classroom").joinpath("report.css").read_text(encoding="utf-8")
    room = MediaRoom(most_bytes, with_sound)
    media = _media(report, room)
    about = [element("p", element("strong", name_of(report.student)), class_="who")]
    if report.due is not None:
        about.append(element("p", f"Due {report.due.written} ({time_words(report.due.utc)}).", class_="quiet"))
    links = (element("li", element("a", words, href=f"#{anchor}")) for anchor, words in PARTS.items())
    nav = element("nav", element("ul", *links), aria_label="On this page")
    questions = []
    for one in report.exercises:
        questions.append(element("h3", f"{one.title} ({one.id})"))
        for item in one.items:
            questions.append(_item(one, item, media[one.id, item.index], report.comments))
            questions.append(Markup("\n"))
    bodies = {
        "mark": _mark(report),
        "practise": list_of(practise_next(report)),
        "comments": _comments(report),
        "questions": joined(element("p", CAUTION, class_="quiet") if room.sounds else "", *questions),
        "ask": _ask(report, how_to_ask),
    }
    if room.left_out:
        words = f"{counted(room.left_out, 'picture or sound', 'pictures and sounds')} had no room in this page."
        bodies["mark"] = joined(bodies["mark"], element("p", words, class_="quiet"))
    sections = (
        element("section", element("h2", PARTS[part], id=part), body, Markup("\n")) for part, body in bodies.items()
    )
    header = element("header", element("h1", report.title), *about, nav)
    body = (header, Markup("\n"), element("main", *sections, id="main"))
    return page(f"{report.title}: {report.student.name}", style, *body, has_sound=room.sounds > 0)
