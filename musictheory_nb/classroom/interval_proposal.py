"""What a piece offers on intervals: those of its tune by ear, by sight, to write, and to find in the score.

Nothing here rests on an interpretation: the intervals are those of the notes.
"""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from musictheory_nb.classroom.lesson_options import LessonOptions
from musictheory_nb.classroom.lesson_proposal import Proposal, exercise, melody_part, passage
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.score.piece import Piece
from musictheory_nb.theory.interval import Interval

_FIRST: Final = ("m2", "M2", "m3", "M3", "P4", "P5", "P8")
_ALL: Final = ("m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7", "P8")
#: Fewest kinds of interval about which it is worth asking.
_FEWEST: Final = 3


def interval_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on intervals."""
    piece = analysis.piece
    part = melody_part(piece)
    allowed = _FIRST if options.level == "first" else _ALL
    met = Counter(name for name in _intervals(piece, part) if name in allowed)
    names = sorted(met, key=lambda name: (-met[name], allowed.index(name)))[:7]
    if len(names) < _FEWEST:
        return
    names = [name for name in allowed if name in names or (name in ("A4", "d5") and met[name])]
    tune = passage(piece, part)
    told = f"the tune of *{piece.title}*" if piece.title else "the tune"
    numbers = (tune.measures[0].number, tune.measures[-1].number)
    music = {"tune": tune}
    for one in exercise("find-intervals", "interval-in-a-piece", _finding(options, tune, names), 4, music):
        yield Proposal(
            "intervals",
            one,
            "find an interval in the score of a real piece",
            "Intervals on the page",
            f"Here are bars {numbers[0]} to {numbers[1]} of {told}. Each question names an interval: find the place where the "
            "tune takes it.",
            numbers,
        )
    settings = {"excerpt": "tune", "intervals": names, "directions": ["up", "down"]}
    for one in exercise("hear-intervals", "interval-by-ear", settings, 6, music):
        yield Proposal(
            "intervals",
            one,
            "say by ear which interval two neighbouring notes of the tune make",
            "Intervals by ear",
            "Two notes are played that stand side by side in the tune. Sing the first, sing the second, and only then decide.",
        )
    for one in exercise("write-intervals", "interval-writing", {"intervals": names, "inputs": ["staff", "keys"]}, 4):
        yield Proposal(
            "intervals",
            one,
            "write or play the intervals of the tune above and below any note",
            "Intervals to write",
            "The same intervals from other notes: write or play the second note.",
        )


def _finding(options: LessonOptions, tune: Excerpt, names: list[str]) -> dict[str, object]:
    length = {"first": 4, "middle": 8, "advanced": 16}[options.level]
    return {
        "excerpt": "tune",
        "intervals": names,
        "directions": ["up", "down"],
        "length": min(length, len(tune.measures)),
    }


def _intervals(piece: Piece, part: int) -> Iterator[str]:
    """Simple names of the intervals between neighbouring notes of a part's first passage."""
    before = None
    for note in piece.joined_notes:
        if note.part != part or note.sounding is None or note.grace:
            continue
        if before is not None and before.start < note.start <= before.end and before.voice == note.voice:
            assert before.sounding is not None
            low, high = sorted((before.sounding, note.sounding), key=lambda pitch: pitch.chromatic)
            yield str(Interval.between(low, high).simple)
        before = note
