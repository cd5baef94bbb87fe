"""A place in the source of a cell, as `ast` names it."""


def source_place(source: str, line: int | None, column: int | None) -> int:
    """Return how many characters stand before a place that `ast` names by line, from 1, and column, in UTF-8 bytes.

    Examples
    --------
    >>> source_place("a = 'ä'; b", 1, len("a = 'ä'; ".encode("utf-8")))
    9
    """
    lines = source.split("\n")
    line = line or 1
    before = sum(len(one) + 1 for one in lines[: line - 1])
    return before + len(lines[line - 1].encode("utf-8")[:column].decode("utf-8"))
