"""What an item lets a student hear and see: listening controls and notation for its media requests."""

from collections.abc import Sequence
from typing import Any

import ipywidgets

from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.sound import Clip, render_sound
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.widgets.choice_field import ChoiceField
from musictheory_nb.widgets.listening import Listening
from musictheory_nb.widgets.notation_view import NotationView

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
        for child in self.children:
            child.close()
        self._listening = []
        fixed = [request for request in requests if request.kind == "sound" and not request.choose_measures]
        chosen = [request for request in requests if request.choose_measures]
        children: list[Any] = []
        if len(fixed) >= SOUNDS_IN_A_FIELD:
            children += self._field_of_sounds(fixed)
        else:
            children += [self._sound(request) for request in fixed]
        children += self._by_measures(chosen)
        children += [
            NotationView(*_notation(request, *request.span, is_told), caption=request.label)
            for request in requests
            if request.kind == "notation" and not request.choose_measures
        ]
        self.children = children

    def _controls(self, **traits: Any) -> Listening:
        controls = Listening(lesson=self._lesson, **traits)
        self._listening.append(controls)
        return controls

    def _sound(self, request: MediaRequest) -> Listening:
        first, last = request.span
        clip = render_sound(request)
        return self._controls(
            wav=clip.wav,
            measure_starts_s=list(clip.measure_starts_s),
            measures=_numbers(request),
            first=first,
            last=last,
            label=request.label,
        )

    def _field_of_sounds(self, requests: Sequence[MediaRequest]) -> list[Any]:
        field = ChoiceField([request.label for request in requests], label="Sound")

        def made(_first: int, _last: int) -> Clip:
            return render_sound(requests[field.value])

        controls = self._controls(sound=made, label=requests[0].label, show_label=False)

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
        view = None
        if notation is not None:
            view = NotationView(*_notation(notation, first, last, self._is_told), caption=notation.label)

        def made(start: int, end: int) -> Clip:
            clip = render_sound(lead, first=start, last=end)
            if view is not None and notation is not None:
                with view.hold_sync():
                    view.svg, view.text = _notation(notation, start, end, self._is_told)
            return clip

        if sound is not None:
            controls: Any = self._controls(
                sound=made, measures=_numbers(lead), choose_measures=True, first=first, last=last, label=lead.label
            )
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
        for controls in self._listening:
            if controls.choose_measures:
                controls.play(first, last)
                return
