"""Several notes given at once, as a list or as one text: what every function on notes accepts.

Notes are given as a list, a tuple, a set or any other iterable; or as one text with blanks or commas between the notes.
"""

from collections.abc import Iterable
from typing import TypeVar, cast

from musictheory_nb.errors import PitchError

_Note = TypeVar("_Note")


def note_list(notes: Iterable[_Note] | str) -> list[_Note | str]:
    """Notes as a list; those of a text parted at blanks and commas. Each note is read by whoever asked.

    Raises
    ------
    PitchError
        Not several notes, but nothing, a number or bytes.

    Examples
    --------
    >>> note_list(("C4", "E4")), note_list("C, E G")
    (['C4', 'E4'], ['C', 'E', 'G'])
    >>> note_list(None)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: notes None: give several notes, such as ['C4', 'E4', 'G4'] or 'C E G'
    """
    if isinstance(notes, list):
        return notes
    if isinstance(notes, str):
        return cast("list[_Note | str]", notes.replace(",", " ").split())
    if isinstance(notes, bytes | bytearray) or not isinstance(notes, Iterable):
        raise PitchError(f"notes {notes!r}: give several notes, such as ['C4', 'E4', 'G4'] or 'C E G'")
    return list(notes)
