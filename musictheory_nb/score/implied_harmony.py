"""The chords that the notes of a piece imply, down to a single line (`implied_harmony`).

Implied chords are found with their changes and with the local keys in two rounds: chords from the notes alone; keys
from these chords; then chords again in view of the keys.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.chord_candidate import chord_tables
from musictheory_nb.score.chord_parting import parted_chords
from musictheory_nb.score.chord_resolution import resolved_chords
from musictheory_nb.score.chord_spelling import spelled_chord
from musictheory_nb.score.compound_line import is_single_line
from musictheory_nb.score.extended_chord import extended_chords
from musictheory_nb.score.first_chords import first_chords
from musictheory_nb.score.harmony_building import certainty, harmony_span, key_names, sounding_rows, usual_numeral
from musictheory_nb.score.harmony_cell import HarmonyCells
from musictheory_nb.score.harmony_segment import Segment, segment_chords
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.key_finding import key_of_cells
from musictheory_nb.score.key_name import note_fifths, spelled_name
from musictheory_nb.score.key_path import Stretch, key_prior, stretch_keys, stretches_of
from musictheory_nb.score.score import Score
from musictheory_nb.theory.chord import Chord

#: Weight of the local key when chords are found in view of it.
PRIOR: Final = 0.47
#: Where few voices sound at once, notes tell less and the local key counts for more: the most, less for each voice. A
#: walking bass spells its chords out.
_THIN_PRIOR: Final = (4.0, 1.2)


class ImpliedChords(NamedTuple):
    """Cells, chords and local keys of a piece, as numbers, and what is written behind the root of extended chords."""

    cells: HarmonyCells
    segments: tuple[Segment, ...]
    keys: tuple[int, ...]
    margins: tuple[float, ...]
    suffixes: tuple[str, ...]


def implied_chords(score: Score) -> ImpliedChords:
    """Find chords and local keys together; `implied_harmony` gives them names.

    Raises
    ------
    ScoreError
        The score has no pitched notes.
    """
    cells, segments, stretches = first_chords(score)
    home = _home(cells, stretches)
    keys, margins = stretch_keys(stretches, home)
    density = float(cells.sounding.sum() / cells.beats.sum())
    thin = 1.3 if cells.change.any() else max(1.0, _THIN_PRIOR[0] - _THIN_PRIOR[1] * density)
    weight = PRIOR * thin
    segments = segment_chords(cells, key_prior(keys, segments, cells, weight))
    segments, suffixes = extended_chords(cells, resolved_chords(cells, parted_chords(cells, segments)))
    keys, margins = stretch_keys(stretches_of(cells, segments), home)
    return ImpliedChords(cells, segments, keys, margins, suffixes)


def _home(cells: HarmonyCells, stretches: tuple[Stretch, ...]) -> int | None:
    """Number of the key of the piece; None where none can be told."""
    try:
        key = key_of_cells(cells, "profiles and cadences", "major and minor", stretches).key
    except ScoreError:
        return None
    return key.tonic.pitch_class + (12 if key.is_minor else 0)


def implied_harmony(score: Score) -> tuple[HarmonySpan, ...]:
    r"""Return the chords that the notes imply; chord symbols play no part.

    Raises
    ------
    ScoreError
        The score has no pitched notes.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> line = load_score(b"X:1\nM:3/4\nL:1/8\nK:G\nGBdBGB|cAFADF|GBdBG2|]\n", cache=False)
    >>> [(span.chord.symbol, span.numeral.figure) for span in implied_harmony(line)]
    [('G', 'I'), ('D7', 'V7'), ('G', 'I')]
    """
    found = implied_chords(score)
    cells, segments, tables = found.cells, found.segments, chord_tables()
    rows = [sounding_rows(cells, int(cells.edges[s.first]), int(cells.edges[s.last])) for s in segments]
    fifths = note_fifths(cells.notes)
    names = key_names(cells, segments, found.keys)
    spans = []
    chords = []
    for at, segment in enumerate(segments):
        following = int(tables.roots[segments[at + 1].chord]) if at + 1 < len(segments) else None
        if found.suffixes[at]:
            root = spelled_name(int(tables.roots[segment.chord]), fifths[rows[at]].tolist(), names[at])
            chords.append(Chord(root.name + found.suffixes[at]))
            continue
        bass = sounding_bass(cells, segment, rows[at])
        chords.append(spelled_chord(segment.chord, fifths[rows[at]].tolist(), bass, names[at], following))
    for at, (segment, chord) in enumerate(zip(segments, chords, strict=True)):
        same = at + 1 < len(segments) and names[at + 1] == names[at]
        spans.append(
            harmony_span(
                score,
                cells.quarters(cells.edges[segment.first]),
                cells.quarters(cells.edges[segment.last]),
                chord,
                "implied",
                certainty(segment.margin),
                [(cells.notes[row], cells.roles[row]) for row in rows[at]],
                names[at],
                usual_numeral(chord, names[at], chords[at + 1] if same else None),
            )
        )
    return tuple(spans)


def sounding_bass(cells: HarmonyCells, segment: Segment, rows: Sequence[int]) -> int | None:
    """Pitch class of the bass: the lowest note at the start if it is a chord tone, else the chord tone longest in the bass.

    A line by itself has a bass only where it leaps between registers (an octave or more within the chord): its lowest.
    """
    tones = chord_tables().reward[segment.chord] > 0
    notes = cells.notes.where(np.array(rows, dtype=np.int64))
    starts, chromatic = notes.column("start"), notes.chromatic
    if is_single_line(starts, starts + notes.column("duration")):
        own = chromatic[tones[chromatic % 12]]
        return int(own.min()) % 12 if len(own) and int(chromatic.max() - own.min()) >= 12 else None
    for cell in range(segment.first, segment.last):
        if cells.bass[cell].max() > 0:
            if tones[first := int(cells.bass[cell].argmax())]:
                return first
            break
    total = cells.bass[segment.first : segment.last].sum(axis=0) * tones
    return int(total.argmax()) if total.max() > 0 else None
