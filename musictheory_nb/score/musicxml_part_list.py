"""The parts that a MusicXML score names, each with its music."""

import re
import xml.etree.ElementTree as ElementTree

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.draft import Draft, DraftPart


def _line(text: str | None) -> str:
    return " ".join((text or "").split())


def _program(text: str | None) -> int:
    """Return a General MIDI program from 1 to 128; 0 for none or one that does not exist: it is no part of the music."""
    number = (text or "").strip()
    return int(number) if re.fullmatch(r"[0-9]{1,3}", number) and 1 <= int(number) <= 128 else 0


def read_part_list(root: ElementTree.Element, draft: Draft) -> list[ElementTree.Element | None]:
    """Fill `draft.parts` and return the ``part`` element of each, None for a part that is named but not there.

    Raises
    ------
    ScoreError
        No part list, no parts, or a part that the list does not name.
    """
    part_list = root.find("part-list")
    named = part_list.findall("score-part") if part_list is not None else []
    if not named:
        raise ScoreError(
            "this MusicXML has no <part-list>, so its parts have no names; it is damaged: export the score again"
        )
    elements: dict[str, ElementTree.Element] = {}
    for element in root.findall("part"):
        identity = element.get("id", "")
        if identity in elements:
            raise ScoreError(f"part {identity[:40]!r} stands twice in the score")
        elements[identity] = element
    if not elements:
        raise ScoreError("this MusicXML names parts but has the music of none")
    found: list[ElementTree.Element | None] = []
    for place, score_part in enumerate(named, 1):
        element_or_none = elements.pop(score_part.get("id", ""), None)
        name = _line(score_part.findtext("part-name")) or _line(score_part.findtext("part-name-display/display-text"))
        draft.parts.append(
            DraftPart(
                name=name or f"Part {place}",
                short=_line(score_part.findtext("part-abbreviation")),
                sound=_line(score_part.findtext("score-instrument/instrument-sound")),
                program=_program(score_part.findtext("midi-instrument/midi-program")),
            )
        )
        if element_or_none is None:
            draft.notices.append(f"part {draft.parts[-1].name!r} is named but its music is missing")
        found.append(element_or_none)
    if elements:
        names = ", ".join(repr(name[:40]) for name in elements)
        raise ScoreError(f"the <part-list> does not name part {names}; the score is damaged: export it again")
    return found
