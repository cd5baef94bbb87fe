"""Chords: reading a symbol and naming notes against music21, and how many spellings each library reads rightly.

Reading: from the text to the spelled tones, for every symbol of the published tables that music21 reads at all (it is
given flats as ``-``, its own way). Naming: from texts of notes to a symbol, for voicings of two to seven notes; music21
makes a `Chord` and asks `chordSymbolFigureFromChord`. Nothing is kept between calls on our side but the tables of
qualities, which are data; what music21 keeps by itself it is left. The two take turns, and ratios are taken text by
text, pass by pass.
"""

import csv
import statistics
import time
import warnings
from collections.abc import Callable
from functools import partial
from pathlib import Path

#: Our work and the peer's.
Pair = tuple[Callable[[], object], Callable[[], object]]

PASSES = 9
REPEATS = 20
READING_TARGET = "reading a chord symbol: 200 times faster"
NAMING_TARGET = "naming a chord: 20 times faster"
PUBLISHED = Path(__file__).parents[1] / "tests" / "published"
TABLES = ("chord_spellings.tsv", "chord_symbols.tsv")
#: Symbols that our table of qualities does not hold, so that our whole grammar is at work.
COMPOSED = "C7b9b13#11 C13b9#11 C9#11b13 Cm7b9b13 Cmaj7#9#11 C7b5#9#11 C7b9addb13 Cm9add13 Cmaj9add13 C7b5b9addb13"
VOICINGS = (
    "C4 E4 G4",
    "E3 C4 G4",
    "A3 C4 E4 G4",
    "C3 Bb3 E4 A4",
    "C3 E3 Bb3",
    "E3 Bb3 D4 A4",
    "B3 D4 F4 Ab4",
    "C4 F4 G4",
    "C4 E4 G#4",
    "C3 E4 Bb4 D5 A5",
    "G3 F4 B4 Eb5 Ab5",
    "D3 C4 F4 A4 E5",
    "C3 D4 F#4 A4",
    "F3 A3 C4 E4 G4 B4 D5",
    "Ab3 C4 Eb4 F#4",
    "C3 G3",
    "B2 E3 A3 D4",
    "C4 Eb4 Gb4 A4",
)


def _rows(name: str) -> list[dict[str, str]]:
    with open(PUBLISHED / name, encoding="utf-8") as file:
        return list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))


def _peer_text(symbol: str) -> str:
    """Symbol as music21 wants it: a flat of the root as ``-``."""
    return symbol[0] + "-" + symbol[2:] if symbol[1:2] in ("b", "♭") else symbol


def _seconds(work: Callable[[], object], repeats: int) -> float:
    start = time.perf_counter()
    for _ in range(repeats):
        work()
    return (time.perf_counter() - start) / repeats


def _compare(name: str, pairs: list[Pair], target: str) -> dict[str, object]:
    """Median times over all pairs of the same work, and the median of their ratios."""
    times = [(_seconds(ours, REPEATS), _seconds(theirs, 1)) for ours, theirs in pairs for _ in range(PASSES)]
    return {
        "name": name,
        "ours_s": statistics.median(ours_s for ours_s, _ in times),
        "peer": "music21",
        "peer_s": statistics.median(peer_s for _, peer_s in times),
        "ratio": statistics.median(peer_s / ours_s for ours_s, peer_s in times),
        "target": target,
    }


def _peer_reads(symbol: str) -> bool:
    from music21.harmony import ChordSymbol

    try:
        return bool(ChordSymbol(_peer_text(symbol)).pitches)
    except Exception:
        return False


def _tones_of(symbol: str) -> object:
    from musictheory_nb.theory.chord import Chord

    return [tone.name for tone in Chord(symbol).tones]


def _peer_tones_of(text: str) -> object:
    from music21.harmony import ChordSymbol

    return [pitch.name for pitch in ChordSymbol(text).pitches]


def _name_of(notes: list[str]) -> object:
    from musictheory_nb.theory.chord_naming import name_chord

    return name_chord(notes)[0].chord.symbol


def _peer_name_of(notes: list[str]) -> object:
    from music21.chord import Chord
    from music21.harmony import chordSymbolFigureFromChord

    return chordSymbolFigureFromChord(Chord(notes))


