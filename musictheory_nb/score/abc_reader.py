"""One ABC tune to a `Draft`.

Conventions: ABC 2.1. An accidental holds to the end of its bar for that letter in every octave, and over a tie. A bar
ends at each bar sign; a repeat sign or an ending inside a bar splits it. Lyrics and layout are passed over.
"""

import re
from fractions import Fraction
from typing import Any, Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.abc_field import AbcKey, clef_of, read_key, read_metre, read_tempo, read_unit, shift_of
from musictheory_nb.score.abc_file import AbcTune
from musictheory_nb.score.abc_symbol_line import aligned_symbols
from musictheory_nb.score.abc_text import plain_text
from musictheory_nb.score.abc_token import (
    ALTERS,
    GRACE,
    SHORT,
    SIGNS,
    TOKEN,
    TUPLET_TIME,
    chord_text,
    length_in_units,
)
from musictheory_nb.score.draft import Draft, DraftPart
from musictheory_nb.score.musicxml_attributes import usual_steps
from musictheory_nb.score.note_table import KINDS
from musictheory_nb.score.quarter_draft import QuarterDraft, QuarterNote
from musictheory_nb.score.section_order import letters_in_order, spans_of
from musictheory_nb.theory.pitch_grammar import STEP_INDEX

_NOTE, _REST, _UNPITCHED, _CUE = range(len(KINDS))
#: Fields that may stand between lines of music. Letters of notes are none of them.
_BODY_FIELDS: Final = "IKLMmNPQRrsTUVWw"
_FERMATAS: Final = ("fermata", "invertedfermata")
#: Most bars of rest under one ``Z``, longest note in quarters, most voices.
_MAX_REST_BARS, _MAX_QUARTERS, _MAX_VOICES = 1000, 1000, 64
#: A letter in a box, as players rehearse from it: ``"^A"``, ``"^B2"``, ``"^C'"``.
_REHEARSAL: Final = re.compile(r"[A-Z]{1,2}[0-9]?'?")
#: Most bars of an ending whose end is looked for.
_LONGEST_ENDING: Final = 64


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
        self.last: list[QuarterNote] = []  # the last note, chord or rest
        self.factor = Fraction(1)  # what a broken rhythm takes from the next note
        self.tuplet, self.tuplet_left = Fraction(1), 0
        self.fermata = 0
        self.heads: list[QuarterNote] = []  # notes and chords since the last symbol line
        self.said = False  # whether a symbol line has come since
        self.open_ties: dict[tuple[int, int], int] = {}  # step and octave -> alteration
        self.clear()

    def clear(self) -> None:
        """Begin a bar: forget what holds for one bar only."""
        self.accidentals: dict[int | tuple[int, int], int] = {}
        self.cursor = Fraction(0)
        self.layer = 1
        self.touched = False


