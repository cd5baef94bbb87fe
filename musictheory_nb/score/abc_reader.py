"""One ABC tune to a `Draft`.

Conventions: ABC 2.1. An accidental holds to the end of its bar for that letter in every octave, and over a tie. A bar
ends at each bar sign; a repeat sign or an ending inside a bar splits it. Lyrics, symbol lines and layout are passed over.
"""

import math
import re
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.abc_field import AbcKey, clef_of, read_key, read_metre, read_tempo, read_unit, shift_of
from musictheory_nb.score.abc_file import AbcTune, plain_text
from musictheory_nb.score.draft import Draft, DraftMeasure, DraftNote, DraftPart
from musictheory_nb.score.mark_entry import enter_mark
from musictheory_nb.score.musicxml_attributes import usual_steps
from musictheory_nb.score.note_table import KINDS
from musictheory_nb.theory.pitch_grammar import STEP_INDEX

_NOTE, _REST, _UNPITCHED, _CUE = range(len(KINDS))
#: Fields that may stand between lines of music. Letters of notes are none of them.
_BODY_FIELDS: Final = "IKLMmNPQRrsTUVWw"
_LENGTH: Final = r"\d*/*\d*"
#: What can stand in a line of music, in the order in which it is tried.
_TOKEN: Final = re.compile(
    rf"""\[(?P<letter>[A-Za-z]):(?P<value>[^\]]*)\]
    |(?P<bar>\.?\[?(?:\||:(?=[|:]))[|:\]]*)(?:\s*\[(?=\d)|(?=\d))?(?P<passes>(?<=[|:\]\[])\d[\d,\-]*)?
    |\[(?P<ending>\d[\d,\-]*)
    |"(?P<quoted>[^"]*)"
    |!(?P<decoration>[^!|\]\[\s]{{1,40}})!|\+(?P<old>[A-Za-z.]{{1,20}})\+
    |\{{(?P<graces>[^}}]*)\}}?
    |\((?P<p>\d\d?)(?::(?P<q>\d?\d?))?(?::(?P<r>\d?\d?))?
    |(?P<accidental>\^\^?|__?|=)?(?P<pitch>[A-Ga-g])(?P<octave>[,']*)(?P<length>{_LENGTH})
    |[zx](?P<rest>{_LENGTH})|[ZX](?P<bars>\d*)
    |(?P<chord>\[)|(?P<chord_end>\])(?P<chord_length>{_LENGTH})
    |(?P<tie>-)|(?P<broken>>{{1,3}}|<{{1,3}})|(?P<overlay>&)|(?P<short>[HOS])
    |(?P<other>.)""",
    re.X,
)
_GRACE: Final = re.compile(r"(?P<accidental>\^\^?|__?|=)?(?P<pitch>[A-Ga-g])(?P<octave>[,']*)")
_ALTERS: Final = MappingProxyType({"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0})
#: Notes in the time of which a tuplet of so many is played; others take 2, or 3 in compound time.
_TUPLET_TIME: Final = MappingProxyType({2: 3, 3: 2, 4: 3, 6: 2, 8: 3})
_SIGNS: Final = MappingProxyType(
    {
        "segno": ("segno", ""),
        "coda": ("coda", ""),
        "fine": ("fine", "Fine"),
        "D.C.": ("dacapo", "D.C."),
        "dacapo": ("dacapo", "D.C."),
        "D.S.": ("dalsegno", "D.S."),
        "dacoda": ("tocoda", "To Coda"),
        "D.C.alfine": ("dacapo", "D.C. al Fine"),
        "D.C.alcoda": ("dacapo", "D.C. al Coda"),
        "D.S.alfine": ("dalsegno", "D.S. al Fine"),
        "D.S.alcoda": ("dalsegno", "D.S. al Coda"),
    }
)
_SHORT: Final = MappingProxyType({"H": "fermata", "O": "coda", "S": "segno"})
#: A chord symbol among quoted texts: a root, then nothing but what chord symbols are made of.
_CHORD: Final = re.compile(
    r"\(?[A-G](?:##|bb|[#b])?(?:maj|Maj|min|mi|ma|m|M|dim|Dim|aug|Aug|sus|add|alt|omit|no|[oø°Δ+\-(),\s]|[#b]?\d{1,2}"
    r"|[/|][A-G](?:##|bb|[#b])?)*"
)
#: Most bars of rest under one ``Z``, longest note in quarters, most voices, most bars.
_MAX_REST_BARS, _MAX_QUARTERS, _MAX_VOICES, _MAX_BARS = 1000, 1000, 64, 50_000
_MAX_TICKS: Final = 10**9


def read_abc(tune: AbcTune) -> Draft:
    """Read one tune.

    Raises
    ------
    ScoreError
        A field or length that cannot be read; the message names the tune.
    """
    try:
        return _TuneReader(tune).read()
    except ScoreError as error:
        raise ScoreError(f"tune X:{tune.number[:20]}: {error}") from None


def _length(text: str) -> Fraction:
    """Return a note length in units: ``3``, ``3/2``, ``/`` (a half), ``//`` (a quarter).

    Examples
    --------
    >>> [str(_length(text)) for text in ("", "3", "3/2", "/", "//", "/4")]
    ['1', '3', '3/2', '1/2', '1/4', '1/4']
    """
    upper, slashes, lower = re.fullmatch(r"(\d*)(/*)(\d*)", text).groups()  # type: ignore[union-attr]
    if (
        len(upper) > 4
        or len(lower) > 4
        or len(slashes) > 6
        or (lower and int(lower) == 0)
        or upper.strip("0") == "" != upper
    ):
        raise ScoreError(f"length {text[:20]!r}: write it as '3', '3/2' or '/2'")
    below = int(lower) if lower else 2 ** len(slashes)
    return Fraction(int(upper or 1), below)


class _Voice:
    """One voice: where it stands and what holds for it."""

    def __init__(self, index: int, key: AbcKey | None, metre: tuple[str, Fraction], unit: Fraction) -> None:
        self.index = index
        self.key = key
        self.metre = metre
        self.unit = unit
        self.octave = 0
        self.shift = 0
        self.measure = 0
        self.last: list[int] = []  # rows of the last note, chord or rest
        self.factor = Fraction(1)  # what a broken rhythm takes from the next note
        self.tuplet, self.tuplet_left = Fraction(1), 0
        self.fermata = 0
        self.open_ties: dict[tuple[int, int], int] = {}  # step and octave -> alteration
        self.clear()

    def clear(self) -> None:
        """Begin a bar: forget what holds for one bar only."""
        self.accidentals: dict[int, int] = {}
        self.cursor = Fraction(0)
        self.layer = 1
        self.touched = False


class _TuneReader:
    """Collects everything in quarters; `read` turns it into ticks at the end."""

    def __init__(self, tune: AbcTune) -> None:
        self.tune = tune
        self.draft = Draft(title=plain_text(tune.first("T")), composer=plain_text(tune.first("C")))
        self.metre = read_metre(tune.last("M"))
        self.unit = read_unit(tune.last("L"), self.metre[1])
        self.key = read_key(tune.last("K"))
        self.voices: dict[str, _Voice] = {}
        self.rows: list[list[Any]] = []
        self.marks: list[tuple[str, int, Fraction, int, tuple[Any, ...]]] = []
        self.contents: dict[int, Fraction] = {}
        self.sounding: dict[int, Fraction] = {}
        self.fulls: dict[int, Fraction] = {}
        self.chord: list[int] | None = None
        for letter, value in tune.header:
            if letter == "V":
                self._voice(value, in_header=True)
        self.voice = next(iter(self.voices.values())) if self.voices else self._voice("1", in_header=True)
        for voice in self.voices.values():
            self._settings(voice, tune.last("K"))
            self._enter_key(voice, self.key)
        if tempo := tune.last("Q"):
            self._tempo(tempo)
        if order := tune.first("P"):
            self.draft.notices.append(f"the tune asks for its parts in the order {order[:60]!r}; they stand as written")

    # Fields

    def _voice(self, text: str, in_header: bool = False) -> _Voice:
        name, _, rest = text.strip().partition(" ")
        voice = self.voices.get(name)
        if voice is None:
            if len(self.voices) >= _MAX_VOICES:
                raise ScoreError(f"more than {_MAX_VOICES} voices")
            voice = self.voices[name] = _Voice(len(self.voices), self.key, self.metre, self.unit)
            self.draft.parts.append(DraftPart())
            self._settings(voice, rest)
            if not in_header:
                self._enter_key(voice, self.key)
        part = self.draft.parts[voice.index]
        if match := re.search(r"\b(?:name|nm)\s*=\s*(?:\"([^\"]*)\"|(\S+))", rest):
            part.name = plain_text(match[1] or match[2] or "")
        self._settings(voice, rest)
        return voice

    def _enter_key(self, voice: _Voice, key: AbcKey | None) -> None:
        fifths, mode = (key.fifths, key.mode) if key is not None else (0, "")
        self._mark(voice, "key", fifths, mode, voice.shift, usual_steps(voice.shift))

    def _settings(self, voice: _Voice, text: str) -> None:
        if clef := clef_of(text):
            self._mark(voice, "clef", 1, clef)
        semitones, octaves = shift_of(text)
        voice.octave = octaves or voice.octave
        if semitones and semitones != voice.shift:
            voice.shift = semitones
            self._mark(voice, "transposition", semitones, usual_steps(semitones))

    def _mark(self, voice: _Voice, kind: str, *values: Any) -> None:
        self.marks.append((kind, voice.measure, voice.cursor, voice.index, values))

    def _tempo(self, text: str) -> None:
        speed, words = read_tempo(text, self.unit)
        if 4 <= speed <= 1000:
            self._mark(self.voice, "tempo", speed, words)
        elif words:
            self._mark(self.voice, "words", words)

    def _field(self, letter: str, value: str) -> None:
        voice = self.voice
        if letter == "V":
            self.voice = self._voice(value)
        elif letter == "K":
            self._settings(voice, value)
            if (key := read_key(value)) is not None:
                voice.key = key
                self._enter_key(voice, key)
        elif letter == "M":
            voice.metre = read_metre(value)
        elif letter == "L":
            voice.unit = read_unit(value, voice.metre[1])
        elif letter == "Q":
            self._tempo(value)
        elif letter == "P" and value:
            self._mark(voice, "rehearsal", plain_text(value)[:80])

    # Music

    def read(self) -> Draft:
        """Read the whole tune."""
        for line in self.tune.body:
            if len(line) > 1 and line[1] == ":" and line[0] in _BODY_FIELDS:
                self._field(line[0], line[2:].strip())
            else:
                self.chord = None
                for match in _TOKEN.finditer(line):
                    self._token(match)
        for voice in self.voices.values():
            self._end_bar(voice)
        return self._finish()

    def _token(self, match: re.Match[str]) -> None:
        voice, found = self.voice, match.groupdict()
        if found["bar"] is not None:
            self._bar(voice, found["bar"], found["passes"] or "")
        elif found["pitch"] is not None:
            self._pitched(voice, found)
        elif found["letter"] is not None:
            self._field(found["letter"], found["value"].strip())
        elif found["ending"] is not None:
            self._end_bar(voice)
            self._ending(voice, found["ending"])
        elif found["quoted"] is not None:
            self._quoted(voice, found["quoted"])
        elif found["decoration"] or found["old"]:
            self._decoration(voice, found["decoration"] or found["old"])
        elif found["short"] is not None:
            self._decoration(voice, _SHORT[found["short"]])
        elif found["graces"] is not None:
            for grace in _GRACE.finditer(found["graces"]):
                self._row(voice, _NOTE, Fraction(0), self._pitch(voice, grace.groupdict()), grace=1)
        elif found["p"] is not None:
            self._begin_tuplet(voice, int(found["p"]), found["q"] or "", found["r"] or "")
        elif found["rest"] is not None:
            self._advance(voice, [self._row(voice, _REST, _length(found["rest"]) * voice.unit)])
        elif found["bars"] is not None:
            self._rest_bars(voice, found["bars"])
        elif found["chord"] is not None:
            self.chord = []
        elif found["chord_end"] is not None and self.chord is not None:
            rows, self.chord = self.chord, None
            for row in rows:
                self.rows[row][5] *= _length(found["chord_length"])
            if rows:
                self._advance(voice, rows)
        elif found["tie"] is not None:
            for row in self.chord[-1:] if self.chord is not None else voice.last:
                self._open_tie(voice, row)
        elif found["broken"] is not None:
            self._break(voice, found["broken"])
        elif found["overlay"] is not None:
            voice.cursor = Fraction(0)
            voice.layer += 1

    def _pitched(self, voice: _Voice, found: dict[str, Any]) -> None:
        row = self._row(voice, _NOTE, _length(found["length"]) * voice.unit, self._pitch(voice, found))
        if self.chord is not None:
            if self.chord:
                self.rows[row][12] = self.rows[self.chord[0]][12]
            self.chord.append(row)
        else:
            self._advance(voice, [row])

    def _pitch(self, voice: _Voice, found: dict[str, Any]) -> tuple[int, int, int]:
        letter, marks = found["pitch"], found["octave"]
        step = STEP_INDEX[letter.upper()]
        octave = (5 if letter.islower() else 4) + marks.count("'") - marks.count(",") + voice.octave
        if not -1 <= octave <= 10:
            raise ScoreError(f"note {letter + marks[:20]!r} is far outside any instrument")
        if found["accidental"]:
            voice.accidentals[step] = _ALTERS[found["accidental"]]
        alter = voice.accidentals.get(step)
        if alter is None:
            alter = voice.open_ties.get((step, octave))
        if alter is None:
            alter = dict(voice.key.alters).get(letter.upper(), 0) if voice.key is not None else 0
        return step, alter, octave

    def _row(
        self, voice: _Voice, kind: int, duration: Fraction, pitch: tuple[int, int, int] = (-1, 0, 0), grace: int = 0
    ) -> int:
        voice.touched = True
        measure = self._measure(voice)
        if not measure.metre and voice.metre[0]:
            measure.metre = voice.metre[0]
        self.fulls.setdefault(voice.measure, voice.metre[1])
        tie = 0
        if not grace and pitch[:1] != (-1,) and voice.open_ties.get((pitch[0], pitch[2])) == pitch[1]:
            tie = 2
        event = len(self.rows)
        step, alter, octave = pitch
        self.rows.append(
            [
                *(kind, voice.index, voice.layer, voice.measure, voice.cursor, duration),
                *(step, alter, octave, tie, grace, 0, event, voice.shift),
            ]
        )
        return event

    def _advance(self, voice: _Voice, rows: list[int]) -> None:
        """Move on by a note, chord or rest that stands complete in `rows`."""
        factor = voice.factor
        voice.factor = Fraction(1)
        if voice.tuplet_left:
            factor *= voice.tuplet
            voice.tuplet_left -= 1
        for row in rows:
            self.rows[row][5] *= factor
            self.rows[row][11] = voice.fermata
        voice.fermata = 0
        voice.open_ties = {}
        duration = self.rows[rows[0]][5]
        if duration > _MAX_QUARTERS:
            raise ScoreError(f"a note or rest longer than {_MAX_QUARTERS} quarters")
        voice.last = rows
        self._move(voice, duration, sounds=self.rows[rows[0]][0] == _NOTE)

    def _move(self, voice: _Voice, by: Fraction, sounds: bool) -> None:
        voice.cursor += by
        at = voice.measure
        self.contents[at] = max(self.contents.get(at, Fraction(0)), voice.cursor)
        if sounds:
            self.sounding[at] = max(self.sounding.get(at, Fraction(0)), voice.cursor)

    def _break(self, voice: _Voice, signs: str) -> None:
        """Take time from one of two notes and give it to the other: ``a>b``."""
        if not voice.last:
            return
        less = Fraction(1, 2 ** len(signs))
        first, voice.factor = (2 - less, less) if signs[0] == ">" else (less, 2 - less)
        before = self.rows[voice.last[0]][5]
        for row in voice.last:
            self.rows[row][5] *= first
        if self.rows[voice.last[0]][3] == voice.measure:
            change = before * first - before
            at, end = voice.measure, voice.cursor
            voice.cursor += change
            for reached in (self.contents, self.sounding):
                if reached.get(at) == end:
                    reached[at] = voice.cursor

    def _begin_tuplet(self, voice: _Voice, p: int, q: str, r: str) -> None:
        compound = re.match(r"(6|9|12)/", voice.metre[0]) is not None
        time = int(q) if q else _TUPLET_TIME.get(p, 3 if compound else 2)
        if p < 2 or time < 1:
            raise ScoreError(f"tuplet '({p}:{q}': write it as '(3' or '(5:4:5'")
        voice.tuplet, voice.tuplet_left = Fraction(time, p), int(r) if r else p

    def _open_tie(self, voice: _Voice, row: int) -> None:
        values = self.rows[row]
        if values[0] == _NOTE and not values[10]:
            values[9] |= 1
            voice.open_ties[values[6], values[8]] = values[7]

    def _rest_bars(self, voice: _Voice, count: str) -> None:
        bars = int(count or 1) if len(count) <= 4 else 0
        if not 1 <= bars <= _MAX_REST_BARS:
            raise ScoreError(f"rest of {count[:20]!r} bars: write a number from 1 to {_MAX_REST_BARS}")
        for bar in range(bars):
            if bar:
                self._end_bar(voice)
            self._advance(voice, [self._row(voice, _REST, voice.metre[1] or Fraction(4))])

    def _quoted(self, voice: _Voice, text: str) -> None:
        plain = " ".join(text.split(";")[0].split()).replace("♭", "b").replace("♯", "#")
        voice_touched = voice.touched
        if plain[:1] in ("^", "_", "<", ">", "@"):
            words = re.sub(r"^(@\s*-?[\d.]+\s*,\s*-?[\d.]+|.)\s*", "", plain)
            if words:
                self._mark(voice, "words", words)
        elif re.fullmatch(r"\(?\s*N\.?\s*C\.?\s*\)?", plain, re.I):
            self._mark(voice, "chord", "none", "N.C.")
            voice_touched = True
        elif _CHORD.fullmatch(plain):
            self._mark(voice, "chord", "", plain.strip("()") if plain.startswith("(") else plain)
            voice_touched = True
        elif plain:
            self._mark(voice, "words", plain)
        if voice_touched and not voice.touched:
            voice.touched = True
            measure = self._measure(voice)
            measure.metre = measure.metre or voice.metre[0]
            self.fulls.setdefault(voice.measure, voice.metre[1])

    def _decoration(self, voice: _Voice, name: str) -> None:
        if name in ("fermata", "invertedfermata"):
            voice.fermata = 1
        elif name in _SIGNS:
            self._mark(voice, "sign", *_SIGNS[name])

    # Bars

    def _measure(self, voice: _Voice) -> DraftMeasure:
        while len(self.draft.measures) <= voice.measure:
            self.draft.measures.append(DraftMeasure())
            if len(self.draft.measures) > _MAX_BARS:
                raise ScoreError(f"more than {_MAX_BARS} bars")
        return self.draft.measures[voice.measure]

    def _end_bar(self, voice: _Voice) -> bool:
        """Go on to the next measure unless nothing stands in this one yet; return whether it went on."""
        if not voice.touched:
            return False
        voice.measure += 1
        voice.clear()
        return True

    def _bar(self, voice: _Voice, signs: str, passes: str) -> None:
        self._end_bar(voice)
        signs = signs.lstrip(".")
        colons = len(signs) - len(signs.lstrip(":"))
        if signs.strip(":") == "":
            colons = 1
        if voice.measure:
            closed = self.draft.measures[voice.measure - 1]
            if colons:
                closed.repeat_end, closed.times = True, max(colons + 1, closed.times)
            if "|]" in signs:
                closed.barline = "final" if not signs.startswith("[") else closed.barline
            elif "||" in signs and not signs.endswith(":"):
                closed.barline = "double"
            if colons or "||" in signs or "|]" in signs or "[|" in signs:
                closed.ending_stop = True
        if signs.endswith(":"):
            self._measure(voice).repeat_start = True
        if passes:
            self._ending(voice, passes)

    def _ending(self, voice: _Voice, text: str) -> None:
        passes: list[int] = []
        for piece in re.findall(r"\d{1,2}(?:-\d{1,2})?", text):
            first, _, last = piece.partition("-")
            passes.extend(range(int(first), int(last or first) + 1))
        if passes:
            self._measure(voice).ending_start = tuple(sorted(set(passes)))

    # Ticks

    def _finish(self) -> Draft:
        draft = self.draft
        while draft.measures and len(draft.measures) > max((v.measure for v in self.voices.values()), default=0):
            draft.measures.pop()  # begun by a last repeat sign or ending with nothing behind it
        last = len(draft.measures)
        times = {row[4].denominator for row in self.rows} | {row[5].denominator for row in self.rows}
        times |= {mark[2].denominator for mark in self.marks} | {full.denominator for full in self.fulls.values()}
        times |= {reached.denominator for reached in self.contents.values()}
        unit = draft.ticks_per_quarter = math.lcm(1, *times)
        if unit > _MAX_TICKS:
            raise ScoreError("the lengths of this tune have no common unit of a sensible size")
        for number, part in enumerate(draft.parts, 1):
            part.name = part.name or f"Part {number}"
        for at, measure in enumerate(draft.measures):
            measure.content = measure.filled = int(self.contents.get(at, Fraction(0)) * unit)
            measure.sounding = int(self.sounding.get(at, Fraction(0)) * unit)
            measure.full = int(self.fulls.get(at, Fraction(0)) * unit)
        for (
            kind,
            part_index,
            layer,
            at,
            onset,
            length,
            step,
            alter,
            octave,
            tie,
            grace,
            fermata,
            event,
            shift,
        ) in self.rows:
            draft.notes.append(
                DraftNote(
                    kind,
                    part_index,
                    1,
                    layer,
                    at,
                    int(onset * unit),
                    int(length * unit),
                    step,
                    alter,
                    octave,
                    0,
                    tie,
                    grace,
                    fermata,
                    event,
                    shift,
                    usual_steps(shift),
                    0,
                )
            )
        for name, at, onset, index, values in sorted(self.marks, key=lambda mark: mark[0] != "transposition"):
            if at >= last:
                at, onset = last - 1, self.contents.get(last - 1, Fraction(0))
            if at >= 0:
                enter_mark(draft, name, at, int(onset * unit), index, values)
        return draft
