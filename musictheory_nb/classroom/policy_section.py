"""A section of a marking policy: a table of settings, and tables of values by name, as one check reads them."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.policy_text import Keys, PolicyText, near
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON

#: Keys of a table of values that are read.
MAX_ENTRIES: Final = 10_000


@dataclass(frozen=True, slots=True)
class ByName:
    """A table in a section whose keys are names (of exercises, students or groups) and whose values are of one kind.

    Parameters
    ----------
    name : str
        Of the table; empty when the section itself is this table.
    of : str
        What its keys are, in words: ``'exercise'``, ``'student'`` or ``'group'``.
    meaning, allowed, check
        As for a `Setting`, of each value.
    example : str
        A line, for the template.
    """

    name: str
    of: str
    meaning: str
    allowed: str
    check: Callable[[JSON], bool]
    example: str


@dataclass(frozen=True, slots=True)
class Section:
    """One rule as the file writes it."""

    name: str
    meaning: str
    settings: tuple[Setting, ...] = ()
    tables: tuple[ByName, ...] = ()


def is_number(low: float, high: float) -> Callable[[JSON], bool]:
    """Return a check for a finite number from `low` to `high`, both included.

    Examples
    --------
    >>> is_number(0, 1)(0.5), is_number(0, 1)(True), is_number(0, 1)(float("nan"))
    (True, False, False)
    """

    def check(value: JSON) -> bool:
        is_real = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
        return is_real and low <= value <= high

    return check


def is_count(low: int, high: int) -> Callable[[JSON], bool]:
    """Return a check for a whole number from `low` to `high`, both included."""
    return lambda value: type(value) is int and low <= value <= high


def is_one_of(*words: str) -> Callable[[JSON], bool]:
    """Return a check for one of `words`."""
    return lambda value: isinstance(value, str) and value in words


def words_of(table: Mapping[str, str]) -> str:
    """Return the words of a table and what each means, for a setting's ``allowed``.

    Examples
    --------
    >>> words_of({"day": "each started day", "none": "nothing"})
    "'day' (each started day), 'none' (nothing)"
    """
    return ", ".join(f"'{word}' ({meaning})" for word, meaning in table.items())


def _shown(value: JSON) -> str:
    return plain_line(repr(value), 60)


def read_section(section: Section, text: PolicyText) -> dict[str, JSON]:
    """Return the settings of a section with defaults filled in, and its tables by name.

    Raises
    ------
    PolicyError
        A key that is not known or a value that is not allowed; names the line.
    """
    given = text.values.get(section.name, {})
    if not isinstance(given, dict):
        raise text.error((section.name,), f"{section.name} {_shown(given)}; write a table, as [{section.name}]")
    if len(section.tables) == 1 and not section.tables[0].name:
        return {"": _by_name(section.tables[0], given, (section.name,), text)}
    known = (*(one.name for one in section.settings), *(one.name for one in section.tables))
    for key in given:
        if key not in known:
            raise text.error(
                (section.name, key),
                f"{plain_line(key, 40)!r} is no setting of [{section.name}]; allowed: {', '.join(known)}{near(key, known)}",
            )
    found: dict[str, JSON] = {}
    for setting in section.settings:
        value = given.get(setting.name, setting.default)
        if not setting.check(value):
            message = f"{section.name}.{setting.name} {_shown(value)}; allowed: {setting.allowed}"
            raise text.error((section.name, setting.name), message)
        found[setting.name] = value
    for table in section.tables:
        found[table.name] = _by_name(table, given.get(table.name, {}), (section.name, table.name), text)
    return found


def _by_name(table: ByName, given: JSON, keys: Keys, text: PolicyText) -> dict[str, JSON]:
    if not isinstance(given, dict):
        raise text.error(keys, f"{'.'.join(keys)} {_shown(given)}; write a table, as [{'.'.join(keys)}]")
    if len(given) > MAX_ENTRIES:
        raise text.error(keys, f"{len(given)} entries; at most {MAX_ENTRIES} are read")
    for name, value in given.items():
        if not table.check(value):
            raise text.error(
                (*keys, name), f"{table.of} {plain_line(name, 60)!r}: {_shown(value)}; allowed: {table.allowed}"
            )
    return dict(given)
