"""A role to choose for each note of a line."""

from collections.abc import Sequence
from typing import Any

import traitlets

from musictheory_nb.practice.answer_option import Option
from musictheory_nb.practice.roles_input import RolesInput
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class RoleStrip(LessonWidget):
    """The notes of a line in a row, each with a field to choose its role from.

    Parameters
    ----------
    asked : RolesInput
        The notes' labels and the roles.
    label : str
        The question.

    Attributes
    ----------
    value : list of str
        The role of each note, '' where none is chosen yet; empty before the first choice.
    right : list of str
        After marking: the right role of each note, said in words under it.
    locked : bool
        Nothing can be changed any more.
    """

    _esm = script("page", "role_strip")
    _css = style("page", "role_strip")

    notes = traitlets.List(traitlets.Unicode()).tag(sync=True)
    roles = traitlets.List(traitlets.Dict()).tag(sync=True)
    value = traitlets.List(traitlets.Unicode()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Unicode()).tag(sync=True)

    def __init__(self, notes: Sequence[str] = (), roles: Sequence[Option] = (), **traits: Any) -> None:
        offered = [{"value": one.value, "label": one.label} for one in roles]
        super().__init__(notes=list(notes), roles=offered, **traits)

    @classmethod
    def of(cls, asked: RolesInput, **traits: Any) -> "RoleStrip":
        """Return the strip that answers `asked`."""
        return cls(asked.notes, asked.roles, **traits)

    @property
    def is_complete(self) -> bool:
        """Whether every note has its role."""
        return len(self.value) == len(self.notes) and all(self.value)

    def stand_in(self) -> str:
        """Return the notes, and the roles chosen, in one line."""
        labels = {one["value"]: one["label"] for one in self.roles}
        chosen = [*self.value, *[""] * (len(self.notes) - len(self.value))]
        told = ", ".join(
            f"{note}{f': {labels.get(role, role)}' if role else ''}"
            for note, role in zip(self.notes, chosen, strict=True)
        )
        return f"{self.label or 'Roles'}: {told}. {RUN_AGAIN}"
