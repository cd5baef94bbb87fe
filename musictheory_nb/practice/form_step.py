"""A step of a guide through a form, made ready to be asked: its question, its inputs, what is right and why."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.form_question import CHANGES, FORMS, LONGEST, VOICES
from musictheory_nb.practice.piece_sections import bare_letter, piece_sections, plan_words
from musictheory_nb.practice.plain_data import JSON, canonical_json
from musictheory_nb.practice.response import (
    ChoiceInput,
    Input,
    MeasuresInput,
    NumberInput,
    Option,
    SectionsInput,
    Step,
)
from musictheory_nb.practice.section_evidence import return_evidence, span_words
from musictheory_nb.theory.cadence import CADENCES
from musictheory_nb.theory.pitch_name import PitchName

_ORDINALS: Final = (
    "First", "Second", "Third", "Fourth", "Fifth", "Sixth", "Seventh", "Eighth", "Ninth", "Tenth", "Eleventh", "Twelfth",
)  # fmt: skip
#: The seven letters of a key signature without sharps or flats, in the order of the line of fifths.
_FIFTHS: Final = "FCGDAEB"
Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Asked:
    """One part of a step: its wording, its input, how it is judged and what is right."""

    label: str
    entry: Input
    judged: str
    truth: JSON

    def step(self, at: int) -> Step:
        """Return it as step number `at` of an item."""
        return Step(f"part-{at + 1}", self.label, (self.entry,))

    @property
    def solution(self) -> dict[str, JSON]:
        """What its input shows as right."""
        alone = self.judged in ("number", "choice")
        return {self.entry.id: [self.truth] if alone else self.truth}


@dataclass(frozen=True, slots=True)
class FormStep:
    """A step: the question, its parts, the explanation, and the measures in which the answer is."""

    prompt: str
    parts: tuple[Asked, ...]
    explain: str
    places: tuple[Span, ...] = ()
    marked: Excerpt | None = None


def players_of(excerpt: Excerpt) -> tuple[str, ...]:
    """Return the names of the players, one for the parts of one player.

    Examples
    --------
    >>> players_of(Excerpt.melody(["C4"]))
    ('part 1',)
    """
    names = (part.name or f"part {at + 1}" for at, part in enumerate(excerpt.parts))
    return tuple(dict.fromkeys(names))


def span_of(excerpt: Excerpt, numbers: Sequence[JSON]) -> Span:
    """Return measures by index from their printed numbers.

    Raises
    ------
    ExerciseError
        A measure that the excerpt has not, or the last before the first.
    """
    first, last = (excerpt.measure_index(str(number).strip()) for number in numbers)
    if first > last:
        raise ExerciseError(f"measures {list(numbers)}: write the first one first")
    return first, last


def _numbers(excerpt: Excerpt) -> tuple[str, ...]:
    return tuple(measure.number for measure in excerpt.measures)


def _options(table: Mapping[str, str] | Sequence[str]) -> tuple[Option, ...]:
    pairs = table.items() if isinstance(table, Mapping) else ((one, one) for one in table)
    return tuple(Option(value, label) for value, label in pairs)


def _spans(excerpt: Excerpt, spans: Sequence[Span]) -> str:
    return listed([span_words(excerpt, *span) for span in spans])


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _players(excerpt: Excerpt, names: Sequence[str]) -> list[str]:
    """Return players in the order of the score.

    Raises
    ------
    ExerciseError
        A name that no part has, or a score with one player.
    """
    known = players_of(excerpt)
    if len(known) < 2:
        raise ExerciseError("who plays: the excerpt has one player; leave this step out")
    if unknown := [name for name in names if name not in known]:
        raise ExerciseError(f"part {unknown[0]!r}: the excerpt has {', '.join(map(repr, known))}")
    return [name for name in known if name in names]


def _sections(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    piece = piece_sections(excerpt, canonical_json(row["answer"]))
    truth = [[start, label] for start, label in piece.division]
    asked = Asked(
        "Where does each section begin, and what is its letter?", SectionsInput(_numbers(excerpt)), "sections", truth
    )
    prompt = "Mark where each section begins and give it a letter: the same letter where the same music comes back."
    return FormStep(prompt, (asked,), piece.explain, piece.spans, piece.marked)


def _letters(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    """Ask for letters; a section that has a name in place of a letter, such as a coda, is told."""
    piece = piece_sections(excerpt, canonical_json(row["answer"]))
    rows = [
        (span, label if len(bare_letter(label)) > 1 else bare_letter(label).upper())
        for span, (_, label) in zip(piece.spans, piece.division, strict=True)
    ]
    named = [(span, label) for span, label in rows if len(label) > 1]
    (first, _), *others = lettered = [(span, label) for span, label in rows if len(label) == 1] or [((0, 0), "")]
    distinct = list(dict.fromkeys(letter for _, letter in lettered))
    if distinct != [chr(ord("A") + at) for at in range(len(distinct))] or len(distinct) < 2:
        raise ExerciseError(
            f"letters {[label for _, label in rows]}: the first is 'A', each new one takes the next, and there are at least "
            "two; a section may have a name in place of a letter, such as 'intro', and its name is told"
        )
    parts = [
        Asked(f"{_capital(span_words(excerpt, *span))}?", ChoiceInput(_options(distinct)), "choice", letter)
        for span, letter in others
    ]
    told = "".join(f" {_capital(span_words(excerpt, *span))}: {label}, without a letter." for span, label in named)
    prompt = (
        f"Give each section a letter. The first, {span_words(excerpt, *first)}, is A; the same music has the same "
        f"letter, and whatever is new takes the next one.{told}"
    )
    return FormStep(
        prompt,
        tuple(parts),
        f"The plan is {plan_words([label for _, label in rows])}.\n" + piece.explain.partition("\n")[2],
        piece.spans,
        piece.marked,
    )


def _form(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    asked = Asked("Which form is it?", ChoiceInput(_options(tuple(FORMS))), "choice", row["answer"])
    told = f"{_capital(row['answer'])}: {FORMS[row['answer']]}."
    if "measures" not in row:
        return FormStep("Which form has this music?", (asked,), told)
    span = span_of(excerpt, row["measures"])
    return FormStep(f"Which form has the music of {span_words(excerpt, *span)}?", (asked,), told, (span,))


def _returns(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    first = span_of(excerpt, row["measures"])
    spans = sorted(span_of(excerpt, numbers) for numbers in row["answer"])
    for one, other in zip([first, *spans], spans, strict=False):
        if one != other and other[0] <= one[1]:
            raise ExerciseError(f"returns of measures {row['measures']}: {row['answer']} overlap or come before them")
    told = [f"The music of {span_words(excerpt, *first)} comes back in {_spans(excerpt, spans)}."]
    told += [f"{_capital(span_words(excerpt, *s))}: {'; '.join(return_evidence(excerpt, s, [first]))}." for s in spans]
    asked = Asked(
        "Where does it come back?", MeasuresInput(_numbers(excerpt), 0), "measures", [list(span) for span in spans]
    )
    prompt = (
        f"Mark every place where the music of {span_words(excerpt, *first)} comes back later, as it was or changed."
    )
    return FormStep(prompt, (asked,), "\n".join(told), tuple(spans))


def _changes(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    then, now = span_of(excerpt, row["of"]), span_of(excerpt, row["measures"])
    changed = [name for name in CHANGES if name in row["answer"]]
    where = f"{span_words(excerpt, *now)}, against {span_words(excerpt, *then)}"
    asked = Asked("What has changed?", ChoiceInput(_options(CHANGES), many=True), "many", changed)
    told = (
        f"In {where}: {listed([CHANGES[name] for name in changed])} changed."
        if changed != ["nothing"]
        else f"In {where}, nothing changed."
    )
    prompt = (
        f"{_capital(span_words(excerpt, *now))} bring back {span_words(excerpt, *then)}. Choose all that has changed."
    )
    return FormStep(prompt, (asked,), told, (then, now))


def _phrases(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    first, last = span_of(excerpt, row["measures"])
    lengths = row["answer"]
    if sum(lengths) != last - first + 1:
        raise ExerciseError(
            f"phrase lengths {lengths}: they make {sum(lengths)} measures, and {span_words(excerpt, first, last)} are {last - first + 1}"
        )
    if len(lengths) > len(_ORDINALS):
        raise ExerciseError(f"phrase lengths {lengths}: ask for at most {len(_ORDINALS)} phrases in one step")
    parts, places, at = [], [], first
    for name, length in zip(_ORDINALS, lengths, strict=False):
        parts.append(Asked(f"{name} phrase: how many measures?", NumberInput(1, LONGEST, "measures"), "number", length))
        places.append((at, at + length - 1))
        at += length
    prompt = f"How long is each phrase of {span_words(excerpt, first, last)}? Count in measures."
    explain = f"The phrases are {_spans(excerpt, places)}: {listed([str(one) for one in lengths])} measures."
    return FormStep(prompt, tuple(parts), explain, tuple(places))


def _cadence(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    span = span_of(excerpt, row["measures"])
    asked = Asked("Which cadence is it?", ChoiceInput(_options(tuple(CADENCES))), "choice", row["answer"])
    where = span_words(excerpt, *span)
    name = row["answer"] if row["answer"] == "no cadence" else f"{row['answer']} cadence"
    told = f"{_capital(where)}: {name}" + (f", {CADENCES[row['answer']]}." if row["answer"] != "no cadence" else ".")
    return FormStep(f"Listen to the end of {where}. Which cadence ends there?", (asked,), told, (span,))


def held_notes(fifths: int, truth: str) -> tuple[str, ...]:
    """Return the notes to choose from: those of the key signature, and the right one.

    Examples
    --------
    >>> held_notes(1, "G"), held_notes(0, "Ab")
    (('A', 'B', 'C', 'D', 'E', 'F#', 'G'), ('A', 'Ab', 'B', 'C', 'D', 'E', 'F', 'G'))
    """
    sharp, flat = _FIFTHS[: max(0, fifths)], _FIFTHS[::-1][: max(0, -fifths)]
    own = {one + ("#" if one in sharp else "b" if one in flat else "") for one in _FIFTHS}
    return tuple(sorted(own | {PitchName(truth).name}))


def _within(excerpt: Excerpt, row: Mapping[str, JSON], answer: Span) -> str:
    """Return where to look, in words, for a step that says so.

    Raises
    ------
    ExerciseError
        The answer lies elsewhere.
    """
    if "measures" not in row:
        return ""
    first, last = span_of(excerpt, row["measures"])
    if not first <= answer[0] <= answer[1] <= last:
        raise ExerciseError(
            f"{row['ask']}: the answer, {span_words(excerpt, *answer)}, does not lie in {span_words(excerpt, first, last)}"
        )
    return f" in {span_words(excerpt, first, last)}"


def _pedal(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    numbers, note, voice = row["answer"]
    span, note = span_of(excerpt, numbers), PitchName(note).name
    names = held_notes(excerpt.measures[span[0]].fifths, note)
    labels = tuple(Option(name, display.note(name)) for name in names)
    parts = (
        Asked("In which measures?", MeasuresInput(_numbers(excerpt)), "measures", [list(span)]),
        Asked("Which note is it?", ChoiceInput(labels), "choice", note),
        Asked("In which voice?", ChoiceInput(_options(VOICES)), "choice", voice),
    )
    explain = f"{_capital(span_words(excerpt, *span))}: {display.note(note)} is held or repeated {VOICES[voice]}, a pedal point."
    prompt = f"Find the pedal point{_within(excerpt, row, span)}: a note held or repeated while the harmony moves."
    return FormStep(prompt, parts, explain, (span,))


def _trading(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    numbers, names, turn = row["answer"]
    span, players = span_of(excerpt, numbers), _players(excerpt, names)
    parts = (
        Asked("In which measures?", MeasuresInput(_numbers(excerpt)), "measures", [list(span)]),
        Asked("Who take turns?", ChoiceInput(_options(players_of(excerpt)), many=True), "many", players),
        Asked("How many measures has a turn?", NumberInput(1, LONGEST, "measures"), "number", turn),
    )
    each = "a measure" if turn == 1 else f"{turn} measures"
    explain = f"{_capital(span_words(excerpt, *span))}: {listed(players)} take turns, {each} each."
    prompt = f"Find where players take turns{_within(excerpt, row, span)}: who, and how long each of them plays."
    return FormStep(prompt, parts, explain, (span,))


def _orchestration(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    parts, places, told = [], [], []
    for numbers, names in row["answer"]:
        span, players = span_of(excerpt, numbers), _players(excerpt, names)
        where = _capital(span_words(excerpt, *span))
        parts.append(
            Asked(f"{where}: who plays?", ChoiceInput(_options(players_of(excerpt)), many=True), "many", players)
        )
        places.append(span)
        told.append(f"{where}: {listed(players)}.")
    return FormStep("Who plays in each section? Choose all who do.", tuple(parts), "\n".join(told), tuple(places))


_BUILDERS: Final[Mapping[str, Callable[[Excerpt, Mapping[str, JSON], Display], FormStep]]] = MappingProxyType(
    {
        "sections": _sections,
        "letters": _letters,
        "form": _form,
        "returns": _returns,
        "changes": _changes,
        "phrase lengths": _phrases,
        "cadence": _cadence,
        "pedal point": _pedal,
        "trading": _trading,
        "orchestration": _orchestration,
    }
)


def form_step(excerpt: Excerpt, row: Mapping[str, JSON], display: Display) -> FormStep:
    """Return a step made ready to be asked.

    Parameters
    ----------
    excerpt : Excerpt
        The piece.
    row : Mapping
        A step that has passed `form_question.is_form_step`.
    display : Display
        How notes are named.

    Raises
    ------
    ExerciseError
        Measures or parts that the excerpt has not, or an answer that contradicts itself.
    """
    return _BUILDERS[row["ask"]](excerpt, row, display)
