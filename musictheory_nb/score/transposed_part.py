"""`transposed`: a part of a score written for an instrument of another key.

Conventions: what sounds stays the same; the part is written an interval away, letter by letter, its chord symbols and
key signatures with it. Where the part's key would have more than six sharps or flats, its whole key is written
enharmonically from there on (concert B major is D flat major for a B flat instrument); ``diatonic`` of the transposition
says so, and reading gives the same sounding notes, spelling and all.
"""

from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType
from typing import Final, TypeVar

import numpy as np

from musictheory_nb.errors import MusicTheoryError, ScoreError
from musictheory_nb.score.musicxml_chord import move_chord_text
from musictheory_nb.score.note_table import COLUMNS, NoteTable, counted_events
from musictheory_nb.score.part import Part
from musictheory_nb.score.road_words import road_kind
from musictheory_nb.score.score import Score
from musictheory_nb.score.score_mark import ChordSymbol, Clef, KeySignature, Transposition
from musictheory_nb.score.sounding_pitch import move_pitches
from musictheory_nb.theory.interval import Interval

#: From written to sounding pitch, by the key that players name their instrument by. An instrument that sounds another
#: octave lower (a tenor saxophone) or higher is named by its interval.
# Common practice: clarinet and trumpet in B flat, alto saxophone in E flat, horn in F, clarinet in A, flute in C.
KEYS: Final = MappingProxyType({"Bb": "-M2", "Eb": "-M6", "F": "-P5", "A": "-m3", "C": "P1"})
#: Most sharps or flats of a part.
_LARGEST: Final = 6
_AT: Final = {name: at for at, name in enumerate(COLUMNS)}
_Own = TypeVar("_Own", ChordSymbol, KeySignature, Transposition, Clef)


def transposed(
    score: Score, part: str | int, instrument: str, *, only: bool = True, name: str = "", clef: str = ""
) -> Score:
    r"""Return the score with a part written for an instrument.

    Parameters
    ----------
    score : Score
        What sounds in it stays as it is.
    part : str or int
        Name or index of the part.
    instrument : str
        Key of the instrument (``'Bb'``, ``'Eb'``, ``'F'``, ``'A'``, ``'C'``), or the interval from written to sounding
        pitch: ``'-M9'`` for a tenor saxophone, ``'-P8'`` for a double bass or guitar, ``'P8'`` for a piccolo.
    only : bool
        Return that part alone, with chord symbols even if they stand in another part, and with the words of the road.
    name, clef : str
        What the part is called from now on, and the clef in which it is written throughout if it has one staff.

    Raises
    ------
    ScoreError
        No such part, or neither key nor interval.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:4/4\nL:1/4\nK:Bb\n\"Bb\"B d f b|\n", cache=False)
    >>> clarinet = transposed(tune, 0, "Bb")
    >>> [note.written.name for note in clarinet.notes], clarinet.chord_symbols[0].written, clarinet.key_signatures[0].written
    (['C5', 'E5', 'G5', 'C6'], 'C', 0)
    >>> transposed(tune, 0, "H")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: instrument 'H': write its key, one of Bb, Eb, F, A, C, or the interval from ...
    """
    index = score.part_index(part)
    chromatic, diatonic = _interval(instrument)
    keys, moves = _signatures(score, index, chromatic, diatonic)
    named = replace(score.parts[index], chromatic=moves[0].chromatic, diatonic=moves[0].diatonic)
    if name:
        named = replace(named, name=name, short="")
    elif instrument.strip() in KEYS:
        named = replace(named, name=_renamed(named.name, instrument.strip()))
    chords = _chords(score, index, moves, only)
    table = _written(score.events, index, moves)
    others = tuple(mark for mark in score.clefs if mark.part != index)
    clefs = _clefs(score, index, table if chromatic % 12 else score.events)  # an octave is read in the same clef
    if clef and score.parts[index].staves == 1:
        clefs = [Clef(0, Fraction(0), Fraction(0), index, 1, clef)]
    found = replace(
        score,
        parts=tuple(named if one.index == index else one for one in score.parts),
        events=table,
        chord_symbols=chords,
        key_signatures=tuple(sorted((*(k for k in score.key_signatures if k.part != index), *keys), key=_place)),
        transpositions=tuple(sorted((*(t for t in score.transpositions if t.part != index), *moves), key=_start)),
        clefs=tuple(sorted((*others, *clefs), key=_start)),
    )
    return _alone(found, index) if only else found


def _start(mark: Clef | Transposition) -> Fraction:
    return mark.start


def _place(mark: KeySignature) -> tuple[Fraction, int]:
    return mark.start, mark.part


def _interval(instrument: str) -> tuple[int, int]:
    """Return semitones and steps from written to sounding pitch."""
    text = KEYS.get(instrument.strip(), instrument)
    try:
        interval = Interval(text)
    except MusicTheoryError:
        raise ScoreError(
            f"instrument {instrument!r}: write its key, one of {', '.join(KEYS)}, or the interval from written to "
            "sounding pitch, such as '-M9'"
        ) from None
    return interval.semitones, interval.steps


