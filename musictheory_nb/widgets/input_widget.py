"""Which widget answers which input: one table. A widget that is added is one row here."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import (
    ChoiceInput,
    FingerboardInput,
    Input,
    KeysInput,
    MeasuresInput,
    NumberInput,
    RhythmInput,
    RolesInput,
    SectionsInput,
    StaffInput,
    SungInput,
    SymbolInput,
    TextInput,
)
from musictheory_nb.widgets.choice_row import ChoiceRow
from musictheory_nb.widgets.fingerboard import Fingerboard
from musictheory_nb.widgets.measure_range import MeasureRange
from musictheory_nb.widgets.microphone import Microphone
from musictheory_nb.widgets.number_field import NumberField
from musictheory_nb.widgets.piano_keyboard import PianoKeyboard
from musictheory_nb.widgets.rhythm_tap import RhythmTap
from musictheory_nb.widgets.role_strip import RoleStrip
from musictheory_nb.widgets.section_strip import SectionStrip
from musictheory_nb.widgets.staff_entry import StaffEntry
from musictheory_nb.widgets.symbol_field import SymbolField
from musictheory_nb.widgets.text_field import TextField


def _not_empty(_entry: Any, value: list[JSON]) -> bool:
    return bool(value)


def _always(_entry: Any) -> bool:
    return True


def _never(_entry: Any) -> bool:
    return False


@dataclass(frozen=True, slots=True)
class InputWidget:
    """How an input is answered.

    Parameters
    ----------
    make : callable
        Returns the widget for an input and the label of its step. Its traits `value` and `right` are lists.
    is_single : callable
        Whether an answer to the input is one value, which the widget holds as the only entry of its list.
    is_complete : callable
        Whether a list that the widget holds is a whole answer.
    """

    make: Callable[[Any, str], Any]
    is_single: Callable[[Any], bool] = _never
    is_complete: Callable[[Any, list[JSON]], bool] = _not_empty


def _choices(entry: ChoiceInput, label: str) -> ChoiceRow:
    options = [{"value": one.value, "label": one.label, "spoken": one.spoken} for one in entry.options]
    return ChoiceRow(options=options, many=entry.many, label=label)


def _piano(entry: KeysInput, label: str) -> PianoKeyboard:
    return PianoKeyboard(low=entry.low, high=entry.high, count=entry.count, given=list(entry.given), label=label)


INPUT_WIDGETS: Final[Mapping[type, InputWidget]] = MappingProxyType(
    {
        ChoiceInput: InputWidget(_choices, lambda entry: not entry.many),
        KeysInput: InputWidget(_piano, is_complete=lambda entry, value: len(value) >= entry.count),
        FingerboardInput: InputWidget(
            lambda entry, label: Fingerboard(entry, label=label),
            is_complete=lambda entry, value: len(value) >= entry.count,
        ),
        SectionsInput: InputWidget(lambda entry, label: SectionStrip(entry.measures, label=label)),
        StaffInput: InputWidget(lambda entry, label: StaffEntry(entry, label=label)),
        RhythmInput: InputWidget(lambda entry, label: RhythmTap(entry, label=label)),
        SymbolInput: InputWidget(lambda entry, label: SymbolField(entry, label=label), _always),
        RolesInput: InputWidget(
            lambda entry, label: RoleStrip.of(entry, label=label),
            is_complete=lambda entry, value: len(value) == len(entry.notes) and all(value),
        ),
        MeasuresInput: InputWidget(
            lambda entry, label: MeasureRange(entry.measures, spans=entry.spans, label=label),
            is_complete=lambda entry, value: len(value) >= max(1, entry.spans),
        ),
        NumberInput: InputWidget(lambda entry, label: NumberField(entry, label=label), _always),
        SungInput: InputWidget(
            lambda entry, label: Microphone(entry, label=label, offers_keeping=True),
            is_complete=lambda entry, value: len(value) == entry.count,
        ),
        TextInput: InputWidget(lambda entry, label: TextField(entry, label=label), _always),
    }
)


def input_widget(entry: Input) -> InputWidget:
    """Return the row for an input.

    Raises
    ------
    ExerciseError
        No widget answers such an input.

    Examples
    --------
    >>> input_widget(NumberInput(0, 3)).is_single(NumberInput(0, 3))
    True
    """
    try:
        return INPUT_WIDGETS[type(entry)]
    except KeyError:
        answered = ", ".join(kind.__name__ for kind in INPUT_WIDGETS)
        raise ExerciseError(
            f"input {type(entry).__name__!r}: there is no widget to answer {entry.how}; allowed are {answered}"
        ) from None
