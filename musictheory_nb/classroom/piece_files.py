"""From a piece that is named on the command line to the files that come of it: a page, data, a score."""

from collections.abc import Callable
from pathlib import Path
from types import MappingProxyType
from typing import Final, cast

from musictheory_nb.classroom.analysis_data import analysis_json
from musictheory_nb.classroom.analysis_page import analysis_html
from musictheory_nb.classroom.atomic_file import make_folder, write_whole
from musictheory_nb.classroom.bundled_piece import find_piece
from musictheory_nb.classroom.part_for_instrument import part_for
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.errors import ClassroomError, ScoreError
from musictheory_nb.score.load import load_score
from musictheory_nb.score.piece import Piece
from musictheory_nb.score.score import Score
from musictheory_nb.score.write_midi import write_midi
from musictheory_nb.score.write_musicxml import write_musicxml

#: Endings of what ``analyse`` and ``write`` make -> what it is.
ANALYSIS_FILES: Final = MappingProxyType({".html": "a page", ".json": "data"})
SCORE_FILES: Final = MappingProxyType(
    {".musicxml": "MusicXML", ".xml": "MusicXML", ".mxl": "compressed MusicXML", ".mid": "MIDI", ".midi": "MIDI"}
)


def open_piece(given: Path, tune: int | None = None) -> Piece:
    """Read the piece that is named: a file, or a bundled piece.

    Raises
    ------
    ScoreError
        There is no such piece, or it cannot be read.

    Examples
    --------
    >>> open_piece(Path("bach/bwv66.6")).parts[0].name
    'Soprano'
    >>> open_piece(Path("no such piece"))
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: score 'no such piece': there is no such file
    """
    return cast(Piece, load_score(find_piece(given), tune=tune))


def check_ending(to: Path, kinds: MappingProxyType[str, str]) -> None:
    """Raise when a file's ending does not say what is to be written.

    Raises
    ------
    ClassroomError
        It has another ending; the message names those that are known.
    """
    if to.suffix.lower() not in kinds:
        allowed = ", ".join(f"{ending} for {what}" for ending, what in kinds.items())
        raise ClassroomError(f"--to '{to}': end the name with {allowed}")


def save_analysis(
    analysis: Analysis, to: Path, *, every: bool = False, each: Callable[[str], None] | None = None
) -> None:
    """Write what is said of a piece: a page, or data, as the file's ending says.

    Raises
    ------
    ClassroomError
        The ending is another, or the disk refuses.
    """
    check_ending(to, ANALYSIS_FILES)
    if to.suffix.lower() == ".html":
        data = analysis_html(analysis, every=every, each=each)
    else:
        data = analysis_json(analysis).encode("utf-8")
    make_folder(to.parent)
    write_whole(to, data)


def save_piece(piece: Piece, to: Path, *, part: str | int | None = None, instrument: str = "") -> Score:
    """Write a piece as MusicXML or MIDI, as the file's ending says, and return what was written.

    Parameters
    ----------
    piece : Piece
        The piece.
    to : Path
        The file; its folder is made where there is none.
    part : str or int, optional
        Write this part alone, for the instrument that is named.
    instrument : str
        The instrument by name (``'tenor saxophone'``), key (``'Bb'``; ``'C'`` for as it sounds) or interval
        (``'-M9'``); see `part_kind`.

    Raises
    ------
    ScoreError
        No such part or instrument, a part without an instrument, or the piece cannot be written so.
    ClassroomError
        The ending is another, or the disk refuses.
    """
    check_ending(to, SCORE_FILES)
    is_midi = SCORE_FILES[to.suffix.lower()] == "MIDI"
    if is_midi and instrument:
        raise ScoreError(f"instrument {instrument!r}: MIDI holds what sounds; write a .musicxml file for a player")
    if part is not None and not instrument:
        raise ScoreError(
            f"part {part!r}: name the instrument that it is for, such as 'clarinet in Bb', or 'C' for as it sounds"
        )
    make_folder(to.parent)
    if is_midi:
        write_midi(piece, to)
        return piece
    score = part_for(piece, part, instrument) if instrument else piece
    write_musicxml(score, to)
    return score
