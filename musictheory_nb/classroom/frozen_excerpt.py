"""Measures of a score frozen into a lesson: from the note table to an `Excerpt`, and to the notebook cell that holds it.

Conventions: pitches are written as the player reads them, with the part's transposition beside them; key signature
and chord symbols are those that sound. A part of several staves becomes several parts of one group.
"""

import json
from collections.abc import Sequence
from fractions import Fraction
from statistics import median
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import LessonError, ScoreError
from musictheory_nb.practice.excerpt import (
    CLEFS,
    TIES,
    Excerpt,
    ExcerptChord,
    ExcerptMeasure,
    ExcerptNote,
    ExcerptPart,
)
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.note_table import Note, NoteTable
from musictheory_nb.score.part import Part
from musictheory_nb.score.score import Score
from musictheory_nb.score.sounding_pitch import written_for
from musictheory_nb.score.tie import without_loose_ties
from musictheory_nb.theory.pitch import Pitch

#: Clefs of real scores that a lesson writes with another one.
_OTHER_CLEFS: Final = MappingProxyType(
    {
        "French violin": "treble",
        "treble+8": "treble",
        "treble+15": "treble",
        "treble-15": "bass",
        "soprano": "treble",
        "mezzo-soprano": "alto",
        "baritone": "bass",
        "subbass": "bass",
        "bass-8": "bass",
        "bass+8": "tenor",
    }
)
#: How instruments sound, by words in their names; the first row that fits counts.
_TIMBRE_WORDS: Final = (
    (
        "held",
        (
            "voice vocal sopran alto tenor bariton bass choir choral violin viola cello contrabass strings flute flöte "
            "oboe clarinet klarinette fagott bassoon horn trumpet trombone tuba sax recorder organ accordion bagpipe "
            "pipe fiddle harmonica piccolo cornet euphonium wind reed brass voce canto discant cantus viol"
        ),
    ),
    ("plucked", "guitar harp lute banjo mandolin ukulele harpsichord cembalo pluck bass-guitar zither koto sitar"),
    ("struck", "piano klavier celesta vibraphone marimba xylophone glockenspiel bell keyboard"),
)
#: Quarters a minute that sound and notation take; outside them a file's tempo is a slip.
_TEMPO_RANGE: Final = (Fraction(10), Fraction(600))


def freeze(
    score: Score,
    first: str | int | None = None,
    last: str | int | None = None,
    parts: Sequence[str | int] | None = None,
) -> Excerpt:
    """Return measures of a score as plain data.

    Parameters
    ----------
    score : Score
        What `load_score` returns.
    first, last : str or int, optional
        Numbers as players count them, both included; where a number stands twice (a split bar), from the first and to
        the last of them. By default the beginning and the end.
    parts : sequence of str or int, optional
        Names or indices of parts; by default all that have pitches.

    Raises
    ------
    ScoreError
        A measure or part that the score does not have; parts without pitches (an excerpt has no percussion).

    Notes
    -----
    Cue notes and unpitched notes are left out. Where a staff is silent and the score writes no rest,
    a rest is added. Ties that lead out of
    the excerpt are cut. One clef is kept for each staff, that under which most of its notes stand.
    """
    return freeze_measures(score, *_span(score, first, last), parts)


def freeze_measures(score: Score, begin: int, end: int, parts: Sequence[str | int] | None = None) -> Excerpt:
    """Return the measures from index `begin` to index `end`, both included, as `freeze` does.

    Raises
    ------
    ScoreError
        A part that the score does not have, or parts without pitches.
    """
    chosen = [score.part_index(part) for part in parts] if parts is not None else None
    if chosen is None:
        chosen = [part.index for part in score.parts if not part.is_unpitched]
    elif silent := [score.parts[index].name for index in chosen if score.parts[index].is_unpitched]:
        raise ScoreError(f"part {silent[0]!r} has only unpitched notes, which an excerpt cannot hold")
    if not chosen:
        raise ScoreError("this score has no part with pitches to freeze")
    chosen = list(dict.fromkeys(chosen))
    columns = staff_columns(score, chosen)
    measures = score.measures[begin : end + 1]
    table = without_loose_ties(score.notes_of(begin, end, chosen, score.events.of_kind("note", "rest")))
    moves = {part: _transposition(score, part, measures[0].start) for part in chosen}
    table = written_for(table, moves)
    notes = _notes(table, columns, begin)
    notes += _silences(notes, len(columns), measures)
    notes.sort(key=lambda note: (note.measure, note.part, note.voice, note.onset))
    return Excerpt(
        parts=tuple(
            _part(score, score.parts[part], staff, moves[part], chosen.index(part) + 1, table)
            for part, staff in columns
        ),
        measures=tuple(_measure(score, measure) for measure in measures),
        notes=tuple(notes),
        chords=_chords(score, chosen, begin, end),
        title=score.title,
        composer=score.composer,
        source=score.source,
        tempo=_tempo(score, measures[0].start, measures[-1].end),
    )


