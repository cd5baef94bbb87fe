"""How reports write figures, times, names and lists."""

from collections.abc import Iterable

from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.page import Markup, element
from musictheory_nb.classroom.roster import Student


def share_words(score: float | None) -> str:
    """Return a score from 0 to 1 in whole percent; a dash for none.

    Examples
    --------
    >>> share_words(0.625), share_words(None)
    ('62 %', '–')
    """
    return "–" if score is None else f"{100 * score:.0f} %"


def points_words(value: float) -> str:
    """Return points with two decimals, so that a column of them can be compared."""
    return f"{value:.2f}"


def of_words(part: float, whole: float) -> str:
    """Return points out of points.

    Examples
    --------
    >>> of_words(7.5, 10)
    '7.50 of 10'
    """
    return f"{points_words(part)} of {number_text(whole)}"


def time_words(utc: str) -> str:
    """Return a time of the record for a reader; a dash for none.

    Examples
    --------
    >>> time_words("2026-03-02T17:04:05.250Z")
    '2026-03-02 17:04 UTC'
    """
    return utc[:16].replace("T", " ") + " UTC" if utc else "–"


def spent_words(seconds: float | None) -> str:
    """Return a length of time; a dash for none.

    Examples
    --------
    >>> spent_words(42.4), spent_words(125), spent_words(7260), spent_words(None)
    ('42 s', '2 min 5 s', '2 h 1 min', '–')
    """
    if seconds is None:
        return "–"
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes, rest = divmod(whole, 60)
    if minutes < 60:
        return f"{minutes} min {rest} s" if rest else f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def counted(number: int, thing: str, things: str = "") -> str:
    """Return a number of things.

    Examples
    --------
    >>> counted(1, "answer"), counted(3, "answer"), counted(2, "mastery", "masteries")
    ('1 answer', '3 answers', '2 masteries')
    """
    return f"{number} {thing if number == 1 else things or thing + 's'}"


def name_of(student: Student) -> Markup:
    """Return a student's name, kept apart from the direction of writing around it."""
    return element("bdi", student.name)


def list_of(rows: Iterable[str]) -> Markup:
    """Return a list of lines."""
    return element("ul", *(element("li", row) for row in rows), class_="lines")


def figures(pairs: Iterable[tuple[str, str]]) -> Markup:
    """Return figures with what each is of."""
    rows = (element("div", element("dt", term), element("dd", value)) for term, value in pairs)
    return element("dl", *rows, class_="figures")
