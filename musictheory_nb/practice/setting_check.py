"""Checks that several families make of a value which a teacher sets."""

from collections.abc import Callable, Sequence

from musictheory_nb.practice.plain_data import JSON


def one_of(allowed: Sequence[str]) -> Callable[[JSON], bool]:
    """Return the check for a text that is one of `allowed`.

    Examples
    --------
    >>> one_of(("up", "down"))("up"), one_of(("up", "down"))(["up"])
    (True, False)
    """
    return lambda value: isinstance(value, str) and value in allowed


def several_of(allowed: Sequence[str]) -> Callable[[JSON], bool]:
    """Return the check for a list of at least one of `allowed`, each once.

    Examples
    --------
    >>> several_of(("up", "down"))(["down"]), several_of(("up", "down"))([])
    (True, False)
    """

    def check(value: JSON) -> bool:
        return (
            isinstance(value, list)
            and bool(value)
            and all(isinstance(one, str) and one in allowed for one in value)
            and len(set(value)) == len(value)
        )

    return check


def any_of(allowed: Sequence[str]) -> Callable[[JSON], bool]:
    """Return the check for a list of any number of `allowed`, none too, each once.

    Examples
    --------
    >>> any_of(("C", "D"))([]), any_of(("C", "D"))(["D", "D"])
    (True, False)
    """
    some = several_of(allowed)
    return lambda value: value == [] or some(value)


def one_or_several_names(value: JSON) -> bool:
    """Return whether `value` is a name, or a list of different names.

    Examples
    --------
    >>> one_or_several_names("rag"), one_or_several_names(["rag", "rag"]), one_or_several_names([])
    (True, False, False)
    """
    names = value if isinstance(value, list) else [value]
    return bool(names) and all(isinstance(name, str) and name for name in names) and len(set(names)) == len(names)


def whole_number(low: int, high: int) -> Callable[[JSON], bool]:
    """Return the check for a whole number from `low` to `high`, both included.

    Examples
    --------
    >>> whole_number(0, 4)(4), whole_number(0, 4)(True), whole_number(0, 4)(1.0)
    (True, False, False)
    """
    return lambda value: type(value) is int and low <= value <= high


def is_switch(value: JSON) -> bool:
    """Return whether `value` is True or False.

    Examples
    --------
    >>> is_switch(False), is_switch(0)
    (True, False)
    """
    return type(value) is bool
