"""An answer in words, for feedback, reports and saved notebooks."""

from musictheory_nb.practice.response import Answer, Response


def answer_words(response: Response, answer: Answer) -> str:
    """Return a checked answer in words; steps are named when there are several.

    Examples
    --------
    >>> from musictheory_nb.practice.response import ChoiceInput, KeysInput, Option, Step
    >>> asked = Response((Step("size", "Which?", (ChoiceInput((Option("m3", "minor third"),)), KeysInput(48, 72))),))
    >>> answer_words(asked, {"size": {"choice": "m3"}}), answer_words(asked, {"size": {"keys": [63]}})
    ('minor third', 'on the keyboard D♯4/E♭4')
    """
    told = []
    for step in response.steps:
        ((name, value),) = answer[step.id].items()
        words = next(entry for entry in step.inputs if entry.id == name).words(value)
        told.append(words if len(response.steps) == 1 else f"{step.label.rstrip('?:. ')}: {words}")
    return "; ".join(told)
