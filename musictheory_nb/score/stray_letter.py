"""Letters that stand in a score as chord symbols but are none (`without_stray_letters`).

A bar number read by a scanning program as ``D`` or ``B``, a syllable ``E`` or ``A``, a rehearsal letter: all are met
entered as chord symbols. They are told from real ones together, by three things at once: all are bare letters, there
are very few of them, and the notes that sound under them are not theirs.
"""

import re
from dataclasses import replace
from fractions import Fraction
from typing import Final

import numpy as np

from musictheory_nb.errors import TheoryError
from musictheory_nb.score.score import Score
from musictheory_nb.score.score_mark import ChordSymbol, RehearsalMark, Words
from musictheory_nb.theory.chord import Chord

#: What a stray letter looks like: a note letter, perhaps with a small letter, a figure or the name of a mode behind it.
_LETTER: Final = re.compile(r"[A-G](?:b|#)?(?:m|\d|\s+(?i:minor|major))?")
#: Stray letters are fewer than one in so many measures.
_SPARSE_MEASURES: Final = 8
#: Least share of what sounds that belongs to real chords: in general, and of a row that begins with the piece, as real
#: ones do; over a drone chord other notes are heard as often as its own.
_SHARE: Final = 0.6
_SHARE_FROM_START: Final = 0.4


def without_stray_letters(score: Score) -> Score:
    """Return the score with stray letters as words, or as rehearsal marks if they are ``A``, ``B``, ``C`` ... in turn.

    A notice says so. A score whose chord symbols are real is returned as it is.
    """
    symbols = score.chord_symbols
    places = {symbol.start: symbol for symbol in symbols}
    if not symbols or len(score.measures) < _SPARSE_MEASURES * len(places):
        return score
    if not all(_LETTER.fullmatch(symbol.text) for symbol in symbols):
        return score
    in_turn = _are_rehearsal_letters(list(places.values()))
    from_start = min(symbol.measure for symbol in symbols) == _first_measure(score)
    share = _share_of_tones(score, places)
    if share is None or share >= (_SHARE_FROM_START if from_start and not in_turn else _SHARE):
        return score
    letters = ", ".join(
        f"{symbol.written!r} in measure {score.measures[symbol.measure].number}" for symbol in symbols[:6]
    )
    more = " ..." if len(symbols) > 6 else ""
    what = "rehearsal marks" if in_turn else "words"
    notice = f"stands as a chord symbol, but the notes are not the chord's; taken as {what}: {letters}{more}"
    if in_turn:
        found = [RehearsalMark(one.measure, one.onset, one.start, one.written) for one in places.values()]
        marks = sorted(dict.fromkeys([*score.rehearsal_marks, *found]), key=lambda mark: mark.start)
        return replace(score, chord_symbols=(), rehearsal_marks=tuple(marks), notices=(*score.notices, notice))
    texts = [Words(one.measure, one.onset, one.start, one.written, one.part) for one in symbols]
    words = sorted(dict.fromkeys([*score.words, *texts]), key=lambda text: (text.start, text.part))
    return replace(score, chord_symbols=(), words=tuple(words), notices=(*score.notices, notice))


def _are_rehearsal_letters(symbols: list[ChordSymbol]) -> bool:
    """Whether they are A, B, C ... in turn, each where a bar begins."""
    letters = [symbol.text for symbol in sorted(symbols, key=lambda symbol: symbol.start)]
    in_turn = letters == list("ABCDEFG")[: len(letters)] and len(letters) > 1
    return in_turn and all(symbol.onset == 0 for symbol in symbols)


def _first_measure(score: Score) -> int:
    """Return the first measure that is no pickup."""
    return next((measure.index for measure in score.measures if not measure.is_pickup), 0)


def _share_of_tones(score: Score, places: dict[Fraction, ChordSymbol]) -> float | None:
    """Return the share of the sounding time that is taken by notes of the symbol above; None if nothing sounds there."""
    pitched = score.notes.where(score.notes.column("sounding_step") >= 0)
    unit = pitched.ticks_per_quarter
    first, last = pitched.column("start"), pitched.column("start") + pitched.column("duration")
    classes = pitched.chromatic % 12
    starts = sorted(places)
    bounds = [int(start * unit) for start in [*starts, score.length]]
    own = total = 0
    for at, start in enumerate(starts):
        try:
            tones = list(Chord(places[start].text).pitch_classes)
        except TheoryError:
            tones = []
        sounding = np.clip(np.minimum(last, bounds[at + 1]) - np.maximum(first, bounds[at]), 0, None)
        own += int(sounding[np.isin(classes, tones)].sum())
        total += int(sounding.sum())
    return own / total if total else None
