"""From a piece to a lesson notebook on the disk, with the teacher's corrections beside it (`make_lesson`)."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.analysis_words import counted
from musictheory_nb.classroom.atomic_file import write_whole
from musictheory_nb.classroom.corrected_piece import correct_piece
from musictheory_nb.classroom.lesson_from_piece import MadeLesson, lesson_notebook_of, lesson_slug, write_lesson
from musictheory_nb.classroom.lesson_options import LessonOptions
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.classroom.piece_corrections import corrections_template, read_corrections
from musictheory_nb.errors import LessonError
from musictheory_nb.score.piece import Piece

#: Ending of the file of corrections beside a lesson.
CORRECTIONS: Final = ".corrections.txt"


@dataclass(frozen=True)
class LessonFiles:
    """What was written: the lesson, where corrections are read from, and what to tell the teacher, line by line."""

    lesson: MadeLesson
    corrections: Path
    told: tuple[str, ...]


def make_lesson(
    piece: Piece, to: Path, options: LessonOptions, corrections: Path | None = None, *, run: bool = True
) -> LessonFiles:
    """Make a lesson from a piece and write it.

    Parameters
    ----------
    piece : Piece
        What `load_score` returns.
    to : Path
        The notebook; it is replaced if it is there.
    options : LessonOptions
        Level, focus, instrument, length.
    corrections : Path, optional
        The teacher's corrections; by default the file beside the notebook, which is written if it is not there.
    run : bool
        Whether the notebook is run once, so that it holds outputs.

    Raises
    ------
    LessonError
        The ending is not ``.ipynb``, corrections cannot be read or do not fit the piece, or nothing can be asked.
    """
    if to.suffix != ".ipynb":
        raise LessonError(f"lesson {str(to)!r}: write a name that ends in .ipynb")
    beside = to.with_suffix(CORRECTIONS)
    used = corrections or (beside if beside.is_file() else None)
    if used is not None:
        piece = correct_piece(piece, read_corrections(used))
    made = lesson_notebook_of(analyse(piece), lesson_slug(to.stem), options)
    write_lesson(made, to, run=run)
    told = []
    if used is not None:
        told.append(f"Corrections used: {used}")
    if made.doubts:
        told.append(f"Not sure, and not asked about: {counted(len(made.doubts), 'finding')}.")
        if used is None:
            write_whole(beside, corrections_template(piece.title, made.doubts).encode())
            told.append(f"They are listed in {beside}: confirm or correct them there, and make the lesson again.")
    return LessonFiles(made, used or beside, tuple(told))
