"""What a piece offers on chords and on the scales over them: chords that are written, or surely implied."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from musictheory_nb.classroom.lesson_options import SURE, LessonOptions
from musictheory_nb.classroom.lesson_proposal import Proposal, exercise
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.theory.chord import Chord

#: Fewest different chords about which it is worth asking, and most that are asked.
_FEWEST, _MOST = 3, 12
_SUFFIX: Final = {"": "maj"}


def sure_chords(analysis: Analysis) -> tuple[HarmonySpan, ...]:
    """Return the chords of which the analysis, or the teacher, is sure."""
    return tuple(span for span in analysis.harmony if span.confidence >= SURE and not span.chord.is_no_chord)


def _commonest(analysis: Analysis) -> list[Chord]:
    """The chords of the piece without their basses, the commonest first."""
    met = Counter(_upper(span.chord) for span in sure_chords(analysis))
    return [Chord(symbol) for symbol, _ in met.most_common(_MOST)]


def _upper(chord: Chord) -> str:
    return (
        chord.symbol.partition("/")[0] if chord.symbol.count("/") == 1 and "6/9" not in chord.symbol else chord.symbol
    )


def harmony_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on its chords."""
    chords = _commonest(analysis)
    if len(chords) < _FEWEST:
        return
    asked = _known(chords, options)
    for one in exercise("see-chords", "chord-by-sight", {"items": asked}, min(5, len(asked))):
        yield Proposal(
            "harmony",
            one,
            "name a chord of the piece by its notes",
            "Chords by sight",
            "These chords all stand in the piece. Stack their notes in thirds, and the root is the lowest.",
        )
    heard = {"items": asked, "played": "both"}
    for one in exercise("hear-chords", "chord-by-ear", heard, min(5, len(asked))):
        yield Proposal(
            "harmony",
            one,
            "tell the quality of a chord of the piece by ear",
            "Chords by ear",
            "The same chords, to be heard. Listen to the third first, then to the seventh.",
        )


def _known(chords: list[Chord], options: LessonOptions) -> list[str]:
    """Symbols of the chords about which the families ask; triads and plain sevenths alone in a first course."""
    found = []
    for chord in chords:
        if options.level == "first" and len(chord.tones) > 4:
            continue
        if any(exercise("try", "chord-by-sight", {"items": [chord.symbol]}, 1)):
            found.append(chord.symbol)
    return found


def scale_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on scales over its chords."""
    if options.level == "first":
        return
    taught: list[str] = []
    for span in sure_chords(analysis):
        symbol = _upper(span.chord)
        if symbol in taught or len(taught) == _MOST:
            continue
        if any(exercise("try", "scale-over-chord", {"chords": [symbol]}, 1)):
            taught.append(symbol)
    if len(taught) < _FEWEST:
        return
    steps = ["scales", "avoid"] if options.level == "middle" else ["scales", "avoid", "why"]
    for one in exercise("choose-scales", "scale-over-chord", {"chords": taught, "ask": steps}, min(4, len(taught))):
        yield Proposal(
            "scales",
            one,
            "choose scales that fit a chord of the piece",
            "Scales over the chords",
            "Which scale would you play over these chords, if the piece were yours to improvise on?",
        )
