"""Pedal points: a note that stays while the chords change, in the bass, inside or on top (`find_pedal_points`).

Conventions (common practice): a pedal point is held, or struck again and again, or alternates with its neighbour or its
octave, in one part, while what the others play changes from one chord to another. It is in the bass unless it is called
inner or upper; where the low parts rest, the lowest one that plays is the bass.

What is looked at is the beat: a part holds a note there if it sounds in at least `_HOLDS` of it. A rest of one beat
does not end a pedal. What the others play counts where it sounds in half of the beat or more (a quarter, where chords
are broken); if one chord fits nearly all of it, the chords have not changed. Within one measure the chords must come back
to the one that they left, and one of them must be foreign to the note. Where chord symbols are written, they say whether the
chords change. An inner or upper note must be foreign to a chord for two beats at least, and last longer in a part that plays
chords: else it is but a tone that the chords share. Where chords change on half beats, a bass that
stays for one such neighbour chord is looked for too (`pedal_neighbour`).
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.score.pedal_beat import BeatLine, Beats, beats_of, chord_masks
from musictheory_nb.score.pedal_chord import WrittenChord, count_written, foreign_beats, written_chords
from musictheory_nb.score.pedal_neighbour import neighbour_pedals
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan, part_names, span
from musictheory_nb.theory.pitch import Pitch

#: Least share of a beat in which a pedal sounds.
_HOLDS: Final = 0.4
#: Least length in beats: of one in the bass, and of one inside or on top.
_LEAST_BEATS: Final = 4
_LEAST_OTHER: Final = 6
#: Least length inside the chords of one part, and least beats in which an inner or upper pedal is foreign to the chord.
_LEAST_IN_CHORDS: Final = 12
_LEAST_FOREIGN: Final = 2
#: A part plays chords if it has two notes in so large a share of the beats.
_PLAYS_CHORDS: Final = 0.8
_STRUCK: Final = 0.25
#: A bass pedal may alternate with a note so many semitones below it.
_NEIGHBOUR: Final = 2
#: Least number of chords that follow each other over it: there and back again.
_LEAST_CHORDS: Final = 3
#: If one chord fits so large a share of the beats, the chords do not change.
_ONE_CHORD: Final = 0.75
#: Confidence of a pedal shorter than a measure.
_BRIEF: Final = 0.5


def find_pedal_points(score: Score) -> list[TextureSpan]:
    """Return the pedal points of a score, in order."""
    beats = beats_of(score)
    written = written_chords(score, beats)
    found: list[TextureSpan] = []
    for line in beats.lines:
        silent = line.share.sum(axis=1) == 0
        on_line: list[tuple[float, TextureSpan]] = []
        for pitch_class in range(12):
            held = line.share[:, pitch_class] >= _HOLDS
            for first, last in _stretches(held, silent):
                finding = _judged(score, beats, written, line, pitch_class, first, last)
                if finding is not None:
                    on_line.append((float(line.opens[first : last + 1, pitch_class].mean()), finding))
        found += _main_notes(on_line)
    found = _without_doubles(found)
    for slot in neighbour_pedals(score):
        name = _name(score, slot.part, slot.pitch_class, (slot.measure, slot.measure))
        if any(one.pitch == name and one.first <= slot.measure <= one.last for one in found):
            continue
        told = f"{part_names(score, [slot.part])} keeps striking {name} while a chord goes to its neighbour and back"
        one = span(score, "pedal point", slot.measure, slot.measure, (slot.part,), told, _BRIEF)
        found.append(replace(one, pitch=name))
    return sorted(found, key=lambda each: (each.first, each.last, each.kind))


def _stretches(held: npt.NDArray[np.bool_], silent: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first and last beat of each stretch that is held; one silent beat in a row may stand within."""
    found: list[tuple[int, int]] = []
    for at in np.nonzero(held)[0].tolist():
        if found and (at - found[-1][1] == 1 or (at - found[-1][1] == 2 and silent[at - 1])):
            found[-1] = (found[-1][0], at)
        else:
            found.append((at, at))
    return found


