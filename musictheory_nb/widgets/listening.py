"""Plain listening controls: play, stop, volume, how often it was heard, and fields for how it sounds."""

from collections.abc import Callable, Sequence
from inspect import signature
from typing import Any, Protocol

import traitlets

from musictheory_nb.errors import MediaError
from musictheory_nb.media.listening_options import ListeningOptions
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class Sounding(Protocol):
    """A sound ready to play, such as `musictheory_nb.media.sound.Clip`."""

    @property
    def wav(self) -> bytes:
        """A whole WAV file."""

    @property
    def measure_starts_s(self) -> Sequence[float]:
        """Seconds at which each measure begins; may be empty."""


def _received(value: Any, _widget: Any) -> bytes:
    return bytes(value)


class Listening(LessonWidget):
    """Plain listening controls. Nothing sounds before a click, and one sound at a time on a page.

    Parameters
    ----------
    wav : bytes
        A WAV file; may be empty if `sound` makes it when first asked.
    sound : callable, optional
        ``sound(first, last)`` returns WAV bytes or a `Sounding` for measures from index `first` to `last`; where there are
        fields for how it sounds, it is given a `ListeningOptions` too.
    measures : sequence of str
        Printed numbers of all measures; needed to choose measures or to say which one sounds.
    choose_measures : bool
        Show the fields "From measure" and "To measure".
    first, last : int
        Indices of the measures that sound, both included; -1 for `last` is the last one.
    show_label : bool
        Whether the label is printed above the controls; where it stands beside them already, a screen reader alone needs it.
    lesson : str
        The hearing caution and sound check come once for each lesson named so on a page.
    offers : sequence of str
        Which of `practice.listening_control.CONTROLS` are shown.
    span : sequence of int
        First and last measure index that may be chosen; all by default.
    parts, drones, timbres, registers : sequence of (value, label)
        What the fields of those names let one pick.
    quarters_a_minute : float
        The tempo at 100 %, to be said beside the field; 0 says nothing.
    most_plays : int
        How often it may be heard; 0 for no limit.
    music : str
        Notation beside the controls that has this key, or as many measures, marks the measure that sounds.

    Attributes
    ----------
    plays : int
        How often it began to sound (a hint only: it comes from the browser).
    request, ready : int
        The browser raises `request` when it needs sound; `ready` follows when `wav` answers it.
    options : dict
        How the student wants to hear it: fields of `ListeningOptions`.
    made : dict
        For which measures and options `wav` was made; empty for one fixed sound.
    """

    _esm = script("page", "sound_stage", "sounding_measure", "listening_fields", "listening")
    _css = style("page", "listening")

    wav = traitlets.Bytes(b"").tag(sync=True, from_json=_received)
    measures = traitlets.List(traitlets.Unicode()).tag(sync=True)
    measure_starts_s = traitlets.List(traitlets.Float()).tag(sync=True)
    choose_measures = traitlets.Bool(False).tag(sync=True)
    first = traitlets.Int(0).tag(sync=True)
    last = traitlets.Int(-1).tag(sync=True)
    show_label = traitlets.Bool(True).tag(sync=True)
    lesson = traitlets.Unicode("").tag(sync=True)
    plays = traitlets.Int(0).tag(sync=True)
    request = traitlets.Int(0).tag(sync=True)
    ready = traitlets.Int(0).tag(sync=True)
    play_order = traitlets.Int(0).tag(sync=True)
    offers = traitlets.List(traitlets.Unicode(), default_value=["repeat"]).tag(sync=True)
    span = traitlets.List(traitlets.Int()).tag(sync=True)
    parts = traitlets.List(traitlets.List()).tag(sync=True)
    drones = traitlets.List(traitlets.List()).tag(sync=True)
    timbres = traitlets.List(traitlets.List()).tag(sync=True)
    registers = traitlets.List(traitlets.List()).tag(sync=True)
    quarters_a_minute = traitlets.Float(0.0).tag(sync=True)
    most_plays = traitlets.Int(0).tag(sync=True)
    music = traitlets.Unicode("").tag(sync=True)
    options = traitlets.Dict().tag(sync=True)
    made = traitlets.Dict().tag(sync=True)

    def __init__(
        self, wav: bytes = b"", *, sound: Callable[..., bytes | Sounding] | None = None, **traits: Any
    ) -> None:
        self._sound = sound
        self._takes_options = sound is not None and len(signature(sound).parameters) > 2
        super().__init__(wav=wav, **traits)
        self.observe(self.guard(self._answer_request, "making the sound"), names="request")

    def load(self, first: int, last: int) -> None:
        """Fetch the sound of measures `first` to `last` (indices) from `sound`.

        Raises
        ------
        MediaError
            No `sound` was given, or there are no such measures.
        """
        if self._sound is None:
            raise MediaError(f"measures {first} to {last}: these controls hold one fixed sound")
        if self.measures and not 0 <= first <= last < len(self.measures):
            raise MediaError(f"measures {first} to {last}: the indices are 0 to {len(self.measures) - 1}")
        options = dict(self.options)
        heard = ListeningOptions.of(options)
        made = self._sound(first, last, heard) if self._takes_options else self._sound(first, last)
        with self.hold_sync():
            self.first, self.last = first, last
            self.made = {"first": first, "last": last, "options": options}
            self.wav = made if isinstance(made, bytes) else made.wav
            self.measure_starts_s = [] if isinstance(made, bytes) else [float(start) for start in made.measure_starts_s]

    def play(self, first: int, last: int) -> None:
        """Load measures `first` to `last` and sound them, if the student has clicked on the page before."""
        self.load(first, last)
        self.play_order += 1

    def _answer_request(self, _change: dict[str, Any]) -> None:
        last = self.last if self.last >= 0 else len(self.measures) - 1
        self.load(self.first, last)
        self.ready = self.request

    def stand_in(self) -> str:
        """Return the label in one line."""
        return f"{self.label or 'Listen'} (sound). {RUN_AGAIN}"
