"""What a piece offers on its chords: those that are written, or surely implied."""

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


def commonest_chords(analysis: Analysis) -> list[Chord]:
    """The chords of the piece without their basses, the commonest first."""
    met = Counter(upper_symbol(span.chord) for span in sure_chords(analysis))
    return [Chord(symbol) for symbol, _ in met.most_common(_MOST)]


def upper_symbol(chord: Chord) -> str:
    """Return the symbol of a chord without its bass."""
    return (
        chord.symbol.partition("/")[0] if chord.symbol.count("/") == 1 and "6/9" not in chord.symbol else chord.symbol
    )


def harmony_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on its chords."""
    chords = commonest_chords(analysis)
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
    for one in exercise("spell-chords", "chord-spelling", {"items": asked}, min(5, len(asked))):
        yield Proposal(
            "harmony",
            one,
            "write or play a chord of the piece from its symbol",
            "Chords to write",
            "From the symbol to the notes: letters first, one line or space after another, then the accidentals.",
        )
    numerals = _numerals(analysis)
    if len(numerals) >= _FEWEST:
        for one in exercise("name-numerals", "numeral-reading", {"items": numerals}, min(5, len(numerals))):
            yield Proposal(
                "harmony",
                one,
                "say which degree of the key a chord of the piece stands on",
                "Chords in their key",
                "The same chords again, each with the key in which it stands in the piece. Which numeral has it?",
            )


def _numerals(analysis: Analysis) -> list[str]:
    """Key and numeral of the sure chords that stand in the key of the piece, where it is sure; the commonest first."""
    if analysis.key is None or analysis.key.confidence < SURE:
        return []
    met: Counter[str] = Counter()
    for span in sure_chords(analysis):
        if span.numeral is not None and span.key == analysis.key.key:
            met[f"{span.key.name}: {span.numeral.figure}"] += 1
    names = [name for name, _ in met.most_common(2 * _MOST)]
    return [name for name in names if any(exercise("try", "numeral-reading", {"items": [name]}, 1))][:_MOST]


def _known(chords: list[Chord], options: LessonOptions) -> list[str]:
    """Symbols of the chords about which the families ask; triads and plain sevenths alone in a first course."""
    found = []
    for chord in chords:
        if options.level == "first" and len(chord.tones) > 4:
            continue
        if any(exercise("try", "chord-by-sight", {"items": [chord.symbol]}, 1)):
            found.append(chord.symbol)
    return found
