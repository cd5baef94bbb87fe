"""The keys that an exercise goes through: majors and minors with a key signature."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.theory.key import Key

#: Most sharps or flats of a key signature.
MOST_SIGNATURE: Final = 7
#: Major keys, and minor ones, with up to four sharps or flats.
MAJOR_KEYS: Final = tuple(f"{tonic} major" for tonic in ("C", "G", "F", "D", "Bb", "A", "Eb", "E", "Ab"))
MINOR_KEYS: Final = tuple(f"{tonic} minor" for tonic in ("A", "E", "D", "B", "G", "F#", "C", "C#", "F"))
ALLOWED: Final = (
    f"a list of different major and minor keys of at most {MOST_SIGNATURE} sharps or flats, as ['Eb major', 'F# minor']"
)


@lru_cache(maxsize=256)
def read_key(text: str) -> Key | None:
    """Return the key that a setting names; None where it is no major or minor key that has a signature.

    Examples
    --------
    >>> read_key("Eb major"), read_key("G# major"), read_key("D dorian")
    (Key('Eb major'), None, None)
    """
    try:
        key = Key(text)
    except TheoryError:
        return None
    return key if key.mode in ("major", "minor") and abs(key.fifths) <= MOST_SIGNATURE else None


@lru_cache(maxsize=256)
def key_named(text: str) -> Key:
    """Return the key of a name that was checked before."""
    return Key(text)


def are_keys(value: JSON) -> bool:
    """Return whether `value` is a list of at least one key, each once.

    Examples
    --------
    >>> are_keys(["C major", "A minor"]), are_keys(["C major", "c major"]), are_keys([])
    (True, False, False)
    """
    if not isinstance(value, list) or not value or not all(isinstance(one, str) for one in value):
        return False
    found = [read_key(one) for one in value]
    return None not in found and len(set(found)) == len(found)


def keys_setting(default: Sequence[str], meaning: str) -> Setting:
    """Return the setting of the keys that an exercise goes through."""
    return Setting("keys", list(default), meaning, ALLOWED, are_keys)
