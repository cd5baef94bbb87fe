"""One of several things that a student can choose."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Option:
    """One choice: its value in the record, its label on the screen, and what a screen reader says if not the label."""

    value: str
    label: str
    spoken: str = ""
