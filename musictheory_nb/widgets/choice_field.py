"""A field in which one of several things is picked, such as a sound or a measure."""

from collections.abc import Sequence
from typing import Any

import traitlets

from musictheory_nb.errors import ExerciseError
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class ChoiceField(LessonWidget):
    """A field with a list of options; letters typed in it find an option and never reach JupyterLab.

    Parameters
    ----------
    options : sequence of str
        What can be picked.
    value : int
        Index of what is picked.

    Raises
    ------
    ExerciseError
        The index is not one of the options.

    Examples
    --------
    >>> field = ChoiceField(["the chord", "C Lydian over it"], label="Hear")
    >>> field.on_change(lambda change: print(field.options[change["new"]]))
    >>> field.value = 1
    C Lydian over it
    """

    _esm = script("page", "choice_field")
    _css = style("page", "choice_field")

    options = traitlets.List(traitlets.Unicode()).tag(sync=True)
    value = traitlets.Int(0).tag(sync=True)

    def __init__(self, options: Sequence[str], value: int = 0, **traits: Any) -> None:
        if not 0 <= value < len(options):
            raise ExerciseError(f"choice field: value {value}; allowed: 0 to {len(options) - 1}")
        super().__init__(options=list(options), value=value, **traits)

    @traitlets.validate("value")
    def _within(self, proposal: dict[str, Any]) -> int:
        if not 0 <= proposal["value"] < len(self.options):
            raise traitlets.TraitError(f"value {proposal['value']}; allowed: 0 to {len(self.options) - 1}")
        return int(proposal["value"])

    def stand_in(self) -> str:
        """Return the label and the options in one line."""
        return f"{self.label or 'Choose'}: {', '.join(self.options)}. {RUN_AGAIN}"
