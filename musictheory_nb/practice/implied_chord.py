"""Exercise family: name the chord that a line without chords suggests."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.chord_marking import (
    QUALITY_CREDIT,
    STEPS,
    ChordReading,
    case_of_degrees,
    quality_options,
    right_values,
)
from musictheory_nb.practice.chord_vocabulary import (
    QUALITY_NAMES,
    chord_of,
    chord_sentence,
    chord_shown,
    tone_names,
)
from musictheory_nb.practice.counting_words import listed, sentence
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.implied_chord_settings import (
    SETTINGS,
    ChordLine,
    check_lines,
    chord_line,
    line_order,
    qualities_offered,
)
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.line_over_chords import line_roles, over_its_chords
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_renaming import renamed
from musictheory_nb.practice.passage_words import passage_read_aloud
from musictheory_nb.practice.place_words import place_words
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Option, Response, Step, SymbolInput
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: What a chord of the right sound is worth that is spelled otherwise, and one with all its tones on another root.
SPELLING_SCORE, SAME_TONES_SCORE = 0.5, 0.5
_SYMBOL, _ROOT, _QUALITY = "symbol", "root", "quality"
_TOTAL: Final = STEPS[_ROOT] + STEPS[_QUALITY]
_QUALITY_SCORES: Final = {case: score for case, _, score in QUALITY_CREDIT}
_MOST_TOLD: Final = 3
CREDIT: Final = (
    ("the chord", "1"),
    ("a chord that sounds so and is spelled otherwise; 1 with ``enharmonic`` or where it is only heard", f"{SPELLING_SCORE}"),
    ("a chord with the same tones on another root (C6 for Am7), where the line begins or ends on its root", f"{SAME_TONES_SCORE}"),
    ("the root", f"{STEPS[_ROOT] / _TOTAL:g}"),
    *((f"the quality: {what}", f"{STEPS[_QUALITY] / _TOTAL * score:g}") for _, what, score in QUALITY_CREDIT),
)  # fmt: skip


@dataclass(frozen=True)
class ImpliedChord:
    """Implied chord, version 1.

    A line without chords is heard and seen: a walking bass, a broken chord, a melody. The student names the chord that it
    suggests; or a passage of a piece. Lines drawn by rule have all tones of the chord; a walking bass begins on the root, a broken chord begins and
    turns on it, a melody has chord tones on its strong beats and ends on the root. Each quality comes once before any
    comes again, and no line of it before all have come. Where a melody has the tones of two chords (C6 and Am7), each is
    right. A bass that is written after a stroke is not marked.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "implied-chord"
    version: int = 1
    title: str = "The chord that a line suggests"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_lines(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        which, number = line_order(
            question.lesson, question.exercise, question.version, question.seed, question.count, question.settings
        )[question.index]
        piece = question.excerpt() if question.settings["excerpt"] else None
        made = _made(question.settings, chord_line(question.settings, which, number, piece))
        return replace(made, exercise=question.exercise, index=question.index)

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        right = chord_shown(found.right.root, found.right.quality, 0, display.names)
        given = found.given.spelled(display.theory_names, printed=True)
        if found.score == 1.0:
            return Mark(1.0, f"Right: {right}." if not found.fault else f"Right: {given}, by another spelling.")
        if found.given.root is None:
            return Mark(0.0, f"There is a chord: {right}.")
        why = {
            "spelling": f"The sound is right, but spelled so it is {right}, not {given}.",
            "root": f"{given} has the same notes, but the line makes {display.note(found.right.root)} the root: {right}.",
            "parts": f"Not {given}, but {right}." + _what_is_right(found),
        }[found.fault]
        return Mark(found.score if item.key["partial"] else 0.0, why)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the line over its chord and over the one answered; where they sound alike, the two are seen."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        if found.score == 1.0 or found.given.root is None:
            return ()
        own = item.media[-1].excerpt
        other = replace(own, chords=tuple(replace(chord, text=_plain(found.given).symbol) for chord in own.chords))
        alike = found.fault in ("spelling", "root")
        rows = (
            (f"Right: {chord_shown(found.right.root, found.right.quality, 0, display.names)}", own),
            (f"Your answer: {_plain(found.given).spelled(display.theory_names, printed=True)}", other),
        )
        return tuple(
            MediaRequest(
                "notation" if alike else "sound", music if alike else over_its_chords(music), label, "answered"
            )
            for label, music in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right quality, the one answered), or root or spelling where that is wrong; None for a full score."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        if found.score == 1.0:
            return None
        right, root = QUALITY_NAMES[found.right.quality], found.given.root
        if root is None:
            return right, "no chord"
        given = _plain(found.given).words
        if given != right:
            return right, given
        return f"{right} on {display.note(found.right.root)}", f"on {display.note(root.name)}"


@dataclass(frozen=True, slots=True)
class _Judged:
    """An answer against the reading that it agrees with best; its fault is '', 'spelling', 'root' or 'parts'."""

    right: ChordReading
    given: Chord
    fault: str
    score: float
    has_root: bool = False
    case: str = "other"


def _plain(chord: Chord) -> Chord:
    """Return a chord with its root in the bass."""
    return chord if chord.root is None or chord.bass == chord.root else Chord.of(chord.root, chord.degrees)


def _judged(item: Item, answer: Answer) -> _Judged:
    key, display = item.key, Display.of_key(item.key)
    if _SYMBOL in answer:
        given = Chord(answer[_SYMBOL]["symbol"], names=display.theory_names)
    else:
        given = chord_of(answer[_ROOT]["choice"], answer[_QUALITY]["choice"])
    found = [_against(ChordReading(*row), given, key["by_sound"] or key["enharmonic"]) for row in key["readings"]]
    best = max(found, key=lambda one: one.score)
    return best if key["partial"] or best.score == 1.0 else replace(best, score=0.0)


@lru_cache(maxsize=8192)
def _against(right: ChordReading, given: Chord, by_sound: bool) -> _Judged:
    if given.root is None:
        return _Judged(right, given, "parts", 0.0)
    chord = chord_of(right.root, right.quality)
    assert chord.root is not None
    plain = _plain(given)
    if plain.root == chord.root and plain.degrees == chord.degrees:
        return _Judged(right, given, "", 1.0)
    case = case_of_degrees(chord.degrees, plain.degrees)
    has_root = plain.root == chord.root
    score = (STEPS[_ROOT] * has_root + STEPS[_QUALITY] * _QUALITY_SCORES[case]) / _TOTAL
    if plain.pitch_classes == chord.pitch_classes:
        if given.root.pitch_class == chord.root.pitch_class:
            return _Judged(right, given, "spelling", 1.0 if by_sound else max(score, SPELLING_SCORE))
        return _Judged(right, given, "root", max(min(score, 0.9), SAME_TONES_SCORE))
    return _Judged(right, given, "parts", min(score, 0.9), has_root, case)


def _what_is_right(found: _Judged) -> str:
    near = {"seventh": ["third", "fifth"], "third": ["third"]}.get(found.case, []) if found.has_root else []
    right = ["root", *near] if found.has_root else ["quality"] if found.case == "right" else []
    return f" The {listed(right)} {'is' if len(right) == 1 else 'are'} right." if right else ""


@lru_cache(maxsize=8192)
def _readings(
    root: str, quality: str, qualities: tuple[str, ...], every_root: bool, by_sound: bool
) -> tuple[ChordReading, ...]:
    """Return the chords that are right: the one meant; in a melody, those with the same tones; by ear, those alike."""
    names = tone_names(root, quality)
    classes = {PitchName(name).pitch_class for name in names}
    found = [ChordReading(quality, 0, root)]
    for other in names:
        for kind in qualities:
            if not every_root and not (by_sound and kind == quality):
                continue
            try:
                spelled = tone_names(other, kind)
            except TheoryError:
                continue
            same = (
                {PitchName(name).pitch_class for name in spelled} == classes if by_sound else set(spelled) == set(names)
            )
            if same and ChordReading(kind, 0, other) not in found:
                found.append(ChordReading(kind, 0, other))
    return tuple(found)


@lru_cache(maxsize=8192)
def _made(settings: CompleteSettings, line: ChordLine) -> Item:
    """Return the item, but for the exercise it belongs to and its place there."""
    display, root, quality, music = Display.of(settings), line.root, line.quality, line.music
    by_sound = "notation" not in settings["given"]
    readings = _readings(root, quality, qualities_offered(settings), line.texture in ("melody", "line"), by_sound)
    shown = chord_shown(root, quality, 0, display.names)
    heard = MediaRequest("sound", line.alone, "Hear the line")
    seen = MediaRequest("notation", line.alone, "The line")
    return Item(
        "",
        0,
        _prompt(settings, line, display),
        (
            *((heard,) if "sound" in settings["given"] else ()),
            *((seen,) if "notation" in settings["given"] else ()),
            MediaRequest("sound", over_its_chords(music), f"Hear the line over {shown}", "answered"),
            MediaRequest(
                "notation", music, f"The line over {shown}, its chord tones marked", "answered", marked=_chord_tones(line),
            ),
        ),
        Response(_steps(settings, line, display)),
        {
            "root": root,
            "quality": quality,
            "readings": [(one.quality, one.inversion, one.root) for one in readings],
            "by_sound": by_sound,
            "enharmonic": settings["enharmonic"],
            "partial": settings["partial"],
            **display.key,
        },
        _explained(line, readings, display),
        _solution(settings, readings, display),
        (seen,) if by_sound else (),
        passage_read_aloud(line.alone, 0, len(music.measures) - 1, display) if "sound" not in settings["given"] else "",
    )  # fmt: skip


def _prompt(settings: CompleteSettings, line: ChordLine, display: Display) -> str:
    """Return the question; where the line is only heard, with its first note."""
    verb = " and ".join(word for kind, word in (("sound", "hear"), ("notation", "see")) if kind in settings["given"])
    written = f" {display.written_for}" if display.written_for and line.texture != "passage" else ""
    by_sound = "notation" not in settings["given"]
    start = display.pitch(line.music.notes[_first_note(line.music)].pitches[0])
    first = f" Its first note is {start}{written}." if by_sound else ""
    comma = f",{written}," if written and not by_sound else ""
    without = "" if line.texture in ("broken chord", "passage") else " without chords"
    what = f"the {line.texture}{comma}{without}"
    if line.texture == "passage":
        what = span_words(line.music, 0, len(line.music.measures) - 1)
        first = first.replace("Its first", "The first")
    does = "do they" if line.texture == "passage" and len(line.music.measures) > 1 else "does it"
    return f"{verb.capitalize()} {what}.{first} Which chord {does} suggest?"


def _first_note(music: Excerpt) -> int:
    """Return which note is heard first, of several the lowest."""
    inside = [at for at, note in enumerate(music.notes) if note.pitches]
    return min(
        inside,
        key=lambda at: (music.notes[at].measure, music.notes[at].onset, Pitch(music.notes[at].pitches[0]).chromatic),
    )


def _chord_tones(line: ChordLine) -> tuple[int, ...]:
    """Return the notes (indices) that belong to the chord; a note that is tied over is not marked again."""
    tones = {PitchName(name).pitch_class for name in tone_names(line.root, line.quality)}
    return tuple(
        at
        for at, note in enumerate(line.music.notes)
        if note.tie in ("", "start") and any(Pitch(name).pitch_class in tones for name in note.pitches)
    )


def _steps(settings: CompleteSettings, line: ChordLine, display: Display) -> tuple[Step, ...]:
    if settings["answer"] == "symbol":
        return (Step(_SYMBOL, "What is its symbol?", (SymbolInput("chord", names=display.theory_names),)),)
    pitches = [Pitch(name) for note in line.music.notes for name in note.pitches]
    names = {pitch.pitch_name.name: pitch.pitch_class for pitch in pitches}
    names.setdefault(line.root, PitchName(line.root).pitch_class)
    roots = tuple(Option(name, display.note(name)) for name in sorted(names, key=lambda name: (names[name], name)))
    return (
        Step(_ROOT, "What is its root?", (ChoiceInput(roots),)),
        Step(_QUALITY, "Which quality is it?", (ChoiceInput(quality_options(qualities_offered(settings))),)),
    )


def _solution(
    settings: CompleteSettings, readings: tuple[ChordReading, ...], display: Display
) -> dict[str, dict[str, JSON]]:
    if settings["answer"] == "parts":
        return {step: {"choice": right_values(readings, step)} for step in (_ROOT, _QUALITY)}
    names = display.theory_names
    symbols = [chord_of(one.root, one.quality).spelled(names) for one in readings]
    return {_SYMBOL: {"symbol": symbols}}


def _explained(line: ChordLine, readings: tuple[ChordReading, ...], display: Display) -> str:
    """Return which tones make the chord, where its root stands, and what the other notes are."""
    told = [f"{chord_sentence(line.root, line.quality, 0, display).partition(';')[0]}."]
    home = display.note(line.root)
    where = {
        "walking bass": f"The walking bass begins and ends on the root, {home}.",
        "broken chord": f"The broken chord rises from its root, {home}.",
        "melody": f"The chord tones stand on the strong beats, and the melody ends on the root, {home}.",
        "passage": f"The notes of {span_words(line.music, 0, len(line.music.measures) - 1)} that belong to it are marked.",
    }
    told += [where[line.texture]] if line.texture in where else []
    if len(line.music.parts) == 1:
        roles = line_roles(line.music, 0, len(line.music.measures) - 1, line.key)
        for one in [one for one in roles if one.found.role != "chord tone"][:_MOST_TOLD]:
            place = sentence(place_words(line.music, line.music.notes[one.index])).rstrip(".")
            told.append(f"{place}: {renamed(one.found.reason.replace('neighbours', 'neighbor tones'), display.names)}")
    if len(readings) > 1:
        names = [chord_shown(one.root, one.quality, 0, display.names) for one in readings[1:]]
        told.append(f"{listed(names)} would be right, too.")
    return " ".join(told)


ImpliedChord.__doc__ = described(ImpliedChord.__doc__, SETTINGS, credit=credit_table(("answer", "score"), CREDIT))
IMPLIED_CHORD: Final = ImpliedChord()
