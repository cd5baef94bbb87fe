"""A piece with a teacher's corrections: what it says of itself is the analysis, put right where the file says so."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cached_property

from musictheory_nb.classroom.piece_corrections import Corrections
from musictheory_nb.errors import ScoreError
from musictheory_nb.score.devices import find_devices
from musictheory_nb.score.finding import Finding
from musictheory_nb.score.form_section import Form, Section
from musictheory_nb.score.harmony_building import cut_span, harmony_span, notes_between, usual_numeral
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.key_finding import KeyCandidate, KeyFinding
from musictheory_nb.score.piece import Piece
from musictheory_nb.theory.chord import Chord

BY_TEACHER = "as the teacher says"


class CorrectedPiece(Piece):
    r"""A piece whose key, chords, sections and findings are those of the analysis with a teacher's corrections.

    Examples
    --------
    >>> from musictheory_nb.classroom.piece_corrections import parse_corrections
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCEGE|DFAF|GBdB|c4|]\n", cache=False)
    >>> right = correct_piece(tune, parse_corrections("chord 2: Dm7\nsection 1: A\nsection 3: B\n"))
    >>> [span.chord.symbol for span in right.harmony() if span.measure == 1], right.form().plan
    (['Dm7'], 'AB')
    """

    corrections: Corrections

    @cached_property
    def _key(self) -> KeyFinding:
        if self.corrections.key is None:
            return super()._key
        key = self.corrections.key
        return KeyFinding(key, BY_TEACHER, 1.0, (KeyCandidate(key, 1.0, f"{key.name}, {BY_TEACHER}."),))

    @cached_property
    def _harmony(self) -> tuple[HarmonySpan, ...]:
        spans = list(super()._harmony)
        for fix in self.corrections.chords:
            start = _start_of(self, fix.bar, fix.beat, self.corrections, fix.line)
            spans = _with_chord(self, spans, start, fix.chord)
        return tuple(spans)

    @cached_property
    def _form(self) -> Form:
        return _with_sections(self, self.corrections) if self.corrections.sections else super()._form

    @cached_property
    def _devices(self) -> tuple[Finding, ...]:
        found = list(find_devices(self, spans=self._chords, form=self._form, texture=self._texture))
        for verdict in self.corrections.verdicts:
            meant = [one for one in found if one.name == verdict.name and one.measures == (verdict.first, verdict.last)]
            if not meant:
                there = [f"{one.first_number}-{one.last_number}" for one in found if one.name == verdict.name]
                known = f"it stands in bars {', '.join(there)}" if there else "it was found nowhere"
                raise self.corrections.error(
                    verdict.line, f"no {verdict.name!r} was found in bars {verdict.first}-{verdict.last}; {known}"
                )
            for one in meant:
                at = found.index(one)
                found[at : at + 1] = [replace(one, confidence=1.0)] if verdict.is_right else []
        return tuple(found)


def correct_piece(piece: Piece, corrections: Corrections) -> CorrectedPiece:
    """Return the piece with a teacher's corrections.

    Raises
    ------
    LessonError
        When it is asked for what a line speaks of: a bar, beat or finding that the piece has not.
    """
    made = CorrectedPiece.of(piece)
    object.__setattr__(made, "corrections", corrections)
    return made


def _start_of(piece: Piece, bar: str, beat: Fraction, corrections: Corrections, line: int) -> Fraction:
    """Return where a beat of a bar lies, in quarters from the start of the piece."""
    try:
        measure = piece.measures[piece.measure_index(bar)]
    except ScoreError as error:
        raise corrections.error(line, str(error)) from None
    unit = Fraction(4, int(measure.metre.rpartition("/")[2] or 4))
    onset = (beat - 1) * unit - measure.offset
    if not 0 <= onset < measure.length:
        raise corrections.error(line, f"beat {beat} of bar {bar}: the bar has no such beat")
    return measure.start + onset


def _with_chord(piece: Piece, spans: Sequence[HarmonySpan], start: Fraction, chord: Chord) -> list[HarmonySpan]:
    """Return the spans with another chord from `start` to where the next one begins."""
    from_here = [span for span in spans if span.end > start]
    if not from_here:
        return list(spans)
    holder = from_here[0]
    following = next((span for span in spans if span.start > start), None)
    end = following.start if following else max(span.end for span in spans)
    kept = [span for span in spans if span.start != holder.start]
    parted = [cut_span(piece, holder, holder.start, start)] if holder.start < start else []
    numeral = usual_numeral(chord, holder.key, following.chord if following else None)
    notes = notes_between(holder, start, end)
    right = harmony_span(piece, start, end, chord, "written", 1.0, notes, holder.key, numeral)
    return sorted([*kept, *parted, right], key=lambda span: span.start)


def _with_sections(piece: Piece, corrections: Corrections) -> Form:
    """Return the form that the teacher's sections make, each played as often as the piece is unrolled."""
    places = []
    for fix in corrections.sections:
        try:
            places.append((piece.measure_index(fix.bar), fix.label))
        except ScoreError as error:
            raise corrections.error(fix.line, str(error)) from None
    if [at for at, _ in places] != sorted({at for at, _ in places}):
        raise corrections.error(
            corrections.sections[0].line, "sections stand in the order of their bars, each bar once"
        )
    played = piece.played().measures
    starts: list[tuple[int, str]] = []
    for at, measure in enumerate(played):
        begun = [label for bar, label in places if bar == measure.written]
        if begun:
            starts.append((at, begun[0]))
    sections: list[Section] = []
    for number, (first, label) in enumerate(starts):
        last = starts[number + 1][0] - 1 if number + 1 < len(starts) else len(played) - 1
        letter = label.rstrip("'′0123456789") or label
        like = next((at for at, one in enumerate(sections) if one.letter == letter), None)
        sections.append(
            Section(
                label,
                letter,
                first,
                last,
                played[first].number,
                played[last].number,
                last - first + 1,
                like,
                evidence=(BY_TEACHER,),
            )
        )
    return Form("".join(one.letter for one in sections), tuple(sections), "", evidence=(BY_TEACHER,))
