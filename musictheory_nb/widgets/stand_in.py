"""What stands in a saved notebook where a live exercise was: readable without a kernel, hidden while it lives."""

import html
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class AnsweredRow:
    """One answered item in words: its number from 1, what was asked, what was answered, and the verdict."""

    number: int
    asked: str
    answered: str
    verdict: str


def stand_in(title: str, count: int, rows: Sequence[AnsweredRow]) -> dict[str, str]:
    """Return the output (text and HTML) that tells what an exercise asks and what has been answered.

    Parameters
    ----------
    title : str
        The exercise in words.
    count : int
        Number of its questions.
    rows : sequence of AnsweredRow
        What has been answered so far.

    Examples
    --------
    >>> stand_in("Interval by ear", 8, ())["text/plain"]
    'Interval by ear: 8 questions. Run this cell (Shift+Enter) to answer them.'
    """
    questions = "1 question" if count == 1 else f"{count} questions"
    them = "it" if count == 1 else "them"
    opening = f"{title}: {questions}. Run this cell (Shift+Enter) to answer {them}."
    if not rows:
        return {"text/plain": opening, "text/html": f'<div class="mtnb-standin"><p>{html.escape(opening)}</p></div>'}
    told = f"{title}: {len(rows)} of {questions} answered. Run this cell (Shift+Enter) to see the exercise itself."
    lines = [told, *(f"{row.number}. {row.asked} Answered: {row.answered}. {row.verdict}" for row in rows)]
    body = "".join(
        f'<tr><th scope="row">{row.number}</th><td>{html.escape(row.asked)}</td>'
        f"<td>{html.escape(row.answered)}</td><td>{html.escape(row.verdict)}</td></tr>"
        for row in rows
    )
    table = (
        f"<table><caption>{html.escape(title)}: what has been answered</caption><thead><tr>"
        '<th scope="col">Question</th><th scope="col">Asked</th><th scope="col">Answered</th>'
        f'<th scope="col">Verdict</th></tr></thead><tbody>{body}</tbody></table>'
    )
    return {
        "text/plain": "\n".join(lines),
        "text/html": f'<div class="mtnb-standin"><p>{html.escape(told)}</p>{table}</div>',
    }
