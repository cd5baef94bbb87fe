"""The sections of a piece as bands over its measures, each letter with a colour and a pattern of its own."""

from dataclasses import dataclass
from typing import Any, Final

from musictheory_nb.media.picture import HATCHES, INK, OKABE_ITO
from musictheory_nb.score.form_section import Section
from musictheory_nb.score.piece import Piece

#: Colours of the letters, in turn; black and yellow are left out, being too near to ink and paper.
_COLOURS: Final = ("sky blue", "orange", "bluish green", "reddish purple", "blue", "vermillion")


@dataclass(frozen=True, slots=True)
class Band:
    """One section over the measures that it takes, the pickup to its first bar among them.

    Parameters
    ----------
    section : Section
        The section.
    label : str
        ``"A'"``; ``'Intro'`` where it has no letter.
    first, last : int
        Indices of its measures, both included: as played, or as written, as the function says that made the band.
    place : int
        Place of its letter among the letters of the piece, from 0; -1 for an introduction.
    """

    section: Section
    label: str
    first: int
    last: int
    place: int


def played_bands(piece: Piece) -> tuple[Band, ...]:
    """Return the sections over the measures of ``piece.played()``; of a chorus played several times the first time."""
    form = piece.form()
    letters = list(dict.fromkeys(section.letter for section in form.sections if section.letter))
    found: list[Band] = []
    for section, label in zip(form.sections, form.labels, strict=True):
        place = letters.index(section.letter) if section.letter else -1
        found.append(Band(section, label, found[-1].last + 1 if found else 0, section.last, place))
    return tuple(found)


def written_bands(piece: Piece) -> tuple[Band, ...]:
    """Return the sections over the measures of `piece` as written, each stretch of measures once."""
    written = [measure.written for measure in piece.played().measures]
    found: list[Band] = []
    seen: set[int] = set()
    for band in played_bands(piece):
        own = [written[at] for at in range(band.first, band.last + 1) if written[at] not in seen]
        seen.update(own)
        if own:
            found.append(Band(band.section, band.label, min(own), max(own), band.place))
    return tuple(sorted(found, key=lambda band: band.first))


def section_kinds(piece: Piece) -> tuple[Band, ...]:
    """Return the first section of each label, as played."""
    found: dict[str, Band] = {}
    for band in played_bands(piece):
        found.setdefault(band.label, band)
    return tuple(found.values())


def look(place: int) -> dict[str, Any]:
    """Return colour, pattern and outline of a letter, by its place among the letters of the piece.

    Examples
    --------
    >>> look(0)["facecolor"], look(0)["hatch"], look(6)["hatch"] == look(0)["hatch"], look(-1)["hatch"]
    ('#56b4e9', '//', False, '..')
    """
    if place < 0:
        return {"facecolor": "none", "edgecolor": INK, "hatch": "..", "linewidth": 0.8}
    colour = OKABE_ITO[_COLOURS[place % len(_COLOURS)]]
    hatch = HATCHES[(place + place // len(_COLOURS)) % len(HATCHES)]
    return {"facecolor": colour, "edgecolor": INK, "hatch": hatch, "linewidth": 0.8}


def band_words(band: Band) -> str:
    """Return label, role and bars of a section in words: ``"A' (return), bars 9-16"``."""
    section = band.section
    role = f" ({section.role})" if section.role else ""
    one, other = section.first_measure, section.last_measure
    return f"{band.label}{role}, " + (f"bar {one}" if one == other else f"bars {one}-{other}")
