"""Plain data (JSON values): canonical text, digests, and strict reading of text that nobody vouches for."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any, Final, TypeAlias

JSON: TypeAlias = Any
"""None, bool, int, float, str, or lists and string-keyed mappings of these."""

#: Deepest nesting that is read.
MAX_DEPTH: Final = 24
#: Longest run of digits that is read as a number.
MAX_DIGITS: Final = 18


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


def _pairs(pairs: list[tuple[str, JSON]]) -> dict[str, JSON]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the name {twice[:40]!r} stands twice")
    return found


def _number(text: str) -> int:
    if len(text) > MAX_DIGITS:
        raise ValueError(f"a number of {len(text)} digits; at most {MAX_DIGITS} are read")
    return int(text)


def _real(text: str) -> float:
    value = float(text)
    if value in (float("inf"), float("-inf")):
        raise ValueError(f"the number {text[:40]} is too large")
    return value


def _constant(text: str) -> JSON:
    raise ValueError(f"{text} is not a JSON value")


def _depth(text: str) -> int:
    deepest = level = 0
    inside = escaped = False
    for letter in text:
        if inside:
            if escaped:
                escaped = False
            elif letter == "\\":
                escaped = True
            elif letter == '"':
                inside = False
        elif letter == '"':
            inside = True
        elif letter in "[{":
            level += 1
            deepest = max(deepest, level)
        elif letter in "]}":
            level -= 1
    return deepest


def strict_json(text: str) -> JSON:
    """Read JSON text that nobody vouches for.

    Raises
    ------
    ValueError
        Not JSON, a name twice in one object, NaN or an infinity, a number of too many digits, or nesting too deep.

    Examples
    --------
    >>> strict_json('{"a": [1, 2.5]}')
    {'a': [1, 2.5]}
    >>> strict_json('{"a": 1, "a": 2}')
    Traceback (most recent call last):
    ValueError: the name 'a' stands twice
    """
    if text.count("[") + text.count("{") > MAX_DEPTH and (deepest := _depth(text)) > MAX_DEPTH:
        raise ValueError(f"nested {deepest} deep; at most {MAX_DEPTH} is read")
    try:
        return json.loads(
            text, object_pairs_hook=_pairs, parse_int=_number, parse_float=_real, parse_constant=_constant
        )
    except json.JSONDecodeError as error:
        raise ValueError(f"not JSON: {error.msg} at character {error.pos + 1}") from None


def thawed(value: JSON) -> JSON:
    """Return a copy of `value` in lists and dicts, so that it compares and serialises as JSON does."""
    if isinstance(value, Mapping):
        return {str(name): thawed(item) for name, item in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        return [thawed(item) for item in value]
    return value
