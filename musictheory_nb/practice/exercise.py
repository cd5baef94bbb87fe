"""An exercise: data that says what is asked. Its items follow from it, the student's seed and their index alone."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.instrument.tuning import Tuning
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.families import family_of
from musictheory_nb.practice.family import NO_EXCERPTS, CompleteSettings, Family, Question, complete_settings
from musictheory_nb.practice.fingerboard_answer import as_keys, tuning_of, with_fingerboard
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.item_wording import item_in, mark_in, media_in, pair_in, words_of
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON, thawed
from musictheory_nb.practice.response import Answer
from musictheory_nb.practice.twin import TWIN

SLUG: Final = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
MAX_SLUG: Final = 64
MAX_COUNT: Final = 200


def is_slug(text: Any) -> bool:
    """Return whether `text` may be an id: lower-case letters and digits in groups joined by hyphens.

    Examples
    --------
    >>> is_slug("hear-intervals"), is_slug("Hear intervals"), is_slug("-x")
    (True, False, False)
    """
    return isinstance(text, str) and len(text) <= MAX_SLUG and SLUG.fullmatch(text) is not None


def named_excerpts(settings: Mapping[str, JSON], known: Mapping[str, Excerpt]) -> dict[str, Excerpt]:
    """Return those of the `known` excerpts that the setting ``excerpt`` names: one name, or a list of names.

    Examples
    --------
    >>> two = Excerpt.melody(["B3", "F4"])
    >>> list(named_excerpts({"excerpt": ["rag", "waltz"]}, {"rag": two, "march": two}))
    ['rag']
    """
    wanted = settings.get("excerpt")
    names = wanted if isinstance(wanted, list | tuple) else [wanted]
    return {name: known[name] for name in names if isinstance(name, str) and name in known}


@dataclass(frozen=True)
class Exercise:
    """One exercise of a lesson.

    Parameters
    ----------
    id : str
        Slug; unique in its lesson.
    kind : str
        Family, such as ``'interval-by-ear'``.
    settings : Mapping
        What the teacher sets; the family's table names the rest. Settings that are left out take their defaults.
    count : int
        Number of items, 1 to 200.
    points : float
        What all items together are worth.
    version : int
        Version of the family; stays as it was when the lesson was written.
    lesson : str
        Slug of the lesson; enters every draw.
    excerpts : Mapping of str to Excerpt
        Music frozen into the lesson, by name.

    Raises
    ------
    ExerciseError
        What is given cannot be an exercise; the message says why and what is allowed.

    Examples
    --------
    >>> hear = Exercise("first", "interval-by-ear", {}, count=4, lesson="demo")
    >>> hear.item(seed=7, index=0) == hear.item(seed=7, index=0)
    True
    >>> Exercise("first", "interval-by-ear", {"colour": "red"}, lesson="demo")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: exercise 'first': setting 'colour' is not one of 'interval-by-ear'; allowed: ...
    """

    id: str
    kind: str
    settings: Mapping[str, JSON] = field(default_factory=dict)
    count: int = 10
    points: float = 10.0
    version: int = 1
    lesson: str = ""
    excerpts: Mapping[str, Excerpt] = field(default_factory=lambda: NO_EXCERPTS, repr=False)

    def __post_init__(self) -> None:
        if not is_slug(self.id):
            raise ExerciseError(
                f"exercise id {self.id!r}: write lower-case letters, digits and hyphens, as 'hear-tritones'"
            )
        if self.lesson and not is_slug(self.lesson):
            raise ExerciseError(f"lesson id {self.lesson!r}: write lower-case letters, digits and hyphens")
        if type(self.count) is not int or not 1 <= self.count <= MAX_COUNT:
            raise ExerciseError(f"exercise {self.id!r}: count {self.count!r}; allowed: 1 to {MAX_COUNT}")
        if isinstance(self.points, bool) or not isinstance(self.points, int | float) or not 0 <= self.points <= 1000:
            raise ExerciseError(f"exercise {self.id!r}: points {self.points!r}; allowed: 0 to 1000")
        if not isinstance(self.settings, Mapping):
            raise ExerciseError(
                f"exercise {self.id!r}: settings {self.settings!r}; write a dictionary, as {{'name': value}}"
            )
        family_of(self.kind, self.version)
        object.__setattr__(self, "settings", thawed(self.settings))
        object.__setattr__(self, "_complete", complete_settings(self.family, self.settings, self.id))
        object.__setattr__(self, "_tuning", tuning_of(self.settings, self.id))

    @property
    def family(self) -> Family:
        """The family that makes and marks the items."""
        return family_of(self.kind, self.version)

    def item(self, seed: int, index: int) -> Item:
        """Return item `index` (from 0) of the student with `seed`.

        Raises
        ------
        ExerciseError
            `index` is not below `count`, `seed` is no whole number, or the lesson lacks the excerpt that is named.
        """
        if type(seed) is not int:
            raise ExerciseError(f"exercise {self.id!r}: seed {seed!r}; write a whole number, such as 7")
        if type(index) is not int or not 0 <= index < self.count:
            raise ExerciseError(f"exercise {self.id!r}: item index {index!r}; allowed: 0 to {self.count - 1}")
        complete: CompleteSettings = self._complete  # type: ignore[attr-defined]
        question = Question(self.lesson, self.id, self.version, seed, index, self.count, complete, self.excerpts)
        tuning: Tuning | None = self._tuning  # type: ignore[attr-defined]
        return with_fingerboard(item_in(self.family.item(question), self._words), tuning)

    @property
    def twin(self) -> str:
        """What the setting `twin.TWIN` says."""
        said: str = self.settings.get(TWIN.name, TWIN.default)
        return said

    @property
    def _words(self) -> str:
        return words_of(self._complete)  # type: ignore[attr-defined]

    def mark(self, item: Item, answer: JSON) -> Mark:
        """Return the mark of `answer` to `item`.

        Raises
        ------
        AnswerError
            The answer has not the shape that the item asks for.
        """
        return self.mark_checked(item, item.response.check(answer))

    def mark_checked(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        return mark_in(self.family.mark(item, as_keys(item, answer)), self._words)

    def compare(self, item: Item, answer: JSON) -> tuple[MediaRequest, ...]:
        """Return what a student who was wrong should hear or see side by side."""
        return media_in(self.family.compare(item, as_keys(item, item.response.check(answer))), self._words)

    def confusion(self, item: Item, answer: JSON) -> tuple[str, str] | None:
        """Return (right, answered) in words, or None for a right answer."""
        return self.confusion_checked(item, item.response.check(answer))

    def confusion_checked(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return the confused pair of an answer that has passed ``item.response.check``."""
        return pair_in(self.family.confusion(item, as_keys(item, answer)), self._words)

    def to_data(self) -> dict[str, JSON]:
        """Return the exercise as JSON values; excerpts stand in it by name and digest."""
        return {
            "id": self.id,
            "kind": self.kind,
            "settings": thawed(self.settings),
            "count": self.count,
            "points": self.points,
            "version": self.version,
            "lesson": self.lesson,
            "excerpts": {name: excerpt.digest for name, excerpt in sorted(self.excerpts.items())},
        }

    @classmethod
    def from_data(cls, data: Mapping[str, JSON], excerpts: Mapping[str, Excerpt] = NO_EXCERPTS) -> "Exercise":
        """Read what `to_data` writes; `excerpts` supplies the music that it names.

        Raises
        ------
        ExerciseError
            An entry is missing or unknown, or an excerpt is missing or not the one that was frozen.
        """
        names = {"id", "kind", "settings", "count", "points", "version", "lesson", "excerpts"}
        if set(data) != names:
            raise ExerciseError(f"exercise data: entries {sorted(data)}; allowed: exactly {sorted(names)}")
        chosen: dict[str, Excerpt] = {}
        for name, expected in data["excerpts"].items():
            if name not in excerpts or excerpts[name].digest != expected:
                raise ExerciseError(
                    f"exercise {data['id']!r}: excerpt {name!r} is missing or not the one frozen in the lesson"
                )
            chosen[name] = excerpts[name]
        return cls(**{**data, "excerpts": chosen})