def _judged(
    score: Score,
    beats: Beats,
    written: Sequence[WrittenChord | None],
    line: BeatLine,
    pitch_class: int,
    first: int,
    last: int,
) -> TextureSpan | None:
    length = last - first + 1
    if length < _LEAST_BEATS:
        return None
    here = slice(first, last + 1)
    sounds = line.share[here, pitch_class] > 0
    low, high = line.lowest[here, pitch_class][sounds], line.highest[here, pitch_class][sounds]
    lowest = float((low <= beats.lowest[here][sounds] + _NEIGHBOUR).mean())
    highest = float((high >= beats.highest[here][sounds] - 0.5).mean())
    kind = "pedal point" if lowest >= 0.7 else "upper pedal point" if highest >= 0.7 else "inner pedal point"
    measures = _measures(beats, first, last)
    brief = measures[0] == measures[1]
    if kind != "pedal point":
        chordal = float(((line.share[here] >= _STRUCK).sum(axis=1) > 1).mean()) >= _PLAYS_CHORDS
        if length < (_LEAST_IN_CHORDS if chordal else _LEAST_OTHER) or brief:
            return None
        if foreign_beats(beats, written, first, last, pitch_class) < _LEAST_FOREIGN:
            return None
    others = [other for other in beats.lines if other is not line and other.share[here].any()]
    own = 1 << pitch_class
    doubled = np.zeros(length, dtype=bool)
    for other in others:
        doubled |= other.share[here, pitch_class] >= _HOLDS
    masks = [
        (beats.heard.mask(at, pitch_class), own * int(too))
        for at, too in zip(range(first, last + 1), doubled.tolist(), strict=True)
    ]
    filled = [mask for mask, _ in masks if mask]
    without = [mask | too for mask, too in masks if mask]
    symbols = count_written(written[first : last + 1])
    count = symbols or _count_chords(filled, pitch_class)
    if count < _LEAST_CHORDS or len(filled) < 0.5 * length:
        return None
    moving = sum(len(other.masks(first, last, pitch_class)) > 1 for other in others)
    if len(others) >= 2 and moving < 2:
        return None
    fits = _fits([mask | own for mask in filled])
    alone = _fits(without)
    if max(fits.sum(axis=0).max(), alone.sum(axis=0).max()) >= _ONE_CHORD * len(filled):
        return None
    share = int((~fits.any(axis=1)).sum()) / len(filled)
    if kind != "pedal point" and share < 0.15:
        return None
    if brief and not (share and _fits([without[0] | without[-1] | own]).any()):
        return None
    name = _name(score, line.part, pitch_class, measures)
    held = _how(score, line.part, pitch_class, measures)
    told = f"{part_names(score, [line.part])} {held} {name} while the chords change ({count} in a row)"
    confidence = min(0.95, 0.45 + 0.02 * length + 0.3 * share + 0.1 * (kind == "pedal point") - 0.2 * brief)
    finding = span(score, kind, measures[0], measures[1], (line.part,), told, confidence)
    return replace(finding, pitch=name)


def _fits(masks: Sequence[int]) -> npt.NDArray[np.bool_]:
    """Return whether each set of pitch classes lies within each chord of `chord_masks`."""
    found: npt.NDArray[np.bool_] = np.array(masks)[:, None] & ~np.array(chord_masks()) == 0
    return found


def _count_chords(masks: Sequence[int], pitch_class: int) -> int:
    """Return how many chords follow each other at least; the pedal note may belong to one or not."""
    count, still = 0, 0
    for mask in masks:
        fitting = _fitting(mask & ~(1 << pitch_class))
        still &= fitting
        if not count or not still:
            count += 1
            still = fitting
    return count


@lru_cache(maxsize=4096)
def _fitting(mask: int) -> int:
    """Return within which of `chord_masks` a set of pitch classes lies, as bits."""
    return sum(1 << at for at, chord in enumerate(chord_masks()) if not mask & ~chord)


def _main_notes(found: Sequence[tuple[float, TextureSpan]]) -> list[TextureSpan]:
    """Return the findings of one line without a note that only alternates with the main one, which opens the beats."""
    kept: list[tuple[float, TextureSpan]] = []
    for opens, one in sorted(found, key=lambda each: -each[0]):
        close = [
            other
            for share, other in kept
            if other.first <= one.first and one.last <= other.last and share - opens >= 0.5 and _steps(other, one) <= 2
        ]
        if not close:
            kept.append((opens, one))
    return [one for _, one in kept]


def _steps(one: TextureSpan, other: TextureSpan) -> int:
    """Return the semitones between two pedal notes, octaves aside."""
    apart = abs(Pitch(f"{one.pitch}4").midi - Pitch(f"{other.pitch}4").midi) % 12
    return min(apart, 12 - apart)


def _measures(beats: Beats, first: int, last: int) -> tuple[int, int]:
    """Return the first and last measure of which the stretch holds at least half."""
    measures, counts = np.unique(beats.measure[first : last + 1], return_counts=True)
    whole = [int((beats.measure == one).sum()) for one in measures]
    kept = [int(one) for one, count, all_ in zip(measures, counts, whole, strict=True) if 2 * count >= all_]
    return (kept[0], kept[-1]) if kept else (int(measures[0]), int(measures[-1]))


def _notes(score: Score, part: int, pitch_class: int, measures: tuple[int, int]) -> NoteTable:
    notes = score.notes_of(measures[0], measures[1], [part], score.joined_notes)
    return notes.where((notes.column("step") >= 0) & (notes.chromatic % 12 == pitch_class))


def _name(score: Score, part: int, pitch_class: int, measures: tuple[int, int]) -> str:
    for note in score.notes_of(measures[0], measures[1], [part]):
        if note.sounding is not None and note.sounding.midi % 12 == pitch_class:
            return note.sounding.name.rstrip("0123456789-")
    return ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")[pitch_class]


def _how(score: Score, part: int, pitch_class: int, measures: tuple[int, int]) -> str:
    notes = _notes(score, part, pitch_class, measures)
    length = score.measures[measures[1]].end - score.measures[measures[0]].start
    return "holds" if 2 * len(notes) <= length else "keeps repeating"


def _without_doubles(found: Sequence[TextureSpan]) -> list[TextureSpan]:
    """Return one finding where several parts keep the same note at the same time: the one in the bass, or the longest."""
    kept: list[TextureSpan] = []
    for one in sorted(found, key=lambda each: (each.kind != "pedal point", each.first - each.last)):
        double = any(other.pitch == one.pitch and other.first <= one.last and one.first <= other.last for other in kept)
        if not double:
            kept.append(one)
    return kept
