"""Several names in a sentence: ``C, E and G``."""

from collections.abc import Sequence

from musictheory_nb.errors import TheoryError


def listed(texts: Sequence[str]) -> str:
    """Texts in a sentence, the last two joined by "and".

    Raises
    ------
    TheoryError
        There is no text.

    Examples
    --------
    >>> listed(["C"]), listed(["C", "E"]), listed(["C", "E", "G"])
    ('C', 'C and E', 'C, E and G')
    >>> listed([])
    Traceback (most recent call last):
    musictheory_nb.errors.TheoryError: texts []: give at least one
    """
    if not texts:
        raise TheoryError(f"texts {texts!r}: give at least one")
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}"
