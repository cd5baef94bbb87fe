"""Exercise family: say what each note of a line is: chord tone, passing tone, neighbor tone, approach, suspension and others."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.counting_words import counted, sentence
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.line_over_chords import LineRole, line_roles, over_its_chords
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_renaming import renamed
from musictheory_nb.practice.note_role_settings import SETTINGS, RoleCase, check_roles, role_case
from musictheory_nb.practice.note_role_words import NEAR_ROLES, ROLE_NAMES, model_figure, role_credit
from musictheory_nb.practice.place_words import place_words
from musictheory_nb.practice.response import Answer, Option, Response, RolesInput, Step
from musictheory_nb.practice.section_evidence import span_words

_STEP: Final = "roles"
#: What the chord tones of a line make up of the score where other notes are asked about, too.
CHORD_TONE_WEIGHT: Final = 1 / 3
#: So many faults are told with their reason.
_MOST_TOLD: Final = 3
_NEAR: Final = "; ".join(sorted(" and ".join(sorted(ROLE_NAMES[one] for one in pair)) for pair in NEAR_ROLES))
CREDIT: Final = (
    ("chord tones", "their share that is right, together a third of the score"),
    ("other notes", "their share that is right, together two thirds of the score"),
    ("a role that is near", "half of its note"),
)


@dataclass(frozen=True)
class NoteRoles:
    """Note roles, version 1.

    A line is heard over its chords and seen under their symbols; the student says what each of its notes is. Lines are
    drawn by rule over progressions, written by the teacher, or taken from a piece with chord symbols. What a note is
    says `theory.note_role`: how it is reached and left comes first, its place in the chord's scale after that.

    Settings::

    {settings}

    Marking:

    {credit}

    Where only chord tones, or only other notes, are asked about, they make up the whole. Near are: {near}. With
    ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "note-roles"
    version: int = 1
    title: str = "The roles of notes in a line"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_roles(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        made = _made(question.settings, role_case(question))
        return replace(made, exercise=question.exercise, index=question.index)

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        given, right = answer[_STEP]["roles"], item.key["roles"]
        score = _score(right, given)
        wrong = [at for at, (one, other) in enumerate(zip(right, given, strict=True)) if one != other]
        if not wrong:
            return Mark(1.0, "Every note is right.")
        music, display = item.media[1].excerpt, Display.of_key(item.key)
        roles = {one.index: one for one in line_roles(music, *item.key["measures"], item.key["key"])}
        told = [f"{len(right) - len(wrong)} of {len(right)} {'note is' if len(right) == 1 else 'notes are'} right."]
        for at in wrong[:_MOST_TOLD]:
            one = roles[item.key["notes"][at]]
            place = place_words(music, music.notes[one.index])
            names = f"{ROLE_NAMES[right[at]]}, not {ROLE_NAMES[given[at]]}"
            told.append(f"{sentence(place).rstrip('.')}: {names}. {_reason(one, display)}")
        if len(wrong) > _MOST_TOLD:
            more = len(wrong) - _MOST_TOLD
            told.append(f"{counted(more, 'more note').capitalize()} {'is' if more == 1 else 'are'} wrong.")
        return Mark(score if item.key["partial"] else 0.0, " ".join(told))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the first note that is wrong in its place, and a figure in C that shows the role that was answered."""
        given, right = answer[_STEP]["roles"], item.key["roles"]
        at = next((at for at, (one, other) in enumerate(zip(right, given, strict=True)) if one != other), None)
        if at is None:
            return ()
        music, heard = item.media[1].excerpt, item.media[0].excerpt
        note = music.notes[item.key["notes"][at]]
        first = max(item.key["measures"][0], note.measure - (note.onset == 0))
        last = min(item.key["measures"][1], note.measure + _is_last(music, item.key["notes"][at]))
        _, model = model_figure(given[at], "treble", music.parts[0].timbre)
        place = place_words(music, note)
        return (
            MediaRequest("sound", heard, f"{sentence(ROLE_NAMES[right[at]]).rstrip('.')}: {place}", "answered", first, last),
            MediaRequest("sound", over_its_chords(model), f"Your answer, as it would be in C: {ROLE_NAMES[given[at]]}", "answered"),
        )  # fmt: skip

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right role, the one answered) of the first note that is wrong; None for a full score."""
        pairs = zip(item.key["roles"], answer[_STEP]["roles"], strict=True)
        return next(((ROLE_NAMES[one], ROLE_NAMES[other]) for one, other in pairs if one != other), None)


@lru_cache(maxsize=8192)
def _made(settings: CompleteSettings, case: RoleCase) -> Item:
    """Return the item, but for the exercise it belongs to and its place there."""
    display = Display.of(settings)
    music, span = case.music, (case.first, case.last)
    roles = line_roles(music, *span, case.key)
    asked = tuple(one for one in roles if settings["ask"] == "all" or one.found.role != "chord tone") or roles
    heard, where = over_its_chords(music), span_words(music, *span)
    written = f", {display.written_for}," if display.written_for and not settings["excerpt"] else ""
    which = "each note" if len(asked) == len(roles) else "each of the notes that are no chord tones"
    title = f"{where}{f' of {music.title}' if music.title else ''}" if settings["excerpt"] else "the line"
    return Item(
        "",
        0,
        f"Hear and see {title}{written} with its chords. What is {which}?",
        (
            MediaRequest("sound", heard, "Hear the line over its chords", "asked", *span),
            MediaRequest("notation", music, "The line and its chords", "asked", *span),
            MediaRequest(
                "notation", music, "The notes that are no chord tones, marked", "answered", *span,
                marked=tuple(one.index for one in roles if one.found.role != "chord tone"),
            ),
        ),
        Response((Step(_STEP, f"What is {which}?", (_input(music, asked, tuple(settings["roles"]), display),)),)),
        {
            "roles": [one.found.role for one in asked],
            "notes": [one.index for one in asked],
            "chords": [one.found.chord.symbol for one in asked],
            "measures": span,
            "key": case.key,
            "partial": settings["partial"],
            **display.key,
        },
        _told(music, roles, display),
        {_STEP: {"roles": [one.found.role for one in asked]}},
    )  # fmt: skip


def _score(right: list[str], given: list[str]) -> float:
    """Return the score: chord tones together a third, other notes two thirds, where there are both."""
    shares = []
    for is_tone, weight in ((True, CHORD_TONE_WEIGHT), (False, 1 - CHORD_TONE_WEIGHT)):
        worth = [role_credit(a, b) for a, b in zip(right, given, strict=True) if (a == "chord tone") == is_tone]
        if worth:
            shares.append((weight, sum(worth) / len(worth)))
    if all(share == 1.0 for _, share in shares):
        return 1.0
    return sum(weight * share for weight, share in shares) / sum(weight for weight, _ in shares)


@lru_cache(maxsize=8192)
def _input(music: Excerpt, asked: tuple[LineRole, ...], roles: tuple[str, ...], display: Display) -> RolesInput:
    occurring = {one.found.role for one in asked}
    offered = tuple(Option(role, name) for role, name in ROLE_NAMES.items() if role in roles or role in occurring)
    return RolesInput(tuple(display.pitch(music.notes[one.index].pitches[0]) for one in asked), offered)


def _is_last(music: Excerpt, index: int) -> bool:
    """Return whether a note is the last one of its measure, so that what it goes to stands in the next."""
    note = music.notes[index]
    return note.onset + note.duration >= music.measures[note.measure].length


def _reason(one: LineRole, display: Display) -> str:
    return renamed(one.found.reason.replace("neighbours", "neighbor tones"), display.names)


@lru_cache(maxsize=8192)
def _told(music: Excerpt, roles: tuple[LineRole, ...], display: Display) -> str:
    """Return why each note that is no chord tone is what it is, a line each."""
    others = [one for one in roles if one.found.role != "chord tone"]
    rows = [
        f"{sentence(place_words(music, music.notes[one.index])).rstrip('.')}, {ROLE_NAMES[one.found.role]}: "
        f"{_reason(one, display)}"
        for one in others
    ]
    if len(others) < len(roles):
        rows.append("The other notes are chord tones." if others else "All notes are chord tones.")
    return "\n".join(rows)


NoteRoles.__doc__ = described(NoteRoles.__doc__, SETTINGS, credit=credit_table(("what", "credit"), CREDIT), near=_NEAR)
NOTE_ROLES: Final = NoteRoles()
