"""A piano keyboard to answer on."""

from typing import Any

import traitlets

from musictheory_nb.errors import ExerciseError
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class PianoKeyboard(LessonWidget):
    """A piano keyboard.

    Parameters
    ----------
    low, high : int
        MIDI numbers of its lowest and highest key.
    count : int
        How many notes are to be played.

    Attributes
    ----------
    value : list of int
        The keys played, in order, `count` of them at most.
    given : list of int
        Keys shown as a start, which the student does not play.
    locked : bool
        Nothing can be changed any more.
    right : list of int
        After marking: the right keys in order.
    show_names : bool
        Note names are printed on the keys; without it only the Cs have theirs.
    sound : bool
        A key sounds when it is pressed; the student can switch it off.
    typing : bool
        There is a field in which a note's name can be typed.
    a4_hz : float
        Tuning of the keys' tones.

    Raises
    ------
    ExerciseError
        Keys that are no MIDI numbers, a given key off the keyboard, or nothing to play.

    Notes
    -----
    From the computer keyboard: Left and Right move by a key, Up and Down by an octave, A to G go to that note, ``#`` goes
    one key up, Enter or Space plays, Backspace takes back. In the field a note is typed as its letter, ``#`` or ``b``
    where needed, and the octave (``Bb3``); Up and Down change the octave. Middle C is C4, MIDI number 60. A MIDI keyboard
    plays the keys, too, where the browser knows Web MIDI and the student connects one.
    """

    _esm = script("page", "roving_focus", "sound_stage", "midi_keyboard", "piano_keyboard")
    _css = style("page", "piano_keyboard")

    low = traitlets.Int(60).tag(sync=True)
    high = traitlets.Int(72).tag(sync=True)
    count = traitlets.Int(1).tag(sync=True)
    given = traitlets.List(traitlets.Int()).tag(sync=True)
    value = traitlets.List(traitlets.Int()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Int()).tag(sync=True)
    show_names = traitlets.Bool(False).tag(sync=True)
    sound = traitlets.Bool(True).tag(sync=True)
    typing = traitlets.Bool(True).tag(sync=True)
    a4_hz = traitlets.Float(440.0).tag(sync=True)

    def __init__(self, low: int = 60, high: int = 72, *, count: int = 1, **traits: Any) -> None:
        if not 0 <= low <= high <= 127:
            raise ExerciseError(
                f"piano keyboard: keys {low} to {high}; allowed: MIDI numbers 0 to 127, the lower first"
            )
        if count < 1:
            raise ExerciseError(f"piano keyboard: count {count}; allowed: 1 or more notes to play")
        for key in traits.get("given", ()):
            if not low <= key <= high:
                raise ExerciseError(f"piano keyboard: given key {key}; allowed: {low} to {high}")
        super().__init__(low=low, high=high, count=count, **traits)

    def stand_in(self) -> str:
        """Return the question and the range in one line."""
        return f"{self.label or 'Piano keyboard'}: keys {self.low} to {self.high}. {RUN_AGAIN}"
