"""Who plays when, and how together: every texture that is found in a score (`find_texture`)."""

from typing import Final

from musictheory_nb.score.doubling import find_doubling
from musictheory_nb.score.ostinato import find_ostinato
from musictheory_nb.score.part_activity import PartActivity, part_activity, runs
from musictheory_nb.score.pedal_point import find_pedal_points
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan, span
from musictheory_nb.score.trading import find_trading

#: Least length of a solo and of a tutti, in measures.
_LEAST_SOLO: Final = 2
_LEAST_TUTTI: Final = 1


def find_texture(score: Score) -> tuple[TextureSpan, ...]:
    r"""Return solos and tuttis, doublings, trading, pedal points and ostinatos of a score, in order.

    Parameters
    ----------
    score : Score
        As written; measures are told by their numbers there.

    Notes
    -----
    Common practice, as each finder states it. A solo is one part that plays alone for two bars or more, in a score
    of at least two parts; a tutti is a passage in which all parts play that are not silent throughout.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> duo = b"X:1\nM:2/4\nL:1/8\nK:C\nV:1\nCDEF|GABc|cBAG|FEDC|\nV:2\nz4|z4|c,B,A,G,|F,E,D,C,|\n"
    >>> for one in find_texture(load_score(duo, cache=False)):
    ...     print(one.kind, one.first_measure, one.last_measure)
    solo 1 2
    octaves 3 4
    tutti 3 4
    """
    activity = part_activity(score)
    found = [
        *_solo_and_tutti(score, activity),
        *find_doubling(score, activity),
        *find_trading(score, activity),
        *find_pedal_points(score),
        *find_ostinato(score, activity),
    ]
    return tuple(sorted(found, key=lambda one: (one.first, one.last, one.kind, one.parts)))


def _solo_and_tutti(score: Score, activity: PartActivity) -> list[TextureSpan]:
    plays = activity.plays
    sounding = [part for part in range(len(plays)) if plays[part].any()]
    if len(sounding) < 2:
        return []
    who = [tuple(part for part in sounding if plays[part, at]) for at in range(len(score.measures))]
    found = []
    for first, last in runs(who):
        parts = who[first]
        if len(parts) == 1 and last - first + 1 >= _LEAST_SOLO:
            found.append(span(score, "solo", first, last, parts, f"{score.parts[parts[0]].name} plays alone", 0.95))
        elif len(parts) == len(sounding) and last - first + 1 >= _LEAST_TUTTI:
            found.append(span(score, "tutti", first, last, parts, "everyone plays", 0.95))
    return found