def _reading_pairs(symbols: list[str]) -> list[Pair]:
    return [(partial(_tones_of, s), partial(_peer_tones_of, _peer_text(s))) for s in symbols if _peer_reads(s)]


def run() -> list[dict[str, object]]:
    """Measure reading and naming."""
    symbols = sorted({row["symbol"].strip() for name in TABLES for row in _rows(name)})
    naming: list[Pair] = [
        (partial(_name_of, notes.split()), partial(_peer_name_of, notes.replace("b", "-").split()))
        for notes in VOICINGS
    ]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        reading, composed = _reading_pairs(symbols), _reading_pairs(COMPOSED.split())
        return [
            _compare(f"read a chord symbol to its spelled tones ({len(reading)} symbols)", reading, READING_TARGET),
            _compare(f"the same, alterations composed ({len(composed)} symbols)", composed, ""),
            _compare(f"name a chord from its notes ({len(naming)} voicings)", naming, NAMING_TARGET),
        ]


def _right(row: dict[str, str], names: set[str], bass: str, root: str) -> bool:
    """Whether tones and bass are those of a row of either table."""
    from musictheory_nb.theory.chord_degree import degree_name
    from musictheory_nb.theory.pitch_name import PitchName

    if "required tones" in row:
        required, optional = set(row["required tones"].split()), set((row["optional tones"] or "").split())
        return required <= names <= required | optional and bass == row["bass"]
    if not row["root"]:
        return not names
    on = PitchName(row["root"])
    required = {degree_name(on, degree).name for degree in row["required_degrees"].split()}
    optional = {degree_name(on, degree).name for degree in row["allowed_optional_degrees"].split()}
    lowest = degree_name(on, row["bass_degree"]).name
    return (
        required <= names | {lowest} and names <= required | optional | {lowest} and bass == lowest and root == on.name
    )


def _read_ours(symbol: str) -> tuple[set[str], str, str]:
    from musictheory_nb.theory.chord import Chord

    chord = Chord(symbol)
    root, bass = (name.name if name else "" for name in (chord.root, chord.bass))
    return {tone.name for tone in chord.tones}, bass, root


def _read_music21(symbol: str) -> tuple[set[str], str, str]:
    from music21.harmony import ChordSymbol

    chord = ChordSymbol(symbol)
    bass, root = chord.bass(), chord.root()
    names = {pitch.name.replace("-", "b") for pitch in chord.pitches}
    return names, bass.name.replace("-", "b") if bass else "", root.name.replace("-", "b") if root else ""


def _read_harte(symbol: str) -> tuple[set[str], str, str]:
    from harte.harte import Harte

    chord = Harte(symbol)
    names = {pitch.name.replace("-", "b") for pitch in chord.pitches}
    return names, chord.bass().name.replace("-", "b"), chord.root().name.replace("-", "b")


def spellings() -> dict[str, tuple[int, int]]:
    """How many of the published spellings each reads rightly, and how many there are.

    music21 is given every symbol as written and in its own way, and the better reading counts. `harte-library` is for
    another syntax, and is here because it is the other general library that reads chord texts.
    """
    readers: dict[str, list[Callable[[str], tuple[set[str], str, str]]]] = {
        "ours": [_read_ours],
        "music21": [_read_music21, lambda symbol: _read_music21(_peer_text(symbol))],
        "harte-library": [_read_harte],
    }
    rows = [row for name in TABLES for row in _rows(name)]
    counts = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for library, ways in readers.items():
            counts[library] = (sum(any(_tries(way, row) for way in ways) for row in rows), len(rows))
    return counts


def _tries(way: Callable[[str], tuple[set[str], str, str]], row: dict[str, str]) -> bool:
    try:
        return _right(row, *way(row["symbol"]))
    except Exception:  # a library that raises has not read the text
        return False


if __name__ == "__main__":
    for measured in run():
        print(
            f"{measured['name']:60} {1e6 * float(str(measured['ours_s'])):8.1f} µs"
            f" {1e6 * float(str(measured['peer_s'])):8.1f} µs {float(str(measured['ratio'])):8.1f}  {measured['target']}"
        )
    for library, (right, total) in spellings().items():
        print(f"chord spellings read rightly, {library:16} {right:4} of {total}")
