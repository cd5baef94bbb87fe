"""Plain data (JSON values): canonical text, digests, and strict reading of text that nobody vouches for."""

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from typing import Any, Final, TypeAlias

JSON: TypeAlias = Any
"""None, bool, int, float, str, or lists and string-keyed mappings of these."""

#: Deepest nesting that is read.
MAX_DEPTH: Final = 24
#: Longest run of digits that is read as a number.
MAX_DIGITS: Final = 18
_TOO_LARGE: Final = 10**MAX_DIGITS
#: Whole characters only: no half of a surrogate pair.
_TEXT: Final = re.compile(r"[^\ud800-\udfff]*")


def canonical_json(value: JSON) -> str:
    r"""Return the one JSON text of `value`: sorted keys, no blanks, ASCII.

    Examples
    --------
    >>> canonical_json({"b": [1, 2], "a": "é"})
    '{"a":"\\u00e9","b":[1,2]}'
    """
    return json.dumps(value, sort_keys=True, ensure_ascii=True, separators=(",", ":"), allow_nan=False)


def digest(value: JSON) -> str:
    """Return ``'sha256:…'`` over the canonical text of `value`.

    Examples
    --------
    >>> digest({})[:15]
    'sha256:44136fa3'
    """
    return "sha256:" + hashlib.sha256(canonical_json(value).encode("ascii")).hexdigest()


def unique_pairs(pairs: list[tuple[str, JSON]]) -> dict[str, JSON]:
    """Return the object of these names and values; for ``object_pairs_hook`` of `json.loads`.

    Raises
    ------
    ValueError
        A name stands twice.
    """
    found = dict(pairs)
    if len(found) != len(pairs):
        seen: set[str] = set()
        for name, _ in pairs:
            if name in seen:
                raise ValueError(f"the name {name[:40]!r} stands twice")
            seen.add(name)
    return found


def _number(text: str) -> int:
    if (digits := len(text.lstrip("-"))) > MAX_DIGITS:
        raise ValueError(f"a number of {digits} digits; at most {MAX_DIGITS} are read")
    return int(text)


def _real(text: str) -> float:
    value = float(text)
    if value in (float("inf"), float("-inf")):
        raise ValueError(f"the number {text[:40]} is too large")
    return value


def _constant(text: str) -> JSON:
    raise ValueError(f"{text} is not a JSON value")


def check_plain(value: JSON) -> None:
    """Raise unless `value`, of which nobody knows where it comes from, is what `strict_json` may return.

    Raises
    ------
    ValueError
        A value that JSON has not (NaN, an infinity), a number of too many digits, text with half a surrogate pair, or
        nesting too deep.

    Examples
    --------
    >>> check_plain({"a": [1, None, "é"]})
    >>> check_plain([float("nan")])
    Traceback (most recent call last):
    ValueError: nan is not a JSON value
    """
    waiting: list[tuple[JSON, int]] = [(value, 0)]
    while waiting:
        one, depth = waiting.pop()
        kind = type(one)
        if kind is str:
            if not one.isascii() and not _TEXT.fullmatch(one):
                raise ValueError("text with half a surrogate pair")
        elif kind is dict or kind is list:
            if depth == MAX_DEPTH:
                raise ValueError(f"nested deeper than {MAX_DEPTH}")
            if kind is dict:
                waiting += [(name, MAX_DEPTH) for name in one]
                one = one.values()
            waiting += [(item, depth + 1) for item in one]
        elif kind is int:
            if not -_TOO_LARGE < one < _TOO_LARGE:
                raise ValueError(f"a number of more than {MAX_DIGITS} digits")
        elif kind is float:
            if one - one != 0.0:
                raise ValueError(f"{one} is not a JSON value")
        elif one is not None and kind is not bool:
            raise ValueError(f"a {kind.__name__} is not a JSON value")


_DECODER: Final = json.JSONDecoder(
    object_pairs_hook=unique_pairs, parse_int=_number, parse_float=_real, parse_constant=_constant
)


def strict_json(text: str) -> JSON:
    """Read JSON text that nobody vouches for.

    Raises
    ------
    ValueError
        Not JSON, a name twice in one object, or what `check_plain` refuses.

    Examples
    --------
    >>> strict_json('{"a": [1, 2.5]}')
    {'a': [1, 2.5]}
    >>> strict_json('{"a": 1, "a": 2}')
    Traceback (most recent call last):
    ValueError: the name 'a' stands twice
    """
    try:
        value = _DECODER.decode(text)
    except json.JSONDecodeError as error:
        raise ValueError(f"not JSON: {error.msg} at character {error.pos + 1}") from None
    except RecursionError:
        raise ValueError(f"nested deeper than {MAX_DEPTH}") from None
    # what is left to look for is half a character, which takes an escape or a letter beyond ASCII, and depth
    if "\\u" in text or not text.isascii() or text.count("[") + text.count("{") > MAX_DEPTH:
        check_plain(value)
    return value


def thawed(value: JSON) -> JSON:
    """Return a copy of `value` in lists and dicts, so that it compares and serialises as JSON does."""
    if isinstance(value, Mapping):
        return {str(name): thawed(item) for name, item in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        return [thawed(item) for item in value]
    return value
