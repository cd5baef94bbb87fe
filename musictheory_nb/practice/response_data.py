"""The response of an item as JSON values, and read back: what a sealed copy holds of a question's inputs."""

from collections.abc import Mapping
from dataclasses import fields
from types import MappingProxyType
from typing import Any, Final, get_args

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.answer_option import Option
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Input, Response, Step

#: Name of an input class -> the class.
INPUTS: Final[Mapping[str, type]] = MappingProxyType({one.__name__: one for one in get_args(Input)})


def _plain(value: Any) -> JSON:
    if isinstance(value, Option):
        return {"value": value.value, "label": value.label, "spoken": value.spoken}
    return [_plain(one) for one in value] if isinstance(value, tuple | list) else value


def _read(value: JSON) -> Any:
    if isinstance(value, dict):
        return Option(**value)
    return tuple(_read(one) for one in value) if isinstance(value, list) else value


def response_data(response: Response) -> JSON:
    """Return the response as JSON values.

    Examples
    --------
    >>> from musictheory_nb.practice.response import KeysInput
    >>> asked = Response((Step("note", "Play the note.", (KeysInput(60, 72),)),))
    >>> response_from(response_data(asked)) == asked
    True
    """
    return [
        {
            "id": step.id,
            "label": step.label,
            "inputs": [
                [type(one).__name__, {field.name: _plain(getattr(one, field.name)) for field in fields(one)}]
                for one in step.inputs
            ],
        }
        for step in response.steps
    ]


def response_from(data: JSON) -> Response:
    """Return the response that `response_data` wrote.

    Raises
    ------
    ExerciseError
        It is in another form, or names an input that is not known here.

    Examples
    --------
    >>> response_from([{"id": "x", "label": "X", "inputs": [["DiceInput", {}]]}])
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: response: input 'DiceInput' is not known here; bring the package up to date
    """
    steps = []
    try:
        for step in data:
            inputs = []
            for name, values in step["inputs"]:
                if name not in INPUTS:
                    raise ExerciseError(
                        f"response: input {name[:40]!r} is not known here; bring the package up to date"
                    )
                inputs.append(INPUTS[name](**{key: _read(value) for key, value in values.items()}))
            steps.append(Step(step["id"], step["label"], tuple(inputs)))
    except (TypeError, KeyError, ValueError, AttributeError) as error:
        if isinstance(error, ExerciseError):
            raise
        raise ExerciseError(f"response: not in the form that a hand-out writes ({type(error).__name__})") from None
    return Response(tuple(steps))