def staff_columns(score: Score, parts: Sequence[int]) -> dict[tuple[int, int], int]:
    """Return the index of the excerpt's part that each staff of the parts (indices) becomes."""
    staves = [(part, staff) for part in parts for staff in range(1, score.parts[part].staves + 1)]
    return {key: at for at, key in enumerate(staves)}


def _span(score: Score, first: str | int | None, last: str | int | None) -> tuple[int, int]:
    begin = 0 if first is None else score.measure_index(first)
    if last is None:
        return begin, len(score.measures) - 1
    end = score.measure_index(last)
    for measure in score.measures[begin:]:
        if measure.number == str(last):
            end = measure.index
    if end < begin:
        raise ScoreError(f"measures {first} to {last}: the last one comes before the first")
    return begin, end


def _transposition(score: Score, part: int, start: Fraction) -> tuple[int, int]:
    moved = (0, 0)
    for change in score.transpositions:
        if change.part == part and change.start <= start:
            moved = (change.chromatic, change.diatonic)
    return moved


def _notes(table: NoteTable, columns: dict[tuple[int, int], int], begin: int) -> list[ExcerptNote]:
    """Return notes and rests; notes of one chord that are tied alike are one row."""
    voices: dict[tuple[int, int], dict[int, int]] = {}
    for note in sorted(table, key=lambda note: note.voice):
        own = voices.setdefault((note.part, note.staff), {})
        own.setdefault(note.voice, len(own) + 1)
    chords: dict[tuple[int, ...], list[Pitch]] = {}
    heads: dict[tuple[int, ...], Note] = {}
    for note in table:
        tie = TIES.index(note.tie)
        key = (note.event, tie, note.staff, note.duration.numerator, note.duration.denominator, int(note.is_rest))
        chords.setdefault(key, [])
        heads.setdefault(key, note)
        if note.written is not None:
            chords[key].append(note.written)
    return [
        ExcerptNote(
            columns[head.part, head.staff],
            head.measure - begin,
            head.onset,
            head.duration,
            tuple(
                pitch.name for pitch in sorted(set(chords[key]), key=lambda pitch: (pitch.chromatic, pitch.diatonic))
            ),
            voices[head.part, head.staff][head.voice],
            head.tie,
        )
        for key, head in heads.items()
    ]


def _silences(notes: list[ExcerptNote], count: int, measures: Sequence[Measure]) -> list[ExcerptNote]:
    """Return rests for every stretch in which no voice of a part has a note or rest."""
    filled: dict[tuple[int, int], list[tuple[Fraction, Fraction]]] = {}
    for note in notes:
        if note.duration:
            filled.setdefault((note.part, note.measure), []).append((note.onset, note.onset + note.duration))
    rests = []
    for at, measure in enumerate(measures):
        for part in range(count):
            reached = Fraction(0)
            for onset, end in [*sorted(filled.get((part, at), [])), (measure.length, measure.length)]:
                if onset > reached:
                    rests.append(ExcerptNote(part, at, reached, onset - reached))
                reached = max(reached, end)
    return rests


def _part(score: Score, part: Part, staff: int, moves: tuple[int, int], group: int, table: NoteTable) -> ExcerptPart:
    mask = (table.column("part") == part.index) & (table.column("staff") == staff) & (table.column("step") >= 0)
    own = table.where(mask)
    return ExcerptPart(
        part.name,
        _clef(score, part.index, staff, own),
        part.short,
        group if part.staves > 1 else 0,
        moves[0],
        moves[1],
        timbre_of(part),
    )


def _clef(score: Score, part: int, staff: int, own: NoteTable) -> str:
    """Return the clef under which most notes of the staff stand; without one, that which their height asks for."""
    changes = [clef for clef in score.clefs if clef.part == part and clef.staff == staff]
    counts: dict[str, int] = {}
    unit = score.events.ticks_per_quarter
    starts = own.column("start")
    for at, clef in enumerate(changes):
        until = changes[at + 1].start * unit if at + 1 < len(changes) else None
        under = starts >= int(clef.start * unit)
        if until is not None:
            under &= starts < int(until)
        name = _OTHER_CLEFS.get(clef.name, clef.name)
        counts[name] = counts.get(name, 0) + int(under.sum())
    best = max(counts, key=lambda name: counts[name], default="none")
    if best in CLEFS and (counts[best] or not len(own)):
        return best
    return "treble" if not len(own) or median(own.written_chromatic.tolist()) >= 60 else "bass"


