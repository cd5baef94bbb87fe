"""A policy file to start from: every setting with its default, its meaning and what is allowed."""

import json
from textwrap import wrap

from musictheory_nb.classroom.marking_policy import SECTIONS
from musictheory_nb.practice.plain_data import JSON, thawed

_HEAD = (
    "A marking policy. Every line that is left out keeps the value that stands here; with all values as they stand, "
    "marks are not changed."
)
_WIDTH = 110


def _comment(text: str) -> list[str]:
    return [f"# {line}" for line in wrap(text, _WIDTH)]


def _value(value: JSON) -> str:
    return json.dumps(thawed(value), ensure_ascii=False)


def policy_template() -> str:
    """Return the text of a policy file with all sections.

    Examples
    --------
    >>> print(policy_template().split(chr(10) * 2)[-1])
    # The pass mark.
    [pass]
    # Percent from which work is passed, after rounding; 0 for no pass mark. Allowed: 0 to 100.
    percent = 0
    """
    lines = _comment(_HEAD)
    for section in SECTIONS:
        lines += ["", *_comment(section.meaning), f"[{section.name}]"]
        for setting in section.settings:
            lines += _comment(f"{setting.meaning} Allowed: {setting.allowed}.")
            lines.append(f"{setting.name} = {_value(setting.default)}")
        for table in section.tables:
            head = [f"[{section.name}.{table.name}]"] if table.name else []
            lines += [*([""] if head else []), *head, *_comment(f"{table.meaning} Allowed: {table.allowed}. As:")]
            lines.append(f"# {table.example}")
    return "\n".join(lines) + "\n"
