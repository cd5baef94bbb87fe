"""The one form of a refusal of an answer: which step, what was given, what is allowed."""

from typing import Final

from musictheory_nb.errors import AnswerError
from musictheory_nb.practice.plain_data import JSON

#: Longest piece of what was given that a refusal repeats.
MOST_SHOWN: Final = 60


def _shown(given: JSON) -> str:
    """What was given, cut off; built from its beginning alone, since it may be huge or deep."""
    if isinstance(given, str):
        return repr(given[:MOST_SHOWN])
    if isinstance(given, int) and not isinstance(given, bool) and given.bit_length() > 256:
        return "a number of very many digits"
    try:
        return repr(given[:MOST_SHOWN] if isinstance(given, list) else given)
    except (RecursionError, ValueError):
        return "data nested too deep"


def refuse(step: str, given: JSON, allowed: str) -> AnswerError:
    """Return the error for an answer that cannot be taken.

    Parameters
    ----------
    step : str
        Id of the step that was answered.
    given : JSON
        What stands in the answer.
    allowed : str
        What could stand there.

    Examples
    --------
    >>> str(refuse("size", 3, "one of m3, M3"))
    "answer to 'size': 3; allowed: one of m3, M3"
    """
    shown = _shown(given)
    return AnswerError(
        f"answer to {step!r}: {shown if len(shown) <= MOST_SHOWN else shown[: MOST_SHOWN - 3] + '…'}; allowed: {allowed}"
    )