def _renamed(name: str, key: str) -> str:
    shown = key.replace("b", "♭")
    return name if name.endswith(f"in {shown}") else f"{name} in {shown}"


def _signatures(
    score: Score, index: int, chromatic: int, diatonic: int
) -> tuple[list[KeySignature], list[Transposition]]:
    """Return the part's key signatures, and its transposition wherever that is spelled anew."""
    own = [key for key in score.key_signatures if key.part == index]
    if not own or own[0].start > 0:
        own.insert(0, KeySignature(0, Fraction(0), Fraction(0), index, score.measures[0].fifths, 0))
    keys: list[KeySignature] = []
    moves: list[Transposition] = []
    for key in own:
        written = key.fifths - (7 * chromatic - 12 * diatonic)
        steps = diatonic
        while written > _LARGEST:
            written, steps = written - 12, steps - 1
        while written < -_LARGEST:
            written, steps = written + 12, steps + 1
        keys.append(replace(key, written=written))
        if not moves or moves[-1].diatonic != steps:
            moves.append(Transposition(key.measure, key.onset, key.start, index, chromatic, steps))
    return keys, moves


def _written(events: NoteTable, index: int, moves: list[Transposition]) -> NoteTable:
    """Return the table with the part's written pitches moved away from what sounds."""
    columns = events.columns.copy()
    start = columns[_AT["start"]]
    starts = [int(move.start * events.ticks_per_quarter) for move in moves]
    which = np.clip(np.searchsorted(starts, start, side="right") - 1, 0, None)
    chromatic = -np.array([move.chromatic for move in moves], dtype=np.int64)[which]
    diatonic = -np.array([move.diatonic for move in moves], dtype=np.int64)[which]
    step, alter, octave = (columns[_AT[f"sounding_{name}"]] for name in ("step", "alter", "octave"))
    written = move_pitches(step, alter, octave, chromatic, diatonic)
    own = columns[_AT["part"]] == index
    for name, column in zip(("step", "alter", "octave"), written, strict=True):
        columns[_AT[name]] = np.where(own, column, columns[_AT[name]])
    return NoteTable(columns, events.ticks_per_quarter)


def _chords(score: Score, index: int, moves: list[Transposition], only: bool) -> tuple[ChordSymbol, ...]:
    """Return the chord symbols with those of the part as its player reads them."""
    parts = {chord.part for chord in score.chord_symbols}
    source = index if index in parts or not only else min(parts, default=index)
    found = []
    for chord in score.chord_symbols:
        if chord.part == source and (only or source == index):
            move = [one for one in moves if one.start <= chord.start][-1:] or moves[:1]
            text = move_chord_text(chord.text, -move[0].chromatic, -move[0].diatonic)
            found.append(replace(chord, written=text, part=index))
        elif not only:
            found.append(chord)
    return tuple(found)


def _clefs(score: Score, index: int, table: NoteTable) -> list[Clef]:
    """Return the part's clefs; one that would need many ledger lines for the written notes is replaced throughout."""
    own = [clef for clef in score.clefs if clef.part == index]
    rows = table.where((table.column("part") == index) & (table.column("step") >= 0))
    if not own or score.parts[index].staves > 1 or not len(rows):
        return own
    middle = int(np.median(rows.written_chromatic))
    before = score.events.where((score.events.column("part") == index) & (score.events.column("step") >= 0))
    moved = middle - int(np.median(before.written_chromatic))
    names = {clef.name for clef in own}
    if moved >= 7 and names == {"bass"} and middle >= 60:
        return [replace(own[0], name="treble")]
    if moved <= -7 and names == {"treble"} and middle < 57:
        return [replace(own[0], name="bass")]
    return own


def _alone(score: Score, index: int) -> Score:
    """Return one part as a score of its own."""

    def own(marks: tuple[_Own, ...]) -> tuple[_Own, ...]:
        return tuple(replace(mark, part=0) for mark in marks if mark.part == index)

    columns = score.events.columns[:, score.events.column("part") == index].copy()
    columns[_AT["part"]] = 0
    columns[_AT["event"]] = counted_events(columns)
    tempo_words = {(tempo.start, tempo.text) for tempo in score.tempos}
    words = [
        replace(word, part=0)
        for word in score.words
        if word.part == index or road_kind(word.text) or (word.start, word.text) in tempo_words
    ]
    part: Part = replace(score.parts[index], index=0)
    return replace(
        score,
        parts=(part,),
        events=NoteTable(np.ascontiguousarray(columns), score.events.ticks_per_quarter),
        chord_symbols=own(score.chord_symbols),
        key_signatures=own(score.key_signatures),
        transpositions=own(score.transpositions),
        clefs=own(score.clefs),
        words=tuple(dict.fromkeys(words)),
    )
