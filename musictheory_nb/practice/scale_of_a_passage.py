"""Exercise family: name the scale or mode of a passage of a real piece."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.counting_words import listed, sentence
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.passage_scale import (
    in_other_mode,
    passage_amounts,
    scale_classes,
    telling_places,
    with_drone,
)
from musictheory_nb.practice.passage_words import passage_read_aloud
from musictheory_nb.practice.place_words import place_words
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, Option, Response, Step, SymbolInput
from musictheory_nb.practice.scale_answer import (
    BUTTONS_WITH_TONIC,
    STEP,
    TONIC_CREDIT,
    judge_scale,
    kind_case,
    kind_options,
    scale_compare,
    scale_confusion,
    scale_mark,
)
from musictheory_nb.practice.scale_passage_settings import (
    SETTINGS,
    ScalePassage,
    check_passages,
    kinds_offered,
    passage_of,
)
from musictheory_nb.practice.scale_vocabulary import (
    kind_shown,
    scale_line,
    scale_on,
    scale_sentence,
    shown_scale,
    signs_of,
)
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.sounding_pitch import sounding_pitches
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import write_pitch

#: How many scales there are to choose from where the tonic is asked for, too.
MOST_OFFERED: Final = 6
#: So many places of telling notes, and notes outside the scale, are told.
_MOST_TOLD: Final = 3


@dataclass(frozen=True)
class ScaleOfAPassage:
    """Scale of a passage, version 1.

    A passage of a piece is heard, seen, or both; the student names its scale or mode on the tonic that is told, held as
    a drone, or asked for. Passages come in rounds. Scales that a passage cannot tell from the teacher's, as the note
    in which they differ does not occur, are right, too.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0. Where the tonic is told, a button names the kind alone.
    """

    kind: str = "scale-of-a-passage"
    version: int = 1
    title: str = "The scale of a passage"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_passages(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display = question.settings, Display.of(question.settings)
        excerpt, chosen = passage_of(question)
        span, where = (chosen.first, chosen.last), span_words(excerpt, chosen.first, chosen.last)
        home, is_asked = display.note(chosen.tonic), settings["tonic"] == "asked"
        heard = with_drone(excerpt, chosen.tonic) if settings["tonic"] == "drone" else excerpt
        sound = MediaRequest("sound", heard, f"Hear {where}", "asked", *span)
        notation = MediaRequest("notation", excerpt, f"Score of {where}", "asked", *span)
        given = settings["given"]
        inputs, right = _inputs(question.draw(), chosen, settings)
        told_home = {"told": f" The tonic is {home}.", "drone": f" The drone is the tonic, {home}."}
        senses = " and ".join(word for kind, word in (("sound", "hear"), ("notation", "see")) if kind in given)
        shown = shown_scale(chosen.tonic, chosen.kind, display)
        return Item(
            question.exercise,
            question.index,
            f"{senses.capitalize()} {where}.{told_home.get(settings['tonic'], '')} In which scale or mode "
            f"{'are they' if chosen.last > chosen.first else 'is it'}?",
            (
                *((sound,) if "sound" in given else ()),
                *((notation,) if "notation" in given else ()),
                *(() if "sound" in given else (MediaRequest("sound", heard, f"Hear {where}", "answered", *span),)),
                MediaRequest(
                    "notation",
                    excerpt,
                    f"Score of {where}: {shown}",
                    "answered",
                    *span,
                    marked=telling_places(excerpt, *span, chosen.tonic, chosen.kind),
                ),
            ),
            Response((Step(STEP, f"Which scale is it{', and on which tonic' if is_asked else ''}?", inputs),)),
            {
                "excerpt": chosen.excerpt,
                "measures": span,
                "tonic": chosen.tonic,
                "kind": chosen.kind,
                "also": chosen.also,
                "pitches": scale_line(chosen.tonic, chosen.kind, 4, "up"),
                "direction": "up",
                "partial": settings["partial"],
                **display.key,
            },
            passage_sentences(excerpt, chosen, display),
            {STEP: right},
            () if "notation" in given else (notation,),
            "" if "sound" in given else passage_read_aloud(excerpt, *span, display),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        return scale_mark(item, answer)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the passage as it is and as it would be in the mode answered; else the two scales."""
        judged, key = judge_scale(item, answer), item.key
        if judged.score == 1.0:
            return ()
        if judged.kind and judged.tonic == key["tonic"]:
            sound = next(one for one in item.media if one.kind == "sound")
            changed = in_other_mode(sound.excerpt, key["tonic"], key["kind"], judged.kind)
            if changed is not None:
                display, span = Display.of_key(key), key["measures"]
                rows = (
                    (f"Right: {shown_scale(key['tonic'], key['kind'], display)}", sound.excerpt),
                    (f"As it would be in {shown_scale(judged.tonic, judged.kind, display)}", changed),
                )
                return tuple(MediaRequest("sound", music, label, "answered", *span) for label, music in rows)
        return scale_compare(item, answer, ("sound",), as_it_sounds=True)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right scale, the one answered) in words; None for a full score."""
        return scale_confusion(item, answer)


def _inputs(draw: Draw, chosen: ScalePassage, settings: CompleteSettings) -> tuple[tuple[Input, ...], dict[str, JSON]]:
    """Return the inputs of an item, and what each shows as right."""
    names, kinds = Display.of(settings).theory_names, kinds_offered(settings)
    fitting = (chosen.kind, *chosen.also)
    right = [_written(chosen.tonic, kind, names) for kind in fitting]
    found: tuple[Input, ...] = ()
    values: dict[str, JSON] = {}
    if "buttons" in settings["inputs"] and settings["tonic"] == "asked":
        scales = _offered(draw, chosen, kinds)
        options = tuple(
            Option(_written(tonic, kind, names), shown_scale(tonic, kind, Display.of(settings)))
            for tonic, kind in scales
        )
        found += (ChoiceInput(options, id=BUTTONS_WITH_TONIC),)
        values[BUTTONS_WITH_TONIC] = [option.value for option in options if option.value in right]
    elif "buttons" in settings["inputs"]:
        found += (ChoiceInput(kind_options(kinds)),)
        values["choice"] = [kind for kind in kinds if kind in fitting]
    if "text" in settings["inputs"]:
        found += (SymbolInput("scale", names=names),)
        values["symbol"] = right
    return found, values


@lru_cache(maxsize=4096)
def _written(tonic: str, kind: str, names: str) -> str:
    return f"{write_pitch(PitchName(tonic), names)} {kind}"


def _offered(draw: Draw, chosen: ScalePassage, kinds: Sequence[str]) -> list[tuple[str, str]]:
    """Return the scales to choose from: the right one, others on its tonic, and the same notes from other tonics."""
    own = scale_classes(chosen.tonic, chosen.kind)
    near = [(chosen.tonic, kind) for kind in draw.shuffled(kinds) if kind_case(chosen.kind, kind, "up") != "right"]
    names = [name for name in scale_on(chosen.tonic, chosen.kind).names if name != chosen.tonic]
    same = [
        (tonic, kind)
        for tonic in draw.shuffled(names)
        for kind in kinds
        if _can_stand(tonic, kind) and scale_classes(tonic, kind) == own
    ]
    half = max(MOST_OFFERED // 2 - 1, MOST_OFFERED - 1 - len(near))
    offered = [(chosen.tonic, chosen.kind), *same[:half]]
    offered += near[: MOST_OFFERED - len(offered)]
    return sorted(offered, key=lambda scale: (PitchName(scale[0]).name, list(kinds).index(scale[1])))


@lru_cache(maxsize=4096)
def _can_stand(tonic: str, kind: str) -> bool:
    """Return whether a scale has at most seven sharps or flats, none of them double."""
    return all(abs(PitchName(name).alter) <= 1 for name in scale_on(tonic, kind).names)


@lru_cache(maxsize=1024)
def passage_sentences(excerpt: Excerpt, chosen: ScalePassage, display: Display) -> str:
    """Return why a passage is in its scale: its home, its notes, those that tell, and those that do not occur."""
    first, last, tonic, kind = chosen.first, chosen.last, chosen.tonic, chosen.kind
    shown, home = shown_scale(tonic, kind, display), display.note(tonic)
    where = span_words(excerpt, first, last)
    title = f" of {excerpt.title}" if excerpt.title else ""
    be = "is" if first == last else "are"
    told = [f"{sentence(where).rstrip('.')}{title} {be} in {shown}."]
    if signs := _home_signs(excerpt, first, last, PitchName(tonic).pitch_class):
        told.append(f"{home} is home: {'it' if first == last else 'the passage'} {listed(signs)}.")
    told.append(_notes_words(excerpt, chosen, display))
    plain, different = signs_of(tonic, kind)
    classes = {PitchName(own).pitch_class for own, _ in different}
    places = [
        at
        for at in telling_places(excerpt, first, last, tonic, kind)
        if any(pitch.pitch_class in classes for pitch in sounding_pitches(excerpt, excerpt.notes[at]))
    ]
    if places:
        own = listed([display.note(name) for name, _ in different])
        more = " and elsewhere" if len(places) > _MOST_TOLD else ""
        where = "; ".join(place_words(excerpt, excerpt.notes[at]) for at in places[:_MOST_TOLD])
        told.append(f"What tells it from {shown_scale(tonic, plain, display)} is {own} ({where}{more}).")
    if chosen.also:
        others = listed([kind_shown(one) for one in chosen.also])
        amounts = passage_amounts(excerpt, first, last)
        absent = [name for name in scale_on(tonic, kind).names if not amounts[PitchName(name).pitch_class]]
        no = f"As {listed([display.note(name) for name in absent], 'and')} {'does' if len(absent) == 1 else 'do'} not occur, "
        told.append(f"{no}{others} would be right, too." if absent else f"{sentence(others).rstrip('.')} fits as well.")
    told.append(scale_sentence(tonic, kind, "up", display))
    return " ".join(told)


def _home_signs(excerpt: Excerpt, first: int, last: int, home: int) -> list[str]:
    """Return what shows the tonic of a passage: its first and last lowest note, and the note that sounds longest."""
    inside = [note for note in excerpt.notes if first <= note.measure <= last and note.pitches and note.duration]
    starts = excerpt.starts
    begin = min(starts[note.measure] + note.onset for note in inside)
    end = max(starts[note.measure] + note.onset + note.duration for note in inside)
    opening = [note for note in inside if starts[note.measure] + note.onset == begin]
    closing = [note for note in inside if starts[note.measure] + note.onset + note.duration == end]
    found = []
    for notes, verb in ((opening, "begins on it"), (closing, "ends on it")):
        lowest = min((pitch for note in notes for pitch in sounding_pitches(excerpt, note)), key=lambda p: p.chromatic)
        if lowest.pitch_class == home:
            found.append(verb)
    amounts = passage_amounts(excerpt, first, last)
    if amounts[home] == max(amounts):
        found.append("has no other note for longer")
    return found


def _notes_words(excerpt: Excerpt, chosen: ScalePassage, display: Display) -> str:
    inside = scale_classes(chosen.tonic, chosen.kind)
    foreign = [
        note
        for note in excerpt.notes
        if chosen.first <= note.measure <= chosen.last
        and note.tie in ("", "start")
        and any(pitch.pitch_class not in inside for pitch in sounding_pitches(excerpt, note))
    ]
    if not foreign:
        return "All its notes belong to this scale."
    told = []
    for note in foreign[:_MOST_TOLD]:
        names = [p.pitch_name.name for p in sounding_pitches(excerpt, note) if p.pitch_class not in inside]
        told.append(f"{listed([display.note(name) for name in names])} ({place_words(excerpt, note)})")
    if len(foreign) > _MOST_TOLD:
        told.append("others")
    return f"All its notes belong to this scale, except {listed(told)}."


ScaleOfAPassage.__doc__ = described(
    ScaleOfAPassage.__doc__, SETTINGS, credit=credit_table(("answer", "score"), [row[1:] for row in TONIC_CREDIT])
)
SCALE_OF_A_PASSAGE: Final = ScaleOfAPassage()