class _TuneReader:
    """Collects everything in quarters; `read` turns it into ticks at the end."""

    def __init__(self, tune: AbcTune) -> None:
        self.tune = tune
        self.made = QuarterDraft()
        self.draft = self.made.draft
        self.draft.title, self.draft.composer = plain_text(tune.first("T")), plain_text(tune.first("C"))
        self.metre = read_metre(tune.last("M"))
        self.unit = read_unit(tune.last("L"), self.metre[1])
        self.key = read_key(tune.last("K"))
        self.voices: dict[str, _Voice] = {}
        self.chord: list[QuarterNote] | None = None
        self.letters: list[tuple[_Voice, int, Fraction, str]] = []
        self.symbols = dict(SHORT)
        self.spread = "pitch"  # to which notes of the bar an accidental applies
        self.breaks = False  # whether an exclamation mark ends a line
        for letter, value in tune.header:
            if letter == "V":
                self._voice(value, in_header=True)
        self.voice = next(iter(self.voices.values())) if self.voices else self._voice("1", in_header=True)
        for voice in self.voices.values():
            self._settings(voice, tune.last("K"))
            self._enter_key(voice, self.key)
        if tempo := tune.last("Q"):
            self._tempo(tempo)
        self.order = tune.first("P")
        self.sections: list[tuple[str, int]] = []  # letter of a part, and where it begins
        for letter, value in tune.header:
            if letter in "UIm":
                self._instruction(letter, value)

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
        self.made.mark(kind, voice.measure, voice.cursor, voice.index, *values)

    def _tempo(self, text: str) -> None:
        speed, words = read_tempo(text, self.unit)
        if 4 <= speed <= 1000:
            self._mark(self.voice, "tempo", speed, words)
        if words:
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
            self.sections.append((value.strip(), voice.measure))
        elif letter == "s":
            self._symbol_line(voice, value)
        else:
            self._instruction(letter, value)

    def _instruction(self, letter: str, value: str) -> None:
        """Obey ``U:`` and what of ``I:`` says how music is read; tell what is passed over."""
        if letter == "U" and (match := re.match(r"([~H-Wh-w])\s*=?\s*(\"[^\"]*\"|!\S+?!|\+\S+?\+)", value)):
            self.symbols[match[1]] = match[2]
        elif letter == "m":
            self._notice("macros (m:) are not written out; the notes stand as they are")
        elif letter == "I":
            name, _, said = value.partition(" ")
            if name == "propagate-accidentals" and said.strip() in ("not", "octave", "pitch"):
                self.spread = said.strip()
            elif name == "linebreak":
                self.breaks = "!" in said
            elif name == "abc-include":
                self._notice("abc-include: no other file is read")

    def _notice(self, text: str) -> None:
        if text not in self.draft.notices:
            self.draft.notices.append(text)

    def _symbol_line(self, voice: _Voice, line: str) -> None:
        """Enter what a symbol line sets over the notes since the one before."""
        heads = voice.heads
        for symbol in aligned_symbols(line, [head.measure for head in heads]):
            head = heads[symbol.note]
            text = self.symbols.get(symbol.text, "") if symbol.kind == "short" else symbol.text
            if symbol.kind == "quoted" or text.startswith('"'):
                self._quoted(voice, text.strip('"'), (head.measure, head.onset))
            elif text.strip("!+") in _FERMATAS:
                for note in self.made.notes:
                    note.fermata |= note.event == head.event and note.part == head.part
            else:
                self._decoration(voice, text.strip("!+"), (head.measure, head.onset))
        voice.said = True

    def _order_parts(self) -> None:
        """Set the order of sections that the header asks for."""
        if not self.order:
            return
        count = len(self.draft.measures)
        starts: dict[str, int] = {}
        for letter, at in self.sections:
            if starts.setdefault(letter, at) != at:
                starts.clear()
                break
        try:
            letters = letters_in_order(self.order)
            spans = spans_of(letters, starts, count)
        except ScoreError:
            self._notice(f"the tune asks for its parts in the order {self.order[:60]!r}; they stand as written")
            return
        if letters == "".join(sorted(starts, key=lambda letter: starts[letter])):
            return  # as written
        self.draft.sections = [(first, last, True) for first, last in spans]

    # Music

    def read(self) -> Draft:
        """Read the whole tune."""
        for line in self.tune.body:
            if len(line) > 1 and line[1] == ":" and line[0] in _BODY_FIELDS:
                self._field(line[0], line[2:].strip())
            else:
                if self.voice.said:
                    self.voice.heads, self.voice.said = [], False
                for match in TOKEN.finditer(line.replace("!", " ") if self.breaks else line):
                    self._token(match)
        self._open_chord(self.voice)
        for voice in self.voices.values():
            self._end_bar(voice)
        self._place_letters()
        ends = max(voice.measure for voice in self.voices.values())
        del self.draft.measures[ends:]  # begun by a last repeat sign or ending with nothing behind it
        self._order_parts()
        return self.made.finish()

    def _token(self, match: re.Match[str]) -> None:
        voice, found = self.voice, match.groupdict()
        if found["bar"] is not None:
            self._open_chord(voice)
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
            self._short_cut(voice, found["short"])
        elif found["microtone"] is not None:
            raise ScoreError(
                f"accidental {found['microtone'][:20]!r}: quarter tones are not read; write ^, ^^, _, __ or ="
            )
        elif found["wide"] is not None:
            raise ScoreError("an overlay over several bars is not read; write & in each bar")
        elif found["graces"] is not None:
            for grace in GRACE.finditer(found["graces"]):
                self._note(voice, _NOTE, Fraction(0), self._pitch(voice, grace.groupdict()), grace=1)
        elif found["p"] is not None:
            self._begin_tuplet(voice, int(found["p"]), found["q"] or "", found["r"] or "")
        elif found["rest"] is not None:
            self._advance(voice, [self._note(voice, _REST, length_in_units(found["rest"]) * voice.unit)])
        elif found["bars"] is not None:
            self._rest_bars(voice, found["bars"])
        elif found["chord"] is not None:
            self.chord = []
        elif found["chord_end"] is not None and self.chord is not None:
            notes, self.chord = self.chord, None
            for note in notes:
                note.duration *= length_in_units(found["chord_length"])
            if notes:
                self._advance(voice, notes)
        elif found["tie"] is not None:
            if self.chord is not None:
                for note in self.chord[-1:]:
                    note.tie |= 1
            else:
                for note in voice.last:
                    note.tie |= note.kind == _NOTE
                self._open_ties(voice)
        elif found["broken"] is not None:
            self._break(voice, found["broken"])
        elif found["overlay"] is not None:
            voice.cursor = Fraction(0)
            voice.layer += 1

    def _open_chord(self, voice: _Voice) -> None:
        """Take the notes behind a bracket that was never closed one after the other."""
        notes, self.chord = self.chord or [], None
        if notes:
            self._notice("a bracket with no end was passed over")
        for at, note in enumerate(notes):
            note.event += at
            note.onset = voice.cursor
            self._advance(voice, [note])

    def _short_cut(self, voice: _Voice, letter: str) -> None:
        meaning = self.symbols.get(letter, "")
        if meaning.startswith('"'):
            self._quoted(voice, meaning.strip('"'))
        elif meaning:
            self._decoration(voice, meaning.strip("!+"))

    def _pitched(self, voice: _Voice, found: dict[str, Any]) -> None:
        note = self._note(voice, _NOTE, length_in_units(found["length"]) * voice.unit, self._pitch(voice, found))
        if self.chord is None:
            self._advance(voice, [note])
            return
        if self.chord:
            note.event = self.chord[0].event
        self.chord.append(note)

    def _pitch(self, voice: _Voice, found: dict[str, Any]) -> tuple[int, int, int]:
        letter, marks = found["pitch"], found["octave"]
        step = STEP_INDEX[letter.upper()]
        octave = (5 if letter.islower() else 4) + marks.count("'") - marks.count(",") + voice.octave
        if not -1 <= octave <= 10:
            raise ScoreError(f"note {letter + marks[:20]!r} is far outside any instrument")
        place = step if self.spread == "pitch" else (step, octave)
        if found["accidental"]:
            voice.accidentals[place] = ALTERS[found["accidental"]]
        alter = voice.accidentals.get(place)
        if self.spread == "not":
            voice.accidentals.clear()
        if alter is None:
            alter = voice.open_ties.get((step, octave))
        if alter is None:
            alter = dict(voice.key.alters).get(letter.upper(), 0) if voice.key is not None else 0
        return step, alter, octave

    def _begins(self, voice: _Voice) -> None:
        """Note that something stands in the bar."""
        voice.touched = True
        measure = self.made.measure(voice.measure)
        measure.metre = measure.metre or voice.metre[0]
        self.made.fulls.setdefault(voice.measure, voice.metre[1])

    def _note(
        self, voice: _Voice, kind: int, duration: Fraction, pitch: tuple[int, int, int] = (-1, 0, 0), grace: int = 0
    ) -> QuarterNote:
        self._begins(voice)
        step, alter, octave = pitch
        note = QuarterNote(
            kind, voice.index, 1, voice.layer, voice.measure, voice.cursor, duration, step, alter, octave
        )
        note.grace = grace
        note.event = len(self.made.notes)
        note.moved = voice.shift, usual_steps(voice.shift)
        if step >= 0 and not grace and voice.open_ties.get((step, octave)) == alter:
            note.tie = 2
        self.made.notes.append(note)
        return note

    def _advance(self, voice: _Voice, notes: list[QuarterNote]) -> None:
        """Move on by a note, chord or rest that stands complete."""
        factor = voice.factor
        voice.factor = Fraction(1)
        if voice.tuplet_left:
            factor *= voice.tuplet
            voice.tuplet_left -= 1
        for note in notes:
            note.duration *= factor
            note.fermata = voice.fermata
        voice.fermata = 0
        if notes[0].duration > _MAX_QUARTERS:
            raise ScoreError(f"a note or rest longer than {_MAX_QUARTERS} quarters")
        voice.last = notes
        if notes[0].kind == _NOTE:
            voice.heads.append(notes[0])
        self._open_ties(voice)
        voice.cursor += notes[0].duration
        self.made.reach(voice.measure, voice.cursor, sounds=notes[0].kind == _NOTE)

    def _open_ties(self, voice: _Voice) -> None:
        """Note which pitches the last notes are tied to."""
        voice.open_ties = {(note.step, note.octave): note.alter for note in voice.last if note.tie & 1}

    def _break(self, voice: _Voice, signs: str) -> None:
        """Take time from one of two notes and give it to the other: ``a>b``."""
        if not voice.last:
            return
        less = Fraction(1, 2 ** len(signs))
        first, voice.factor = (2 - less, less) if signs[0] == ">" else (less, 2 - less)
        change = voice.last[0].duration * (first - 1)
        for note in voice.last:
            note.duration *= first
        if voice.last[0].measure == voice.measure:
            self.made.move_end(voice.measure, voice.cursor, voice.cursor + change)
            voice.cursor += change

    def _begin_tuplet(self, voice: _Voice, p: int, q: str, r: str) -> None:
        compound = re.match(r"(6|9|12)/", voice.metre[0]) is not None
        time = int(q) if q else TUPLET_TIME.get(p, 3 if compound else 2)
        if p < 2 or time < 1 or r.strip("0") == "" != r:
            raise ScoreError(f"tuplet '({p}:{q}': write it as '(3' or '(5:4:5'")
        voice.tuplet, voice.tuplet_left = Fraction(time, p), int(r) if r else p

    def _rest_bars(self, voice: _Voice, count: str) -> None:
        bars = int(count or 1) if len(count) <= 4 else 0
        if not 1 <= bars <= _MAX_REST_BARS:
            raise ScoreError(f"rest of {count[:20]!r} bars: write a number from 1 to {_MAX_REST_BARS}")
        for bar in range(bars):
            if bar:
                self._end_bar(voice)
            self._advance(voice, [self._note(voice, _REST, voice.metre[1] or Fraction(4))])

    def _quoted(self, voice: _Voice, text: str, place: tuple[int, Fraction] | None = None) -> None:
        def mark(kind: str, *values: Any) -> None:
            self.made.mark(kind, *(place or (voice.measure, voice.cursor)), voice.index, *values)

        plain = plain_text(text.split(";")[0] if "&" not in text else text).replace("♭", "b").replace("♯", "#")
        if plain[:1] in ("^", "_", "<", ">", "@"):
            words = re.sub(r"^(@\s*-?[\d.]+\s*,\s*-?[\d.]+|.)\s*", "", plain)
            if plain[0] == "^" and _REHEARSAL.fullmatch(words):
                self.letters.append((voice, *(place or (voice.measure, voice.cursor)), words))
            elif words:
                mark("words", words)
        elif re.fullmatch(r"\(?\s*N\.?\s*C\.?\s*\)?", plain, re.I):
            mark("chord", "none", "N.C.")
            if place is None:
                self._begins(voice)
        elif chord := chord_text(plain):
            mark("chord", "", chord)
            if place is None:
                self._begins(voice)
        elif plain:
            mark("words", plain)

    def _decoration(self, voice: _Voice, name: str, place: tuple[int, Fraction] | None = None) -> None:
        if name in _FERMATAS:
            voice.fermata = 1
        elif name in SIGNS:
            measure, cursor = place or (voice.measure, voice.cursor)
            self.made.mark("sign", measure, cursor, voice.index, *SIGNS[name])
            if printed := SIGNS[name][1]:
                self.made.mark("words", measure, cursor, voice.index, printed)

    def _place_letters(self) -> None:
        """Enter single letters above the music: rehearsal marks if all stand where a bar begins and they are few."""
        bars = {(measure, text) for _, measure, _, text in self.letters}
        marks = all(cursor == 0 for _, _, cursor, _ in self.letters) and 2 * len(bars) <= len(self.draft.measures) + 1
        for voice, measure, cursor, text in self.letters:
            self.made.mark("rehearsal" if marks else "words", measure, cursor, voice.index, text)

    # Bars

    def _in_ending(self, at: int) -> bool:
        """Whether a bracket that began at measure `at` or before is still open."""
        for before, measure in enumerate(reversed(self.draft.measures[max(at - _LONGEST_ENDING, 0) : at + 1])):
            if before and measure.ending_stop:
                return False
            if measure.ending_start:
                return True
        return False

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
            if (colons or "||" in signs or "|]" in signs or "[|" in signs) and self._in_ending(voice.measure - 1):
                closed.ending_stop = True
        if signs.endswith(":"):
            self.made.measure(voice.measure).repeat_start = True
        if passes:
            self._ending(voice, passes)

    def _ending(self, voice: _Voice, text: str) -> None:
        passes: list[int] = []
        for piece in re.findall(r"\d{1,2}(?:-\d{1,2})?", text):
            first, _, last = piece.partition("-")
            passes.extend(range(int(first), int(last or first) + 1))
        if passes:
            self.made.measure(voice.measure).ending_start = tuple(sorted(set(passes)))
