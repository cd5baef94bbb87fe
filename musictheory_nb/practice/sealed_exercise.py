"""Sealed exercises: questions with what is heard and seen as stored bytes, and nothing from which an answer follows.

A sealed copy of a lesson is a file beside the notebook. It holds no seed, no key, no solution, no explanation and no settings;
the items cannot be drawn from it. The answers go into the same record as ever, and the teacher marks them.
"""

import base64
import binascii
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Response
from musictheory_nb.practice.response_data import response_data, response_from

FORMAT: Final = 1
#: Largest sealed file that is written or read.
MAX_BYTES: Final = 128 * 1024 * 1024


def sealed_name(lesson: str) -> str:
    """Return the file name of a sealed lesson, beside the notebook."""
    return f"{lesson}.sealed.json"


@dataclass(frozen=True)
class StoredSound:
    """A sound as a WAV file; with `measures` (their numbers, and where each begins in seconds) it is heard by measures.

    `hearings` is how often it may be heard while the question is on the screen; 0 for as often as one likes.
    """

    label: str
    wav: bytes = field(repr=False)
    measures: tuple[str, ...] = ()
    starts_s: tuple[float, ...] = ()
    first: int = 0
    last: int = -1
    hearings: int = 0


@dataclass(frozen=True)
class StoredNotation:
    """Notation as an engraved picture; `text` says what is written, where the student is to have that."""

    label: str
    svg: str = field(repr=False)
    text: str = ""


@dataclass(frozen=True)
class SealedItem:
    """One question: its words, what is heard and seen, how it is answered, and which twins that were granted are in it."""

    prompt: str
    response: Response
    sounds: tuple[StoredSound, ...] = ()
    notation: tuple[StoredNotation, ...] = ()
    twin: str = ""


@dataclass(frozen=True)
class SealedExercise:
    """An exercise whose items are given and not drawn.

    Parameters
    ----------
    id, title : str
        Its id, and the family in words.
    version : int
        Of the family, for the record.
    items : tuple of SealedItem
        All of them.
    lesson : str
        Slug of the lesson.
    """

    id: str
    title: str
    version: int
    items: tuple[SealedItem, ...]
    lesson: str = ""

    @property
    def count(self) -> int:
        """Number of items."""
        return len(self.items)

    def item(self, seed: int, index: int) -> Item:
        """Return item `index` (from 0) without media, key, solution and explanation; the seed has no effect.

        Raises
        ------
        ExerciseError
            `index` is not below `count`.
        """
        if not 0 <= index < self.count:
            raise ExerciseError(f"exercise {self.id!r}: item index {index!r}; allowed: 0 to {self.count - 1}")
        one = self.items[index]
        return Item(self.id, index, one.prompt, (), one.response, {}, "")


@dataclass(frozen=True)
class SealedLesson:
    """A sealed copy: of which lesson, whose, and its exercises in order."""

    lesson: str
    student: str
    exercises: tuple[SealedExercise, ...]

    def exercise(self, id: str) -> SealedExercise:
        """Return the exercise of that id.

        Raises
        ------
        ExerciseError
            There is none.
        """
        for one in self.exercises:
            if one.id == id:
                return one
        raise ExerciseError(
            f"exercise {id!r} is not in this sealed copy; it has: {', '.join(e.id for e in self.exercises)}"
        )

    def to_bytes(self) -> bytes:
        """Return the sealed file.

        Raises
        ------
        ExerciseError
            It is too large to be opened in a notebook.
        """
        data = {
            "format": FORMAT,
            "lesson": self.lesson,
            "student": self.student,
            "exercises": [
                {
                    "id": one.id,
                    "title": one.title,
                    "version": one.version,
                    "items": [_item_data(item) for item in one.items],
                }
                for one in self.exercises
            ],
        }
        written = json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode("utf-8")
        if len(written) > MAX_BYTES:
            raise ExerciseError(
                f"sealed copy of {len(written)} bytes; allowed: {MAX_BYTES}. Ask fewer items, or shorter music, in this lesson"
            )
        return written

    @classmethod
    def from_bytes(cls, data: bytes) -> "SealedLesson":
        """Read a sealed file.

        Raises
        ------
        ExerciseError
            It is in another form, too large, or of a later version of the package.

        Examples
        --------
        >>> sealed = SealedLesson("demo", "ines-orta", (SealedExercise("first", "Interval by ear", 1, (), "demo"),))
        >>> SealedLesson.from_bytes(sealed.to_bytes()) == sealed
        True
        >>> SealedLesson.from_bytes(b"{}")
        Traceback (most recent call last):
        musictheory_nb.errors.ExerciseError: sealed copy: not in the form that a hand-out writes; take the file from your teacher again
        """
        if len(data) > MAX_BYTES:
            raise ExerciseError(f"sealed copy of {len(data)} bytes; allowed: {MAX_BYTES}")
        try:
            read = json.loads(data)
            if read["format"] != FORMAT:
                raise ExerciseError(f"sealed copy of format {read['format']!r}; bring the package up to date")
            lesson = read["lesson"]
            exercises = tuple(
                SealedExercise(one["id"], one["title"], one["version"], tuple(map(_item_from, one["items"])), lesson)
                for one in read["exercises"]
            )
            return cls(lesson, read["student"], exercises)
        except ExerciseError:
            raise
        except (ValueError, TypeError, KeyError, RecursionError, binascii.Error):
            raise ExerciseError(
                "sealed copy: not in the form that a hand-out writes; take the file from your teacher again"
            ) from None


def _item_data(item: SealedItem) -> dict[str, JSON]:
    sounds: Sequence[JSON] = [
        {
            "label": one.label,
            "wav": base64.b64encode(one.wav).decode("ascii"),
            "measures": list(one.measures),
            "starts_s": list(one.starts_s),
            "first": one.first,
            "last": one.last,
            "hearings": one.hearings,
        }
        for one in item.sounds
    ]
    notation = [{"label": one.label, "svg": one.svg, "text": one.text} for one in item.notation]
    return {
        "prompt": item.prompt,
        "response": response_data(item.response),
        "sounds": sounds,
        "notation": notation,
        "twin": item.twin,
    }


def _item_from(data: Mapping[str, JSON]) -> SealedItem:
    sounds = tuple(
        StoredSound(
            one["label"],
            base64.b64decode(one["wav"], validate=True),
            tuple(one["measures"]),
            tuple(one["starts_s"]),
            one["first"],
            one["last"],
            one["hearings"],
        )
        for one in data["sounds"]
    )
    notation = tuple(StoredNotation(one["label"], one["svg"], one["text"]) for one in data["notation"])
    return SealedItem(data["prompt"], response_from(data["response"]), sounds, notation, data["twin"])
