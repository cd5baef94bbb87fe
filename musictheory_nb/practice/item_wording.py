"""An item, a mark and media in the words of one side of the Atlantic. Families write North-American words throughout."""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.number_input import NumberInput
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import ChoiceInput, Input, Option, Response, Step
from musictheory_nb.practice.roles_input import RolesInput
from musictheory_nb.theory.terms import reworded

#: The words that families write.
_WRITTEN: Final = "american"


def words_of(settings: Mapping[str, JSON]) -> str:
    """Return the vocabulary that settings ask for.

    Examples
    --------
    >>> words_of({"words": "british"}), words_of({})
    ('british', 'american')
    """
    words: str = settings.get("words", _WRITTEN)
    return words


@lru_cache(maxsize=4096)
def _said(text: str, words: str) -> str:
    return reworded(text, words)


def media_in(requests: tuple[MediaRequest, ...], words: str) -> tuple[MediaRequest, ...]:
    """Return media with their labels in the words of `words`.

    Examples
    --------
    >>> from musictheory_nb.practice.excerpt import Excerpt
    >>> media_in((MediaRequest("sound", Excerpt.melody(["C4"]), "Hear measure 1"),), "british")[0].label
    'Hear bar 1'
    """
    if words == _WRITTEN:
        return requests
    return tuple(replace(request, label=_said(request.label, words)) for request in requests)


def mark_in(mark: Mark, words: str) -> Mark:
    """Return a mark with its reason in the words of `words`.

    Examples
    --------
    >>> mark_in(Mark(0.0, "It begins in measure 4."), "british")
    Mark(score=0.0, why='It begins in bar 4.', awaits_teacher=False)
    """
    return mark if words == _WRITTEN else replace(mark, why=_said(mark.why, words))


def pair_in(pair: tuple[str, str] | None, words: str) -> tuple[str, str] | None:
    """Return a confused pair in the words of `words`."""
    return pair if words == _WRITTEN or pair is None else (_said(pair[0], words), _said(pair[1], words))


def _options_in(options: tuple[Option, ...], words: str) -> tuple[Option, ...]:
    return tuple(
        replace(option, label=_said(option.label, words), spoken=_said(option.spoken, words)) for option in options
    )


@lru_cache(maxsize=1024)
def _step_in(step: Step, words: str) -> Step:
    inputs: list[Input] = []
    for entry in step.inputs:
        if isinstance(entry, ChoiceInput):
            entry = replace(entry, options=_options_in(entry.options, words))
        elif isinstance(entry, RolesInput):
            entry = replace(entry, roles=_options_in(entry.roles, words))
        elif isinstance(entry, NumberInput):
            entry = replace(entry, unit=_said(entry.unit, words))
        inputs.append(entry)
    return replace(step, label=_said(step.label, words), inputs=tuple(inputs))


def item_in(item: Item, words: str) -> Item:
    """Return an item with everything that it says in the words of `words`; its key and its values stay as they are.

    Examples
    --------
    >>> said = item_in(Item("one", 0, "Which quarter note in measure 2?", (), Response(()), {}, "The half step."), "british")
    >>> said.prompt, said.explain
    ('Which crotchet in bar 2?', 'The semitone.')
    """
    if words == _WRITTEN:
        return item
    return replace(
        item,
        prompt=_said(item.prompt, words),
        media=media_in(item.media, words),
        response=Response(tuple(_step_in(step, words) for step in item.response.steps)),
        explain=_said(item.explain, words),
        twin=media_in(item.twin, words),
        twin_text=_said(item.twin_text, words),
    )
