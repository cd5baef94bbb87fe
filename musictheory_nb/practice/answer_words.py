"""An answer in words, for feedback, reports and saved notebooks."""

from typing import Final

from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, KeysInput, Response

#: Names of the piano keys by pitch class; black keys by both names, as no spelling is known.
_KEY_NAMES: Final = ("C", "C♯/D♭", "D", "D♯/E♭", "E", "F", "F♯/G♭", "G", "G♯/A♭", "A", "A♯/B♭", "B")


def key_name(midi: int) -> str:
    """Return the name of a piano key with its octave.

    Examples
    --------
    >>> key_name(60), key_name(70)
    ('C4', 'A♯4/B♭4')
    """
    octave = midi // 12 - 1
    return "/".join(f"{name}{octave}" for name in _KEY_NAMES[midi % 12].split("/"))


def _value_words(entry: Input, value: JSON) -> str:
    if isinstance(entry, ChoiceInput):
        labels = {option.value: option.label for option in entry.options}
        return ", ".join(labels[one] for one in (value if entry.many else [value]))
    if isinstance(entry, KeysInput):
        return "on the keyboard " + ", ".join(key_name(midi) for midi in value)
    return ", ".join(f"{label} from measure {entry.measures[index]}" for index, label in value)


def answer_words(response: Response, answer: Answer) -> str:
    """Return a checked answer in words; steps are named when there are several.

    Examples
    --------
    >>> from musictheory_nb.practice.response import Option, Step
    >>> asked = Response((Step("size", "Which?", (ChoiceInput((Option("m3", "minor third"),)), KeysInput(48, 72))),))
    >>> answer_words(asked, {"size": {"choice": "m3"}}), answer_words(asked, {"size": {"keys": [63]}})
    ('minor third', 'on the keyboard D♯4/E♭4')
    """
    told = []
    for step in response.steps:
        ((name, value),) = answer[step.id].items()
        words = _value_words(next(entry for entry in step.inputs if entry.id == name), value)
        told.append(words if len(response.steps) == 1 else f"{step.label.rstrip('?:. ')}: {words}")
    return "; ".join(told)
