"""Reading a small TOML file so that whatever is wrong in it is named with its line."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.errors import PolicyError
from musictheory_nb.practice.plain_data import JSON

#: Largest file that is read, in bytes.
MAX_BYTES: Final = 64 * 1024

Keys = tuple[str, ...]


@dataclass(frozen=True)
class PolicyText:
    """A TOML file: its name, its values, and the line on which each of its keys stands (from 1)."""

    name: str
    values: Mapping[str, JSON]
    lines: Mapping[Keys, int]

    def error(self, keys: Keys, message: str) -> PolicyError:
        """Return an error that names the file and the line of `keys`, or of the nearest table around it."""
        for length in range(len(keys), 0, -1):
            if keys[:length] in self.lines:
                return PolicyError(f"{self.name!r}, line {self.lines[keys[:length]]}: {message}")
        return PolicyError(f"{self.name!r}: {message}")


def _keys_of(value: JSON) -> Keys:
    """The keys of a table of a table … down to the first value or empty table."""
    keys: list[str] = []
    while isinstance(value, dict) and len(value) == 1:
        ((key, value),) = value.items()
        keys.append(key)
    return tuple(keys)


def _read_alone(line: str) -> Keys:
    try:
        return _keys_of(tomllib.loads(line))
    except (tomllib.TOMLDecodeError, RecursionError):
        return ()


def _lines(text: str) -> dict[Keys, int]:
    """The line of each table and each key; a value that goes over several lines counts by its first."""
    found: dict[Keys, int] = {}
    table: Keys = ()
    for number, line in enumerate(text.splitlines(), start=1):
        stripped = line.strip()
        if stripped.startswith("["):
            table = _read_alone(stripped) or table
            keys = table
        elif "=" in stripped and not stripped.startswith("#"):
            keys = (*table, *_read_alone(stripped.split("=", 1)[0] + "= 0"))
        else:
            continue
        for length in range(1, len(keys) + 1):
            found.setdefault(keys[:length], number)
    return found


def parse_toml(data: bytes, name: str) -> PolicyText:
    r"""Read a TOML file from its bytes.

    Raises
    ------
    PolicyError
        Too large, not UTF-8, or not TOML; the message names the line.

    Examples
    --------
    >>> parse_toml(b"[late]\ntakes = 10\n", "policy.toml").error(("late", "takes"), "too much")
    PolicyError("'policy.toml', line 2: too much")
    >>> parse_toml(b"[late]\ntakes = \n", "policy.toml")
    Traceback (most recent call last):
    musictheory_nb.errors.PolicyError: 'policy.toml': not TOML: Invalid value (at line 2, column 9)
    """
    name = plain_line(name, 80)
    if len(data) > MAX_BYTES:
        raise PolicyError(f"{name!r}: {len(data)} bytes; at most {MAX_BYTES} are read")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise PolicyError(f"{name!r}, line {line}: not UTF-8; save the file as UTF-8") from None
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PolicyError(f"{name!r}: not TOML: {error}") from None
    except RecursionError:
        raise PolicyError(f"{name!r}: lists or tables in one another, too deep to be read") from None
    return PolicyText(name, MappingProxyType(values), MappingProxyType(_lines(text)))


def read_toml(path: Path) -> PolicyText:
    """Read a TOML file.

    Raises
    ------
    PolicyError
        It cannot be opened, or as for `parse_toml`.
    """
    try:
        with Path(path).open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise PolicyError(f"policy '{path}' cannot be opened: {error.strerror}") from None
    return parse_toml(data, Path(path).name)


def near(word: str, known: tuple[str, ...]) -> str:
    """Return advice on a word that is not known: what it is near to, or nothing.

    Examples
    --------
    >>> near("grase", ("grace", "per"))
    "; did you mean 'grace'?"
    """
    found = get_close_matches(word, known, n=1)
    return f"; did you mean {found[0]!r}?" if found else ""
