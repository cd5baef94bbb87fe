"""What a reader of one file format collects, before it becomes a `Score`.

Every reader fills a `Draft`; `building.build_score` alone decides lengths, numbers, ties and sounding pitches, so that
all formats are treated alike. Times are whole ticks, `Draft.ticks_per_quarter` to a quarter, from the start of the
measure.
"""

from dataclasses import dataclass, field
from typing import NamedTuple


class DraftNote(NamedTuple):
    """One note or rest. `whole` marks a rest that fills its measure, however long that is."""

    kind: int
    part: int
    staff: int
    voice: int
    measure: int
    onset: int
    duration: int
    step: int
    alter: int
    octave: int
    cents: int
    tie: int
    grace: int
    fermata: int
    event: int
    chromatic: int
    diatonic: int
    whole: int


@dataclass(slots=True)
class DraftPart:
    """A part and where its measures reach to."""

    name: str = ""
    short: str = ""
    staves: int = 1
    sound: str = ""
    program: int = 0


@dataclass(slots=True)
class DraftMeasure:
    """What all parts together say of one measure.

    `content` is how far the longest part reaches, in ticks, rests and empty space and all; `filled` how far its notes
    and rests reach; `sounding` how far its notes reach.
    """

    printed: str = ""
    implicit: bool = False
    content: int = 0
    filled: int = 0
    sounding: int = 0
    metre: str = ""
    full: int = 0
    repeat_start: bool = False
    repeat_end: bool = False
    times: int = 0
    after_jump: bool = False
    ending_start: tuple[int, ...] = ()
    ending_stop: bool = False
    barline: str = "regular"


class DraftKey(NamedTuple):
    """Key signature as written in its part, with the part's transposition at that place."""

    measure: int
    onset: int
    part: int
    fifths: int
    mode: str
    chromatic: int
    diatonic: int


class DraftClef(NamedTuple):
    """Clef of one staff."""

    measure: int
    onset: int
    part: int
    staff: int
    name: str


class DraftTransposition(NamedTuple):
    """Transposition of one part."""

    measure: int
    onset: int
    part: int
    chromatic: int
    diatonic: int


class DraftChord(NamedTuple):
    """Chord symbol as written in its part, with the part's transposition at that place."""

    measure: int
    onset: int
    part: int
    kind: str
    text: str
    chromatic: int
    diatonic: int


class DraftTempo(NamedTuple):
    """Quarters a minute, as numerator and denominator."""

    measure: int
    onset: int
    numerator: int
    denominator: int
    text: str


class DraftText(NamedTuple):
    """Words or a rehearsal mark."""

    measure: int
    onset: int
    part: int
    text: str


class DraftSign(NamedTuple):
    """A sign of the road: kind 'segno', 'coda', 'tocoda', 'fine', 'dacapo' or 'dalsegno'.

    `certain` is set where the file states it for playback, not only as a sign or as words.
    """

    measure: int
    onset: int
    kind: str
    name: str
    text: str
    certain: bool


class DraftCut(NamedTuple):
    """A barline with a repeat sign amid a measure, which makes two measures of it."""

    measure: int
    onset: int
    closes: bool
    times: int


@dataclass(slots=True)
class Draft:
    """Everything that a reader found."""

    ticks_per_quarter: int = 1
    title: str = ""
    composer: str = ""
    parts: list[DraftPart] = field(default_factory=list)
    measures: list[DraftMeasure] = field(default_factory=list)
    notes: list[DraftNote] = field(default_factory=list)
    keys: list[DraftKey] = field(default_factory=list)
    clefs: list[DraftClef] = field(default_factory=list)
    transpositions: list[DraftTransposition] = field(default_factory=list)
    chords: list[DraftChord] = field(default_factory=list)
    rehearsals: list[DraftText] = field(default_factory=list)
    tempos: list[DraftTempo] = field(default_factory=list)
    words: list[DraftText] = field(default_factory=list)
    signs: list[DraftSign] = field(default_factory=list)
    cuts: list[DraftCut] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)
    sections: list[tuple[int, int, bool]] = field(default_factory=list)
