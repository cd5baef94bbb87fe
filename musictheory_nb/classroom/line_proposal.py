"""What a piece offers beside its chords: the chord that measures suggest, and the roles of the notes of its tune.

Nothing is asked that is in doubt: chords are those of which the analysis, or the teacher, is sure, and roles
rest on chord symbols that are written.
"""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from musictheory_nb.classroom.frozen_excerpt import freeze_measures
from musictheory_nb.classroom.harmony_proposal import sure_chords, upper_symbol
from musictheory_nb.classroom.lesson_options import SURE, LessonOptions
from musictheory_nb.classroom.lesson_proposal import PASSAGE, Proposal, exercise, melody_part, passage
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.practice.chord_pool import read_case
from musictheory_nb.practice.plain_data import JSON

#: Fewest different chords that measures must suggest to be asked about, and most measures.
_FEWEST_CHORDS, _MOST_MEASURES = 3, 8
#: Where more notes begin together, a chord is struck.
_MOST_TOGETHER: Final = 2
#: In a first course a line has these roles to choose from, and those that occur.
_FIRST_ROLES: Final = ("chord tone", "passing", "neighbour")


def implied_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on chords that a line or broken chords suggest, a measure each."""
    piece = analysis.piece
    if any(span.origin == "written" for span in analysis.harmony):
        return
    struck = _struck(analysis)
    rows: list[JSON] = []
    first = last = -1
    for span in sure_chords(analysis):
        case = read_case(upper_symbol(span.chord))
        measure = piece.measures[span.measure]
        is_whole = span.start <= measure.start and span.start + span.duration >= measure.end
        if case is None or not is_whole or span.measure in struck:
            continue
        if rows and span.measure - first >= PASSAGE:
            break
        first = span.measure if not rows else first
        last = span.measure
        rows.append([measure.number, measure.number, upper_symbol(span.chord)])
        if len(rows) == _MOST_MEASURES:
            break
    if len({row[2] for row in rows}) < _FEWEST_CHORDS:
        return
    settings = {"excerpt": "measures", "passages": rows, "answer": "parts" if options.level == "first" else "symbol"}
    music = {"measures": freeze_measures(piece, first, last)}
    for one in exercise("implied-chords", "implied-chord", settings, min(4, len(rows)), music):
        yield Proposal(
            "harmony",
            one,
            "name the chord that a measure of the piece suggests",
            "Chords between the lines",
            "No chord is struck here, and yet each measure suggests one. Gather its notes and stack them in thirds.",
        )


def _struck(analysis: Analysis) -> set[int]:
    """Return the measures in which three notes or more begin together: there chords are heard, and not suggested."""
    together = Counter(
        (note.measure, note.start) for note in analysis.piece.notes if note.sounding is not None and not note.grace
    )
    return {measure for (measure, _), count in together.items() if count > _MOST_TOGETHER}


def role_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on the roles of the notes of its tune over the chords that are written."""
    piece = analysis.piece
    if not any(span.origin == "written" for span in analysis.harmony):
        return
    tune = passage(piece, melody_part(piece))
    settings: dict[str, JSON] = {"excerpt": "tune", "length": 4, "ask": "others"}
    if options.level == "first":
        settings |= {"roles": list(_FIRST_ROLES), "length": 2}
    if analysis.key is not None and analysis.key.confidence >= SURE:
        settings["key"] = analysis.key.key.name
    for one in exercise("name-the-roles", "note-roles", settings, 3, {"tune": tune}):
        yield Proposal(
            "scales",
            one,
            "say what the notes of a tune are that do not belong to its chords",
            "Notes between the chord tones",
            "Most notes of this tune belong to their chords. The others lead somewhere: see how each is reached, and how it "
            "goes on.",
        )
