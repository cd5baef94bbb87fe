"""A fingerboard to answer on, fretted or not, with any tuning."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import traitlets

from musictheory_nb.errors import AnswerError
from musictheory_nb.instrument.fingering import Fingering
from musictheory_nb.instrument.practice_plan import STRAIN_CAUTION
from musictheory_nb.practice.fingerboard_input import FingerboardInput
from musictheory_nb.practice.plain_data import JSON, thawed
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_line
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style

_SHARP = ("C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B")
_FLAT = ("C", "D♭", "D", "E♭", "E", "F", "G♭", "G", "A♭", "A", "B♭", "B")


@lru_cache(maxsize=256)
def _note_labels(midi: int, labels: str, key: str) -> tuple[str, str]:
    """Return what a place shows, and how it is called in a sentence; both empty where nothing is shown."""
    if labels == "none":
        return "", ""
    if labels == "degrees":
        degree = Key(key).degree(spell_line([midi], key)[0]).replace("b", "♭").replace("#", "♯")
        return degree, f"degree {degree}"
    octave = midi // 12 - 1
    if key:
        pitch = spell_line([midi], key)[0]
        return pitch.pitch_name.display, pitch.display
    sharp, flat = _SHARP[midi % 12], _FLAT[midi % 12]
    if sharp == flat:
        return sharp, f"{sharp}{octave}"
    return f"{sharp} {flat}", f"{sharp}{octave} or {flat}{octave}"


class Fingerboard(LessonWidget):
    """A fingerboard, as the player sees it: string 1 on top, the nut at the left.

    Parameters
    ----------
    asked : FingerboardInput
        Strings, frets, how many places are asked, what they show.
    label : str
        The question.

    Attributes
    ----------
    value : list of [int, int]
        Places pressed, in order: the string from 0 for the one at the low side, half steps above the open string.
    locked : bool
        Nothing can be changed any more.
    right : list of [int, int]
        After marking: a right place for each; another place that sounds the same is right, too.
    show_names : bool
        Every place shows its note or degree; without it only those that are pressed.
    sound : bool
        A place sounds when it is pressed; the student can switch it off.
    fingers : list of [int, int, int]
        Places that a fingering shows, with the finger (0 for an open string), in the order of the line.
    caution : str
        Said under a fingering.
    a4_hz : float
        Tuning of the tones.

    Raises
    ------
    TraitError
        Places that are not on the fingerboard.

    Notes
    -----
    From the computer keyboard: Left and Right move by a fret, Up and Down by a string, Home goes to the open string and
    End to the last fret, a digit to the fret of that number; Enter or Space presses, Backspace takes back. A place is
    called by its string and fret; its note is told once it is pressed, as it is shown.
    """

    _esm = script("page", "roving_focus", "sound_stage", "fingerboard")
    _css = style("page", "fingerboard")

    board = traitlets.Dict().tag(sync=True)
    count = traitlets.Int(1).tag(sync=True)
    given = traitlets.List(traitlets.List(traitlets.Int())).tag(sync=True)
    value = traitlets.List(traitlets.List(traitlets.Int())).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.List(traitlets.Int())).tag(sync=True)
    show_names = traitlets.Bool(False).tag(sync=True)
    sound = traitlets.Bool(True).tag(sync=True)
    fingers = traitlets.List(traitlets.List(traitlets.Int())).tag(sync=True)
    caution = traitlets.Unicode("").tag(sync=True)
    a4_hz = traitlets.Float(440.0).tag(sync=True)

    def __init__(self, asked: FingerboardInput | None = None, **traits: Any) -> None:
        self.asked = asked or FingerboardInput(("E1", "A1", "D2", "G2"))
        super().__init__(
            board=_board(self.asked),
            count=self.asked.count,
            given=[list(place) for place in self.asked.given],
            **traits,
        )

    @classmethod
    def showing(cls, fingering: Fingering, **traits: Any) -> "Fingerboard":
        """Return a fingerboard that shows a fingering, with the caution about strain.

        Parameters
        ----------
        fingering : Fingering
            From `finger_line`.

        Examples
        --------
        >>> from musictheory_nb.instrument.fingering import finger_line
        >>> board = Fingerboard.showing(finger_line("G1 B1 D2", 1, "bass guitar", open_strings="never"))
        >>> board.fingers, board.locked, board.caution[:26]
        ([[0, 3, 2], [1, 2, 1], [1, 5, 4]], True, 'Playing should not hurt. W')
        """
        tuning = fingering.tuning
        strings = len(tuning.strings)
        fingers = [
            [strings - note.string, note.fret - tuning.nuts[-note.string], note.finger] for note in fingering.notes
        ]
        asked = FingerboardInput(
            tuple(pitch.name for pitch in tuning.strings),
            min(tuning.frets, max(12, *(note.fret for note in fingering.notes))),
            tuning.fretted,
            nuts=tuning.nuts if any(tuning.nuts) else (),
        )
        return cls(asked, **{"fingers": fingers, "caution": STRAIN_CAUTION, "locked": True, **traits})

    @traitlets.validate("value", "right", "given")
    def _check_places(self, proposal: dict[str, Any]) -> list[list[int]]:
        places: list[list[int]] = thawed(proposal["value"])
        for place in places:
            try:
                self.asked.check_place(self.asked.id, place)
            except AnswerError as error:
                raise traitlets.TraitError(str(error)) from None
        return places

    def stand_in(self) -> str:
        """Return the question and what is pressed in one line."""
        name = self.label or "Fingerboard"
        if self.fingers:
            told = ", ".join(
                f"{self.asked.place_words([string, fret])}, {f'finger {finger}' if finger else 'no finger'}"
                for string, fret, finger in self.fingers
            )
            return f"{name}: {told}. {self.caution}"
        pressed = self.asked.words(self.value) if self.value else "nothing pressed yet"
        return f"{name}: {pressed}. {RUN_AGAIN}"


def _board(asked: FingerboardInput) -> dict[str, JSON]:
    """Return what the page draws: strings from string 1 on, each with its places and what they are called."""
    names = [Pitch(text).pitch_name.display for text in asked.tuning]
    strings = []
    for at in reversed(range(len(asked.tuning))):
        open_midi = Pitch(asked.tuning[at]).midi
        name = Pitch(asked.tuning[at]).display if names.count(names[at]) > 1 else names[at]
        steps: Sequence[int] = range(asked.highest(at) + 1)
        strings.append(
            {
                "at": at,
                "name": name,
                "nut": asked.nuts[at] if asked.nuts else 0,
                "midi": open_midi,
                "labels": [list(_note_labels(open_midi + step, asked.labels, asked.key)) for step in steps],
            }
        )
    return {"strings": strings, "frets": asked.frets, "fretted": asked.fretted}
