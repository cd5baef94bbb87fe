"""`write_musicxml`: from a `Score` to a MusicXML 4.0 file, part-wise, plain or compressed.

Conventions: what is written reads back as the same score: notes, measures, marks. Measures have the numbers that
players count; a pickup and the second half of a split bar are ``implicit``. Transposing parts stand as their players
read them, with ``transpose``, or as they sound. A note keeps its length even where no single note value has it; then
no ``type`` is given. Grace notes are written as slashed eighths, unpitched ones on the middle line: the note table
keeps no more of them.
"""

import io
import math
import os
import xml.etree.ElementTree as ElementTree
import zipfile
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.musicxml_element import child
from musictheory_nb.score.musicxml_part_writer import write_part
from musictheory_nb.score.score import Score
from musictheory_nb.score.transposed_part import transposed

#: How transposing parts are written.
VIEWS: Final = ("written", "concert")
_HEAD: Final = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_CONTAINER: Final = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<container><rootfiles><rootfile full-path="score.musicxml"'
    ' media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>\n'
)


def write_musicxml(
    score: Score,
    path: str | os.PathLike[str] | None = None,
    *,
    view: str = "written",
    instrument: str | None = None,
) -> bytes:
    r"""Write a score as MusicXML and return the bytes of the file.

    Parameters
    ----------
    score : Score
        What to write.
    path : path, optional
        File to write it to; one that ends in ``.mxl`` is compressed.
    view : str
        ``'written'``: transposing parts as their players read them. ``'concert'``: all parts as they sound.
    instrument : str, optional
        Write every part for an instrument of this key (``'Bb'``) or interval (``'-M2'``), as `transposed` does.

    Raises
    ------
    ScoreError
        `view` is another, the instrument cannot be read, or the file cannot be written.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> piece = load_score(b"X:1\nM:3/4\nL:1/4\nK:G\nD|\"G\"GAB|G2|]\n", cache=False)
    >>> load_score(write_musicxml(piece), cache=False).notes == piece.notes
    True
    >>> write_musicxml(piece, view="sounding")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: view 'sounding'; allowed: 'written', 'concert'
    """
    if view not in VIEWS:
        raise ScoreError(f"view {view!r}; allowed: {', '.join(map(repr, VIEWS))}")
    if instrument is not None:
        if view == "concert":
            raise ScoreError(f"instrument {instrument!r}: parts for an instrument have the view 'written'")
        for part in score.parts:
            score = transposed(score, part.index, instrument, only=False)
    root = _root(score)
    divisions = _divisions(score)
    for part in score.parts:
        write_part(child(root, "part", id=f"P{part.index + 1}"), score, part, divisions, concert=view == "concert")
    ElementTree.indent(root)
    data = (_HEAD + ElementTree.tostring(root, encoding="unicode") + "\n").encode("utf-8")
    if path is None:
        return data
    if os.fspath(path).lower().endswith(".mxl"):
        data = _compressed(data)
    write_file(path, data)
    return data


def write_file(path: str | os.PathLike[str], data: bytes) -> None:
    """Write a whole file.

    Raises
    ------
    ScoreError
        It cannot be written.
    """
    try:
        with open(path, "wb") as file:
            file.write(data)
    except OSError as error:
        raise ScoreError(f"file {os.fspath(path)!r} cannot be written: {error.strerror or error}") from None


def _compressed(data: bytes) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (("META-INF/container.xml", _CONTAINER.encode()), ("score.musicxml", data)):
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return held.getvalue()


def _divisions(score: Score) -> int:
    """Return the fewest divisions of a quarter in which all lengths and places are whole numbers."""
    table = score.events
    ticks = math.gcd(table.ticks_per_quarter, *map(int, table.column("onset")), *map(int, table.column("duration")))
    unit = table.ticks_per_quarter // ticks
    places = {measure.length.denominator for measure in score.measures}
    for marks in (
        score.chord_symbols,
        score.rehearsal_marks,
        score.tempos,
        score.key_signatures,
        score.clefs,
        score.transpositions,
        score.words,
    ):
        places |= {mark.onset.denominator for mark in marks}
    return math.lcm(unit, *places)


def _root(score: Score) -> ElementTree.Element:
    root = ElementTree.Element("score-partwise", version="4.0")
    if score.title:
        child(child(root, "work"), "work-title", score.title)
    identification = child(root, "identification")
    if score.composer:
        child(identification, "creator", score.composer, type="composer")
    child(child(identification, "encoding"), "software", "musictheory_nb")
    part_list = child(root, "part-list")
    for part in score.parts:
        identity = f"P{part.index + 1}"
        listed = child(part_list, "score-part", id=identity)
        child(listed, "part-name", part.name)
        if part.short:
            child(listed, "part-abbreviation", part.short)
        if part.sound or part.program:
            instrument = child(listed, "score-instrument", id=f"{identity}-I1")
            child(instrument, "instrument-name", part.name)
            if part.sound:
                child(instrument, "instrument-sound", part.sound)
        if part.program:
            midi = child(listed, "midi-instrument", id=f"{identity}-I1")
            child(midi, "midi-program", part.program)
    return root
