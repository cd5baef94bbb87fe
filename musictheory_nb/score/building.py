"""From a reader's `Draft` to a `Score`: lengths, numbers, sounding pitches, endings, marks at their beat."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Final, TypeVar

import numpy as np

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.draft import Draft, DraftMeasure
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.measure_count import CountedMeasure, count_measures
from musictheory_nb.score.measure_cut import cut_measures
from musictheory_nb.score.musicxml_chord import move_chord_text
from musictheory_nb.score.note_table import COLUMNS, KINDS, NoteTable, Ticks, counted_events
from musictheory_nb.score.part import Part
from musictheory_nb.score.road import MeasureSigns, place_signs
from musictheory_nb.score.score import Score
from musictheory_nb.score.score_mark import (
    ChordSymbol,
    Clef,
    KeySignature,
    RehearsalMark,
    TempoMark,
    Transposition,
    Words,
)
from musictheory_nb.score.sounding_pitch import move_pitches
from musictheory_nb.score.stray_letter import without_stray_letters

#: Most measures of a score.
MAX_MEASURES: Final = 50_000
_REST: Final = KINDS.index("rest")


def build_score(draft: Draft, source: str = "", content_digest: str = "") -> Score:
    """Return the score that a draft describes.

    Raises
    ------
    ScoreError
        It has no measures, or neither a note nor a rest nor a chord symbol.
    """
    draft = cut_measures(draft)
    if not draft.measures or not (draft.notes or draft.chords):
        raise ScoreError("this score is empty: it has no notes, rests or chord symbols")
    if len(draft.measures) > MAX_MEASURES:
        raise ScoreError(f"this score has {len(draft.measures)} measures; at most {MAX_MEASURES} are read")
    counted = count_measures(draft.measures, draft.ticks_per_quarter)
    starts = [0]
    for measure in counted:
        starts.append(starts[-1] + measure.length)
    place = _Place(draft.ticks_per_quarter, counted, starts)
    _spread_chords(draft, counted)
    events = _events(draft, place)
    keys = _keys(draft, place)
    parts = _parts(draft, events)
    measures = _measures(draft, place, keys, parts)
    chords = sorted(
        dict.fromkeys(
            ChordSymbol(
                *place.at(*place.begins(chord.measure, chord.onset)),
                place.beat(*place.begins(chord.measure, chord.onset)),
                move_chord_text(chord.text, chord.chromatic, chord.diatonic),
                chord.text,
                chord.kind,
                chord.part,
            )
            for chord in draft.chords
        ),
        key=lambda chord: (chord.start, chord.part),
    )
    score = Score(
        title=draft.title[:300],
        composer=draft.composer[:300],
        source=source,
        digest=content_digest,
        parts=parts,
        measures=measures,
        events=events,
        chord_symbols=tuple(chords),
        rehearsal_marks=tuple(
            _once(
                RehearsalMark(*place.at(*place.begins(mark.measure, mark.onset)), mark.text)
                for mark in draft.rehearsals
            )
        ),
        tempos=tuple(
            _once(
                TempoMark(
                    *place.at(*place.begins(tempo.measure, tempo.onset)),
                    Fraction(tempo.numerator, tempo.denominator),
                    tempo.text,
                )
                for tempo in draft.tempos
            )
        ),
        key_signatures=keys,
        clefs=tuple(
            _once(Clef(*place.at(*place.begins(c.measure, c.onset)), c.part, c.staff, c.name) for c in draft.clefs)
        ),
        transpositions=tuple(
            _once(
                Transposition(*place.at(*place.begins(t.measure, t.onset)), t.part, t.chromatic, t.diatonic)
                for t in draft.transpositions
            )
        ),
        words=tuple(
            _once(
                Words(*place.at(text.measure, min(text.onset, counted[text.measure].length)), text.text, text.part)
                for text in draft.words
            )
        ),
        notices=tuple(draft.notices) + _empty_parts(draft, events),
        section_order=tuple(draft.sections),
    )
    return without_stray_letters(score)


class _Place:
    """Turns measure and ticks into measure, onset and start in quarters."""

    def __init__(self, ticks_per_quarter: int, counted: list[CountedMeasure], starts: list[int]) -> None:
        self.unit = ticks_per_quarter
        self.counted = counted
        self.starts = starts

    def at(self, measure: int, onset: int) -> tuple[int, Fraction, Fraction]:
        return measure, self.quarters(onset), self.quarters(self.starts[measure] + onset)

    def begins(self, measure: int, onset: int) -> tuple[int, int]:
        """Return the place of something that begins there: what stands at the end of a measure begins the next.

        Nothing stands behind the end of the last measure.
        """
        while onset >= self.counted[measure].length and measure + 1 < len(self.counted):
            onset -= self.counted[measure].length
            measure += 1
        return measure, min(onset, self.counted[measure].length)

    def quarters(self, ticks: int) -> Fraction:
        return Fraction(ticks, self.unit)

    def pulse(self, measure: int) -> int:
        kinds = [
            int(figures.rpartition("/")[2]) for figures in self.counted[measure].metre.split("+") if "/" in figures
        ]
        return max(4 * self.unit // max(kinds, default=4), 1)

    def beat(self, measure: int, onset: int) -> Fraction:
        return 1 + Fraction(self.counted[measure].offset + onset, self.pulse(measure))


_Mark = TypeVar("_Mark", RehearsalMark, TempoMark, Clef, Transposition, Words)


def _once(marks: Iterable[_Mark]) -> list[_Mark]:
    """Return the marks by start and part, each once: parts repeat what stands above all of them."""
    return sorted(dict.fromkeys(marks), key=lambda mark: (mark.start, getattr(mark, "part", 0)))


def _events(draft: Draft, place: _Place) -> NoteTable:
    count = len(draft.notes)
    raw: Ticks = np.array(draft.notes, dtype=np.int64).reshape(count, 18).T
    (kind, part, staff, voice, measure, onset, duration, step, alter, octave, cents, tie, grace, fermata, event) = raw[
        :15
    ]
    chromatic, diatonic, whole = raw[15:]
    lengths = np.array([measure.length for measure in place.counted], dtype=np.int64)
    offsets = np.array([measure.offset for measure in place.counted], dtype=np.int64)
    pulses = np.array([place.pulse(index) for index in range(len(place.counted))], dtype=np.int64)
    starts = np.array(place.starts[:-1], dtype=np.int64)
    room = lengths[measure]
    rest = kind == _REST
    onset = np.where(whole == 1, 0, np.where(rest, np.minimum(onset, room), onset))
    duration = np.where(whole == 1, room, np.where(rest, np.minimum(duration, room - onset), duration))
    kept = ~rest | (duration > 0)
    held = np.zeros(int(event.max(initial=0)) + 1, dtype=np.int64)
    np.maximum.at(held, event, fermata)  # a fermata above a chord holds all its notes
    fermata = held[event]
    sounding = move_pitches(step, alter, octave, chromatic, diatonic)
    start = starts[measure] + onset
    table = np.stack(
        [
            kind,
            part,
            staff,
            voice,
            measure,
            onset,
            duration,
            start,
            offsets[measure] + onset,
            pulses[measure],
            step,
            alter,
            octave,
            *sounding,
            cents,
            tie,
            grace,
            fermata,
            event,
        ]
    )
    assert table.shape[0] == len(COLUMNS)
    chromatic_order = octave * 7 + step
    table = table[:, kept]
    order = np.lexsort(tuple(column[kept] for column in (chromatic_order, event, voice, staff, part, start, measure)))
    table = np.ascontiguousarray(table[:, order])
    table[COLUMNS.index("event")] = counted_events(table)
    return NoteTable(table, draft.ticks_per_quarter)


def _parts(draft: Draft, events: NoteTable) -> tuple[Part, ...]:
    parts = []
    kinds, of_part = events.column("kind"), events.column("part")
    for index, part in enumerate(draft.parts):
        own = kinds[of_part == index]
        pitched = int((own == KINDS.index("note")).sum())
        unpitched = int((own == KINDS.index("unpitched")).sum())
        first = next((t for t in sorted(draft.transpositions) if t.part == index), None)
        moved = (first.chromatic, first.diatonic) if first and (first.measure, first.onset) == (0, 0) else (0, 0)
        parts.append(
            Part(
                index,
                part.name[:200],
                part.short[:60],
                part.staves,
                *moved,
                part.sound[:80],
                part.program,
                is_unpitched=unpitched > 0 and pitched == 0,
                is_empty=pitched + unpitched == 0,
            )
        )
    return tuple(parts)


def _empty_parts(draft: Draft, events: NoteTable) -> tuple[str, ...]:
    used = set(events.of_kind("note", "unpitched").column("part").tolist())
    return tuple(f"part {part.name!r} is empty" for index, part in enumerate(draft.parts) if index not in used)


def _keys(draft: Draft, place: _Place) -> tuple[KeySignature, ...]:
    found = []
    for key in draft.keys:
        # A transposition by n steps of the circle of fifths moves the signature by as many sharps.
        moved = (7 * key.chromatic - 12 * key.diatonic) if key.chromatic or key.diatonic else 0
        measure, onset = place.begins(key.measure, key.onset)
        where = place.at(measure, onset)
        found.append(KeySignature(*where, key.part, _nearest(key.fifths + moved), key.fifths, key.mode))
    # Of two at one place the one that names the mode counts, else the later one.
    last = {(key.start, key.part): key for key in sorted(found, key=lambda key: bool(key.mode))}
    return tuple(sorted(last.values(), key=lambda key: (key.start, key.part)))


def _fifths_by_measure(
    keys: tuple[KeySignature, ...], parts: tuple[Part, ...], measures: list[CountedMeasure]
) -> list[int]:
    """Return the sounding key signature at the start of each measure: that of most parts, of the upper ones in a tie.

    Parts without pitches do not count; old scores write horns and drums without a key signature.
    """
    pitched = {part.index for part in parts if not part.is_unpitched and not part.is_empty}
    counting = [key for key in keys if key.part in pitched] or list(keys)
    now: dict[int, int] = {}
    found = []
    at = 0
    for index in range(len(measures)):
        while at < len(counting) and (
            counting[at].measure < index or (counting[at].measure == index and counting[at].onset == 0)
        ):
            now[counting[at].part] = counting[at].fifths
            at += 1
        votes = [now[part] for part in sorted(now)]
        found.append(max(votes, key=lambda fifths: (votes.count(fifths), -votes.index(fifths))) if votes else 0)
    return found


def _spread_chords(draft: Draft, counted: list[CountedMeasure]) -> None:
    """Share a bar that holds chord symbols and nothing else evenly among them, if the file gives them no places."""
    empty = [at for at, measure in enumerate(draft.measures) if measure.filled == 0]
    for at in empty:
        for part in {chord.part for chord in draft.chords if chord.measure == at}:
            own = [i for i, chord in enumerate(draft.chords) if (chord.measure, chord.part) == (at, part)]
            if len(own) > 1 and all(draft.chords[i].onset == 0 for i in own):
                for place, i in enumerate(own):
                    onset = counted[at].length * place // len(own)
                    draft.chords[i] = draft.chords[i]._replace(onset=onset)
                draft.notices.append(
                    f"measure {counted[at].number}: its chord symbols have no places; they share the bar evenly"
                )


def _nearest(fifths: int) -> int:
    """Return the enharmonic key signature with at most seven signs."""
    return fifths - 12 if fifths > 7 else fifths + 12 if fifths < -7 else fifths


def _endings(measures: list[DraftMeasure]) -> list[tuple[int, ...]]:
    """Return for each measure the passes of the bracket above it; brackets lacking a start or stop are completed."""
    found: list[tuple[int, ...]] = [() for _ in measures]
    at = 0
    while at < len(measures):
        numbers = measures[at].ending_start
        if not numbers:
            at += 1
            continue
        last = at
        while not (measures[last].ending_stop or measures[last].repeat_end):
            if last + 1 >= len(measures) or measures[last + 1].ending_start or measures[last + 1].repeat_start:
                break
            if last - at >= 63:  # a bracket with no end: it stands above its first measure
                last = at
                break
            last += 1
        if numbers == (0,):
            previous = found[at - 1] if at else ()
            numbers = (max(previous) + 1,) if previous else (1,)
        for index in range(at, last + 1):
            found[index] = numbers
        at = last + 1
    for index, measure in enumerate(measures[:-1]):
        # A second ending whose first one lost its start: the first is the one bar that the repeat sign closes.
        following = found[index + 1]
        if measure.repeat_end and measure.ending_stop and not found[index] and following and min(following) == 2:
            found[index] = (1,)
    return found


def _measures(
    draft: Draft, place: _Place, keys: tuple[KeySignature, ...], parts: tuple[Part, ...]
) -> tuple[Measure, ...]:
    signs: list[MeasureSigns] = place_signs(draft, [measure.length for measure in place.counted])
    endings = _endings(draft.measures)
    fifths = _fifths_by_measure(keys, parts, place.counted)
    found = []
    for index, (counted, measure, sign) in enumerate(zip(place.counted, draft.measures, signs, strict=True)):
        found.append(
            Measure(
                index,
                counted.number,
                measure.printed,
                place.quarters(place.starts[index]),
                place.quarters(counted.length),
                counted.metre,
                place.quarters(counted.full),
                place.quarters(counted.offset),
                fifths[index],
                counted.is_pickup,
                counted.continues,
                measure.repeat_start,
                measure.repeat_end,
                measure.times or 2,
                endings[index],
                "regular" if measure.repeat_end else measure.barline,  # a repeat sign is its own barline
                sign.segno,
                sign.coda,
                sign.to_coda,
                sign.fine,
                sign.jump,
                sign.jump_sign,
                sign.jump_until,
                sign.jump_repeats,
                measure.after_jump,
                index,
            )
        )
    return tuple(found)
