"""Print one of the README's two commands: ``run`` or ``test``.

Each stands in a code block of its own, right after a line that ends in ``<!-- command: NAME -->``.
"""

import re
import sys
from pathlib import Path


def readme_command(name: str) -> str:
    """Return the command of that name."""
    readme = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
    found = re.findall(rf"<!-- command: {name} -->\n+```\w*\n([^\n]+)\n```", readme)
    if len(found) != 1:
        raise SystemExit(f"README.md: {len(found)} commands marked {name!r}; exactly one is needed")
    return found[0]


if __name__ == "__main__":
    print(readme_command(sys.argv[1]))
