"""The twin of a question: another way to it for a student who cannot hear what sounds, or cannot see what is written.

An item has `Item.twin`, notation in place of its sound, or `Item.twin_text`, words in place of its notation, or neither
where it can be heard and seen as it is. Which twin was used is recorded with the answer, as a hint: no mark depends on
it, the teacher sees it, and may grant it.
"""

from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.item import Item
from musictheory_nb.practice.setting import Setting

#: The sense in whose place a twin stands -> what was used, in words.
TWINS: Final[Mapping[str, str]] = MappingProxyType(
    {"hearing": "notation in place of the sound", "sight": "words in place of the notation"}
)
_BOTH: Final = "both"
#: What a record may say of the twins used for one answer.
USED: Final = (*TWINS, _BOTH)
_OFFERED, _WITHHELD = "offered", "withheld"
_ALLOWED: Final = (_OFFERED, *USED, _WITHHELD)

TWIN: Final = Setting(
    "twin",
    _OFFERED,
    "Another way to each question: offered to all, who took it being recorded; granted and shown at once in place of "
    "hearing, of sight, or of both; or withheld.",
    ", ".join(map(repr, _ALLOWED)),
    lambda value: isinstance(value, str) and value in _ALLOWED,
)


def twins_of(item: Item) -> tuple[str, ...]:
    """Return in place of which senses the item has a twin.

    Examples
    --------
    >>> from musictheory_nb.practice.response import Response
    >>> twins_of(Item("one", 0, "Which note is it?", (), Response(()), {}, "C4.", twin_text="The note lies below the staff."))
    ('sight',)
    """
    return tuple(sense for sense, has in (("hearing", item.twin), ("sight", item.twin_text)) if has)


def twins_in(used: str | None) -> tuple[str, ...]:
    """Return the senses that a record or a setting names.

    Examples
    --------
    >>> twins_in("both"), twins_in("sight"), twins_in(None), twins_in("offered")
    (('hearing', 'sight'), ('sight',), (), ())
    """
    return tuple(sense for sense in TWINS if used in (sense, _BOTH))


def twins_used(senses: Collection[str]) -> str:
    """Return what the record says of these twins; empty for none.

    Examples
    --------
    >>> twins_used({"sight", "hearing"}), twins_used(["sight"]), twins_used(())
    ('both', 'sight', '')
    """
    return _BOTH if len(senses) == len(TWINS) else next(iter(senses), "")


def twin_words(used: str | None) -> str:
    """Return what was used, in words.

    Examples
    --------
    >>> twin_words("hearing"), twin_words("both")
    ('notation in place of the sound', 'notation in place of the sound, words in place of the notation')
    """
    return ", ".join(TWINS[sense] for sense in twins_in(used))


def is_offered(setting: str) -> bool:
    """Return whether students may take a twin that was not granted to them.

    Examples
    --------
    >>> is_offered("offered"), is_offered("hearing"), is_offered("withheld")
    (True, True, False)
    """
    return setting != _WITHHELD
