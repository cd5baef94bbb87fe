"""What an item lets a student hear and see: listening controls and notation for its media requests."""

from collections.abc import Sequence
from typing import Any

import ipywidgets

from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.listening_offer import offered_controls
from musictheory_nb.media.listening_options import ListeningOptions
from musictheory_nb.media.sound import Clip
from musictheory_nb.media.sound_slice import sound_slice
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.sealed_exercise import StoredNotation, StoredSound
from musictheory_nb.widgets.choice_field import ChoiceField
from musictheory_nb.widgets.listening import Listening
from musictheory_nb.widgets.notation_view import NotationView
from musictheory_nb.widgets.sound_controls import fields_of, kept_sound, music_key, sound_controls

#: From this many sounds on, one set of listening controls with a field for the choice replaces a row of controls.
SOUNDS_IN_A_FIELD = 3


def _numbers(request: MediaRequest) -> list[str]:
    return [measure.number for measure in request.excerpt.measures]


def _notation(request: MediaRequest, first: int, last: int, is_told: bool) -> tuple[str, str]:
    engraving = engrave(request, first=first, last=last, is_described=is_told)
    return engraving.svg, engraving.text if is_told else ""


class MediaBox(ipywidgets.VBox):
    """Sounds and notation, made when they are shown.

    Parameters
    ----------
    lesson : str
        The lesson; its hearing caution and sound check come once.
    """

    children: Any  # the trait of the box

    def __init__(self, lesson: str = "") -> None:
        super().__init__()
        self._lesson = lesson
        self._listening: list[Listening] = []
        self._is_told = True

    @property
    def plays(self) -> int:
        """How often the sounds of this box have been heard."""
        return sum(controls.plays for controls in self._listening)

    @property
    def listening(self) -> tuple[Listening, ...]:
        """The listening controls that are shown."""
        return tuple(self._listening)

    def show_stored(self, sounds: Sequence[StoredSound], notation: Sequence[StoredNotation]) -> None:
        """Show sounds and notation that are given as bytes, in place of what was shown before."""
        self._clear()
        children: list[Any] = [self._stored_sound(one) for one in sounds]
        self.children = [*children, *(NotationView(one.svg, one.text, caption=one.label) for one in notation)]

    def _stored_sound(self, one: StoredSound) -> Listening:
        traits: dict[str, Any] = {"label": one.label, "lesson": self._lesson, "most_plays": one.hearings}
        if not one.measures:
            return self._shown(Listening(wav=one.wav, **traits))

        def made(first: int, last: int) -> bytes:
            return sound_slice(one.wav, one.starts_s, first, last)

        numbers = list(one.measures)
        offers = ["measures", "repeat"]
        traits |= {"measures": numbers, "choose_measures": True, "offers": offers, "span": [0, len(numbers) - 1]}
        return self._shown(Listening(sound=made, first=one.first, last=one.last, **traits))

    def _clear(self) -> None:
        for child in self.children:
            child.close()
        self._listening = []

    def show(self, requests: Sequence[MediaRequest], *, is_told: bool = True) -> None:
        """Show these requests in place of what was shown before.

        Parameters
        ----------
        requests : sequence of MediaRequest
            What is to be heard and seen.
        is_told : bool
            Whether notation is told in words, too; not where the words would name what is asked.
        """
        self._is_told = is_told
        self._clear()
        fixed = [request for request in requests if request.kind == "sound" and not request.choose_measures]
        chosen = [request for request in requests if request.choose_measures]
        children: list[Any] = []
        if len(fixed) >= SOUNDS_IN_A_FIELD:
            children += self._field_of_sounds(fixed)
        else:
            children += [self._sound(request) for request in fixed]
        children += self._by_measures(chosen)
        children += [
            NotationView(
                *_notation(request, *request.span, is_told),
                caption=request.label,
                music=music_key(request),
                first=request.span[0],
            )
            for request in requests
            if request.kind == "notation" and not request.choose_measures
        ]
        self.children = children

    def _shown(self, controls: Listening) -> Listening:
        self._listening.append(controls)
        return controls

    def _sound(self, request: MediaRequest) -> Listening:
        return self._shown(sound_controls(request, self._lesson))

    def _field_of_sounds(self, requests: Sequence[MediaRequest]) -> list[Any]:
        field = ChoiceField([request.label for request in requests], label="Sound")

        offers = tuple(
            name
            for name in offered_controls(requests[0])
            if name not in ("parts", "measures", "register") and all(name in offered_controls(one) for one in requests)
        )

        def made(_first: int, _last: int, options: ListeningOptions) -> Clip:
            picked = requests[field.value]
            return kept_sound(picked, *picked.span, options)

        controls = self._shown(
            Listening(
                sound=made,
                label=requests[0].label,
                show_label=False,
                lesson=self._lesson,
                **{**fields_of(requests[0], offers), "quarters_a_minute": 0.0},
            )
        )

        def choose(_change: Any) -> None:
            with controls.hold_sync():
                controls.wav = b""
                controls.label = requests[field.value].label

        field.on_change(choose)
        return [field, controls]

    def _by_measures(self, requests: Sequence[MediaRequest]) -> list[Any]:
        """One pair of fields "From measure" and "To measure" for sound and notation together."""
        if not requests:
            return []
        sound = next((request for request in requests if request.kind == "sound"), None)
        notation = next((request for request in requests if request.kind == "notation"), None)
        lead = sound or requests[0]
        first, last = lead.span
        shown = [(first, last)]
        view = None
        if notation is not None:
            view = NotationView(
                *_notation(notation, first, last, self._is_told),
                caption=notation.label,
                music=music_key(notation),
                first=first,
            )

        def made(start: int, end: int) -> None:
            if view is not None and notation is not None and (start, end) != shown[0]:
                shown[0] = (start, end)
                with view.hold_sync():
                    view.svg, view.text = _notation(notation, start, end, self._is_told)
                    view.first = start

        if sound is not None:
            controls: Any = self._shown(sound_controls(sound, self._lesson, at_once=False, made=made))
        else:
            controls = self._measure_fields(lead, view)
        return [controls] if view is None else [controls, view]

    def _measure_fields(self, request: MediaRequest, view: NotationView | None) -> Any:
        first, last = request.span
        start = ChoiceField(_numbers(request), first, label="From measure")
        end = ChoiceField(_numbers(request), last, label="To measure")

        def changed(_change: Any) -> None:
            if view is not None and start.value <= end.value:
                with view.hold_sync():
                    view.svg, view.text = _notation(request, start.value, end.value, self._is_told)

        for field in (start, end):
            field.on_change(changed)
        return ipywidgets.HBox([start, end])

    def hear(self, first: int, last: int) -> None:
        """Sound measures `first` to `last` (indices) through the controls that choose measures, if there are any."""
        for controls in sorted(self._listening, key=lambda one: one.span != [0, len(one.measures) - 1]):
            if controls.choose_measures:
                controls.play(first, last)
                return
