"""The call that opens a lesson in its notebook, rewritten where it stands."""

import ast
import contextlib

from musictheory_nb.classroom.source_place import source_place

_OPENERS = ("open_lesson", "open_sealed")


def _opening(source: str) -> ast.Call | None:
    """The one call in a cell that opens a lesson."""
    with contextlib.suppress(SyntaxError, ValueError, RecursionError):
        found = [
            node
            for node in ast.walk(ast.parse(source))
            if isinstance(node, ast.Call)
            and (getattr(node.func, "attr", None) in _OPENERS or getattr(node.func, "id", None) in _OPENERS)
        ]
        return found[0] if len(found) == 1 else None
    return None


def with_attempts(source: str, attempts: int) -> str:
    r"""Return a cell whose call of `open_lesson` says how often an item may be answered; any other cell as it is.

    Parameters
    ----------
    source : str
        The cell.
    attempts : int
        0 for no limit.

    Examples
    --------
    >>> with_attempts("lesson = mt.open_lesson(LESSON, seed=SEED)", 3)
    'lesson = mt.open_lesson(LESSON, seed=SEED, attempts=3)'
    >>> with_attempts("lesson = mt.open_lesson(\n    LESSON,\n)  # here", 3)
    'lesson = mt.open_lesson(\n    LESSON,\nattempts=3)  # here'
    >>> with_attempts("lesson.hand_in()", 3)
    'lesson.hand_in()'
    """
    if (call := _opening(source)) is None:
        return source
    given = next((word.value for word in call.keywords if word.arg == "attempts"), None)
    if given is not None:
        start = source_place(source, given.lineno, given.col_offset)
        return f"{source[:start]}{attempts}{source[source_place(source, given.end_lineno, given.end_col_offset) :]}"
    close = source_place(source, call.end_lineno, call.end_col_offset) - 1
    for between in (", ", ""):  # with and without a comma that stands there already
        changed = f"{source[:close]}{between}attempts={attempts}{source[close:]}"
        if _opening(changed) is not None:
            return changed
    return source
