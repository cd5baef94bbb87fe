"""The parameters cell of a lesson: four lines that say whose copy of which lesson it is."""

import ast
import json
import re
from dataclasses import dataclass
from typing import Final

from musictheory_nb.errors import LessonError

TAG: Final = "parameters"
NAMES: Final = ("LESSON", "STUDENT", "SEED", "DIGEST")
#: Above the parameters of a student's copy.
NOTICE: Final = "# Your own copy. The grader goes by the teacher's list, so leave these lines as they are."

_LINE: Final = re.compile(
    r"""(LESSON|STUDENT|SEED|DIGEST)[ ]*=[ ]*(?:(["'])([\w:. -]{0,100})\2|([0-9]{1,18}))[ ]*(?:\#.*)?"""
)


@dataclass(frozen=True)
class Parameters:
    """What the cell says."""

    lesson: str
    student: str
    seed: int
    digest: str

    @property
    def source(self) -> str:
        """The cell of a student's copy."""
        values = (self.lesson, self.student, self.seed, self.digest)
        lines = [f"{name} = {json.dumps(value)}" for name, value in zip(NAMES, values, strict=True)]
        return "\n".join([NOTICE, *lines])


def read_parameters(source: str, where: str) -> Parameters:
    r"""Read the parameters cell of a teacher's notebook.

    Parameters
    ----------
    source : str
        The whole cell.
    where : str
        How errors call it.

    Raises
    ------
    LessonError
        A line is missing, is no plain value, or there is anything else in the cell.

    Examples
    --------
    >>> read_parameters('LESSON = "demo"\nSTUDENT = ""\nSEED = 1\nDIGEST = ""', "cell 2").lesson
    'demo'
    >>> read_parameters('LESSON = "demo"', "cell 2")
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: cell 2: the parameters cell must set LESSON, STUDENT, SEED, DIGEST; missing: STUDENT, SEED, DIGEST
    """
    try:
        statements = ast.parse(source).body
    except SyntaxError as error:
        raise LessonError(f"{where}: the parameters cell is no Python: {error.msg} (line {error.lineno})") from None
    found: dict[str, object] = {}
    for statement in statements:
        target = statement.targets[0] if isinstance(statement, ast.Assign) and len(statement.targets) == 1 else None
        if not isinstance(target, ast.Name) or target.id not in NAMES or target.id in found:
            raise LessonError(
                f"{where}, line {statement.lineno}: the parameters cell sets {', '.join(NAMES)} once each and nothing "
                f"else; move other lines to another cell"
            )
        assert isinstance(statement, ast.Assign)
        if not isinstance(statement.value, ast.Constant):
            raise LessonError(
                f"{where}, line {statement.lineno}: {target.id}: write the value itself, as {target.id} = 1"
            )
        found[target.id] = statement.value.value
    if missing := [name for name in NAMES if name not in found]:
        raise LessonError(f"{where}: the parameters cell must set {', '.join(NAMES)}; missing: {', '.join(missing)}")
    for name in ("LESSON", "STUDENT", "DIGEST"):
        if not isinstance(found[name], str):
            raise LessonError(f"{where}: {name} {found[name]!r}; allowed: a text in quotes")
    if type(found["SEED"]) is not int or found["SEED"] < 0:
        raise LessonError(f"{where}: SEED {found['SEED']!r}; allowed: a whole number from 0")
    return Parameters(str(found["LESSON"]), str(found["STUDENT"]), found["SEED"], str(found["DIGEST"]))


def renamed_parameters(source: str, lesson: str) -> str:
    r"""Return a parameters cell that has been read before, with another lesson in it.

    Examples
    --------
    >>> renamed_parameters('LESSON = "demo"  # which\nSEED = 1', "demo-again")
    'LESSON = "demo-again"\nSEED = 1'
    """
    return re.sub(r"^LESSON[ ]*=.*$", f"LESSON = {json.dumps(lesson)}", source, count=1, flags=re.MULTILINE)


def claimed_parameters(source: str) -> dict[str, str]:
    r"""Return what the parameters cell of a notebook that nobody vouches for says, as text; it is not run or parsed.

    Lines in another form than the hand-out wrote are left out.

    Examples
    --------
    >>> claimed_parameters('STUDENT = "ines-orta"  # me\nSEED = 7\nDIGEST = open("x").read()')
    {'STUDENT': 'ines-orta', 'SEED': '7'}
    """
    found: dict[str, str] = {}
    for line in source[:4000].split("\n"):
        if match := _LINE.fullmatch(line.strip()):
            found[match[1]] = match[3] if match[2] else match[4]
    return found
