"""The parts of the class report on what to teach next: who needs help with what, what was taken for what, open questions."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks, confused_pairs
from musictheory_nb.classroom.page import Column, Markup, element, joined, table
from musictheory_nb.classroom.report_items import needs_help, score_words
from musictheory_nb.classroom.report_words import counted, list_of, name_of, time_words
from musictheory_nb.classroom.teacher_remark import Exchange

#: Score under which a student is named, where the policy has no pass mark.
HELP_BELOW: Final = 0.6
#: Rows of a table of confused pairs; those that happened once are left out where there are more.
MAX_PAIRS: Final = 15
#: Pairs named for one student.
_OWN_PAIRS: Final = 3
#: Rows of the table of who needs help.
MAX_HELP: Final = 200


def _own_pairs(one: StudentMarks, exercise: str) -> str | Markup:
    pairs = Counter((c.right, c.answered) for c in one.confusions if c.exercise == exercise).most_common(_OWN_PAIRS)
    lines = [f"{right}; answered: {answered}" + (f" ({times} times)" if times > 1 else "") for (right, answered), times in pairs]  # fmt: skip
    return list_of(lines) if lines else "–"


def help_section(lesson: ClassMarks, below: float = HELP_BELOW) -> Markup:
    """Return who needs help with what: students under a score, exercise by exercise, with what they took for what."""
    titles = dict(lesson.exercises)
    found = needs_help(lesson, below)
    parts = []
    if found:
        rows = []
        for id, one, score in found[:MAX_HELP]:
            marks = one.exercise(id)
            assert marks is not None
            words = score_words(score, marks.answered, len(marks.scores))
            rows.append((name_of(one.student), f"{titles[id]} ({id})", words, _own_pairs(one, id)))
        more = f" {counted(len(found) - MAX_HELP, 'more row')} not shown." if len(found) > MAX_HELP else ""
        columns = (Column("Student"), Column("Needs help with"), Column("Score"), Column("What was taken for what"))
        parts.append(
            table(f"Scores under {100 * below:.0f} % of an exercise, exercise by exercise.{more}", columns, rows)
        )
    else:
        parts.append(element("p", f"Nobody who answered scored under {100 * below:.0f} % in an exercise."))
    missing = [one for one in lesson.students if not one.answered and not one.failed]
    if missing:
        names = joined(*(joined(", " if at else "", name_of(one.student)) for at, one in enumerate(missing[:MAX_HELP])))
        more = f" and {len(missing) - MAX_HELP} more" if len(missing) > MAX_HELP else ""
        parts.append(element("p", "No answers yet from: ", names, more, "."))
    return joined(*parts)


def confusion_section(lesson: ClassMarks) -> Markup:
    """Return what was taken for what, exercise by exercise, most often first."""
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


def open_questions(lesson: ClassMarks, exchanges: Mapping[str, Sequence[Exchange]]) -> Markup:
    """Return the students' questions that wait for a reply; nothing where none do."""
    rows = []
    for one in lesson.students:
        for exchange in exchanges.get(one.student.id, ()):
            if not exchange.reply:
                about = f"{exchange.exercise}, item {exchange.index + 1}" if exchange.index is not None else "the mark"
                rows.append((name_of(one.student), about, exchange.question, time_words(exchange.asked)))
    if not rows:
        return Markup("")
    columns = (Column("Student"), Column("About"), Column("Question"), Column("Asked"))
    return table("Students' questions that wait for a reply", columns, rows)
