"""A piece over a ground bass (`ground_bass`): a figure of the lowest part that comes again and again to the end."""

from typing import Final

from musictheory_nb.score.ostinato import find_ostinato
from musictheory_nb.score.part_activity import part_activity
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan

#: Share of the bars over which the figure comes, and how often at least.
_SHARE: Final = 0.7
_TIMES: Final = 4


def ground_bass(played: Score) -> TextureSpan | None:
    """Return the ground over which a piece stands, None where there is none."""
    if len(played.parts) < 2:
        return None
    for one in find_ostinato(played, part_activity(played)):
        bars = one.last - one.first + 1
        if one.kind == "ground bass" and bars >= max(_SHARE * len(played.measures), _TIMES * one.period):
            return one
    return None