def timbre_of(part: Part) -> str:
    """Return how a part sounds, from its name, sound and General MIDI program: one of the timbres of `ExcerptPart`."""
    text = f"{part.sound} {part.name}".casefold()
    if "string" in text and ("pluck" in text or "guitar" in text):
        return "plucked"
    if part.sound.startswith("keyboard.harpsichord") or "harpsichord" in text or "cembalo" in text:
        return "plucked"
    for timbre, words in _TIMBRE_WORDS[1:] + _TIMBRE_WORDS[:1]:
        if any(word in text for word in words.split()):
            return timbre
    if part.program:
        number = part.program - 1
        if number in range(24, 38) or number in (6, 7, 45, 46) or number in range(104, 108):
            return "plucked"
        return "struck" if number < 16 or number in (47, 108) else "held"
    return "struck"


def _measure(score: Score, measure: Measure) -> ExcerptMeasure:
    marks = [mark.text for mark in score.rehearsal_marks if mark.measure == measure.index]
    return ExcerptMeasure(
        measure.number,
        measure.length,
        _metre(measure),
        measure.fifths,
        " ".join(marks),
        measure.repeat_start,
        measure.repeat_end,
        measure.barline in ("double", "final"),
        ", ".join(map(str, measure.ending)),
    )


def _metre(measure: Measure) -> str:
    """Return the metre as one upper and one lower figure: 3+2/8 is 5/8."""
    kinds = [int(part.rpartition("/")[2]) for part in measure.metre.split("+") if "/" in part]
    for kind in (max(kinds, default=4), 4, 8, 16, 32):
        beats = measure.full_length * kind / 4
        if kind in (1, 2, 4, 8, 16, 32) and beats.denominator == 1 and 1 <= beats <= 99:
            return f"{beats}/{kind}"
    return "4/4"


def _chords(score: Score, parts: Sequence[int], begin: int, end: int) -> tuple[ExcerptChord, ...]:
    """Return the chord symbols, each once at its beat; those of other parts count if the chosen parts have none."""
    within = [chord for chord in score.chord_symbols if begin <= chord.measure <= end]
    own = [chord for chord in within if chord.part in parts] or within
    rows = {(chord.measure - begin, chord.onset): chord.text for chord in reversed(own)}
    return tuple(ExcerptChord(measure, onset, text) for (measure, onset), text in sorted(rows.items()))


def _tempo(score: Score, start: Fraction, end: Fraction) -> Fraction:
    within = [mark for mark in score.tempos if _TEMPO_RANGE[0] <= mark.quarters_per_minute <= _TEMPO_RANGE[1]]
    before = [mark for mark in within if mark.start <= start]
    after = [mark for mark in within if start < mark.start < end]
    chosen = before[-1:] or after[:1]
    return chosen[0].quarters_per_minute if chosen else Fraction(96)


def excerpt_cell(name: str, excerpt: Excerpt) -> str:
    """Return the source of the notebook cell that gives an excerpt to the lesson under a name.

    Raises
    ------
    LessonError
        The name is empty or longer than 60 characters, or has characters other than letters, digits, blanks and
        hyphens.

    Examples
    --------
    >>> print(excerpt_cell("two", Excerpt.melody(["B3", "F4"])).partition(", digest=")[0])
    lesson.excerpt("two", '''{"title":"","composer":"","source":"","tempo":96,
    "parts":[["","treble","",0,0,0,"struck"]],
    "measures":[["1",2,"2/4",0,"",0,0,0,""]],
    "notes":[
    [0,0,0,1,"B3",1,""],[0,0,1,1,"F4",1,""]],
    "chords":[]}'''
    """
    if not 1 <= len(name) <= 60 or not all(letter.isalnum() or letter in " -_" for letter in name):
        raise LessonError(f"excerpt name {name!r}: write up to 60 letters, digits, blanks and hyphens")
    text = _compact(excerpt).replace("\\", "\\\\").replace("'", "\\'")
    return f"lesson.excerpt({json.dumps(name, ensure_ascii=False)}, '''{text}''', digest={json.dumps(excerpt.digest)})"


def _compact(excerpt: Excerpt) -> str:
    """Return the excerpt as JSON in short lines: one for each measure of notes."""

    def dump(value: object) -> str:
        return json.dumps(value, ensure_ascii=False, separators=(",", ":"))

    data = excerpt.to_data()
    previous = None
    groups: list[list[str]] = []
    for row in data["notes"]:
        if row[1] != previous:
            groups.append([])
            previous = row[1]
        groups[-1].append(dump(row))
    head = ",".join(f'"{key}":{dump(data[key])}' for key in ("title", "composer", "source", "tempo"))
    notes = ",\n".join(",".join(group) for group in groups)
    measures = ",\n".join(dump(row) for row in data["measures"])
    return (
        f'{{{head},\n"parts":{dump(data["parts"])},\n"measures":[{measures}],\n'
        f'"notes":[\n{notes}],\n"chords":{dump(data["chords"])}}}'
    )
