"""The calls by which a lesson notebook sets its music and exercises, read from the syntax tree; nothing is run."""

import ast
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from musictheory_nb.errors import LessonError

#: Method of an open lesson -> (its positional arguments, the keyword-only ones, those that must be given).
CALLS: Final[Mapping[str, tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]]] = MappingProxyType(
    {
        "excerpt": (("name", "data", "digest"), (), ("name", "data")),
        "exercise": (("id", "kind"), ("count", "points", "version", "settings"), ("id", "kind")),
        "hand_in": ((), (), ()),
    }
)
#: What the opening call must be given, and from which parameter.
OPENING: Final = (("lesson", "LESSON"), ("student", "STUDENT"), ("seed", "SEED"), ("digest", "DIGEST"))

#: A cell that mentions none of these sets nothing and need not be Python.
_MENTION: Final = re.compile(r"\b(open_lesson|excerpt|exercise|hand_in)\b")
_MAGIC_LINE: Final = re.compile(r"^[ \t]*[%!?].*$", re.MULTILINE)

#: Statements of which a call may be part, and the expressions around it; it is then run exactly once.
_PLAIN_STATEMENTS: Final = (ast.Expr, ast.Assign, ast.AnnAssign)
_PLAIN_EXPRESSIONS: Final = (ast.Call, ast.Attribute, ast.Tuple, ast.List, ast.keyword, ast.Starred)
_KINDS: Final = MappingProxyType(
    {
        ast.For: "a loop",
        ast.While: "a loop",
        ast.If: "an 'if'",
        ast.IfExp: "an 'if'",
        ast.BoolOp: "an 'and' or 'or'",
        ast.FunctionDef: "a function",
        ast.AsyncFunctionDef: "a function",
        ast.Lambda: "a function",
        ast.ClassDef: "a class",
        ast.With: "a 'with'",
        ast.Try: "a 'try'",
        ast.ListComp: "a loop",
        ast.SetComp: "a loop",
        ast.DictComp: "a loop",
        ast.GeneratorExp: "a loop",
    }
)


@dataclass(frozen=True)
class LessonCall:
    """One call: where it stands, its method, and its arguments by name (plain values)."""

    cell: int
    where: str
    method: str
    arguments: Mapping[str, Any]


def code_tree(source: str, where: str) -> ast.Module | None:
    """Return the syntax tree of a cell; None for one that sets nothing or is of another language."""
    if not _MENTION.search(source):
        return None
    if source.lstrip().startswith("%%"):
        if re.search(r"\.(excerpt|exercise|hand_in)\s*\(", source):
            raise LessonError(f"{where}: exercises cannot stand in a cell that begins with %%; take that line out")
        return None
    try:
        return ast.parse(source)
    except SyntaxError as first:
        try:
            return ast.parse(_MAGIC_LINE.sub("pass", source))
        except SyntaxError:
            raise LessonError(f"{where}, line {first.lineno}: no Python that can be read: {first.msg}") from None


def _opened_name(tree: ast.Module, where: str) -> str | None:
    """Return the name to which a cell assigns the open lesson, after checking that the parameters reach it."""
    for statement in tree.body:
        value = statement.value if isinstance(statement, ast.Assign) else None
        if not isinstance(value, ast.Call) or not isinstance(statement, ast.Assign):
            continue
        called = value.func.attr if isinstance(value.func, ast.Attribute) else getattr(value.func, "id", "")
        if called != "open_lesson":
            continue
        given = {keyword.arg: keyword.value for keyword in value.keywords}
        if value.args:
            given["lesson"] = value.args[0]
        for argument, parameter in OPENING:
            node = given.get(argument)
            if not isinstance(node, ast.Name) or node.id != parameter:
                raise LessonError(
                    f"{where}, line {value.lineno}: open_lesson must take {argument} from {parameter}; write "
                    f"lesson = mt.open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)"
                )
        target = statement.targets[0]
        if len(statement.targets) != 1 or not isinstance(target, ast.Name):
            raise LessonError(f"{where}, line {value.lineno}: write lesson = mt.open_lesson(…), one name")
        return target.id
    return None


def _arguments(call: ast.Call, method: str, where: str) -> dict[str, Any]:
    positional, keywords, needed = CALLS[method]
    if len(call.args) > len(positional) or any(isinstance(node, ast.Starred) for node in call.args):
        raise LessonError(f"{where}: {method} takes {', '.join(positional) or 'nothing'} and then only named arguments")
    given: dict[str, ast.expr] = dict(zip(positional, call.args, strict=False))
    for keyword in call.keywords:
        if keyword.arg not in (*positional, *keywords) or keyword.arg in given:
            allowed = ", ".join((*positional, *keywords)) or "none"
            raise LessonError(f"{where}: {method}: argument {keyword.arg or '**'!r}; allowed, each once: {allowed}")
        given[keyword.arg] = keyword.value
    if missing := [name for name in needed if name not in given]:
        raise LessonError(f"{where}: {method}: missing {', '.join(missing)}")
    values = {}
    for name, node in given.items():
        try:
            values[name] = ast.literal_eval(node)
        except (ValueError, TypeError, SyntaxError, MemoryError, RecursionError):
            raise LessonError(
                f"{where}: {method}: {name} is worked out ({ast.unparse(node)[:60]}); write the value itself, because "
                f"the lesson is read without being run"
            ) from None
    return values


class _Calls(ast.NodeVisitor):
    """Finds the calls on the open lesson and refuses any that is not run exactly once."""

    def __init__(self, name: str, cell: int, where: str) -> None:
        self.name, self.cell, self.where = name, cell, where
        self.found: list[LessonCall] = []
        self._around: list[ast.AST] = []

    def _place(self, node: ast.expr) -> str:
        return f"{self.where}, line {node.lineno}"

    def visit(self, node: ast.AST) -> None:
        self._around.append(node)
        self.generic_visit(node)
        self._around.pop()
        if isinstance(node, ast.Name) and node.id == self.name:
            self._check(node)

    def _check(self, node: ast.Name) -> None:
        *outer, parent = self._around
        if isinstance(node.ctx, ast.Load) and isinstance(parent, ast.Assign | ast.NamedExpr):
            raise LessonError(
                f"{self._place(node)}: {self.name!r} under a second name cannot be followed; use one name"
            )
        if not isinstance(parent, ast.Attribute) or parent.attr not in CALLS:
            return
        place = f"{self._place(node)}: {self.name}.{parent.attr}(…)"
        call = outer[-1] if outer else None
        if not isinstance(call, ast.Call) or call.func is not parent:
            raise LessonError(f"{place} must be called where it stands")
        for around in outer[:-1]:
            if isinstance(around, (ast.Module, *_PLAIN_STATEMENTS, *_PLAIN_EXPRESSIONS)):
                continue
            kind = _KINDS.get(type(around), "another statement")
            raise LessonError(f"{place} stands inside {kind}; write it on a line of its own, once for each exercise")
        arguments = _arguments(call, parent.attr, place)
        self.found.append(LessonCall(self.cell, place, parent.attr, MappingProxyType(arguments)))


def lesson_calls(sources: Iterable[tuple[int, str]]) -> tuple[LessonCall, ...]:
    r"""Return all calls on the open lesson, in the order in which they are run.

    Parameters
    ----------
    sources : iterable of (int, str)
        Number (from 1, counting all cells) and source of each code cell after the parameters, in order.

    Raises
    ------
    LessonError
        The lesson is not opened, or a call cannot be read without running the notebook; names the cell and line.

    Examples
    --------
    >>> opening = "lesson = mt.open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)"
    >>> [call.arguments["id"] for call in lesson_calls([(2, opening), (3, "lesson.exercise('first', 'kind', count=3)")])]
    ['first']
    >>> lesson_calls([(2, opening), (3, "for id in names:\n    lesson.exercise(id, 'kind')")])
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: cell 3, line 2: lesson.exercise(…) stands inside a loop; write it on a line of its own, once for each exercise
    """
    name: str | None = None
    found: list[LessonCall] = []
    for cell, source in sources:
        where = f"cell {cell}"
        tree = code_tree(source, where)
        if tree is None:
            continue
        opened = _opened_name(tree, where)
        if opened is not None and name is not None:
            raise LessonError(f"{where}: the lesson is opened a second time; open it once, in the setup cell")
        name = opened or name
        if name is not None:
            visitor = _Calls(name, cell, where)
            visitor.visit(tree)
            found += visitor.found
    if name is None:
        raise LessonError(
            "no cell opens the lesson; after the parameters write "
            "lesson = mt.open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)"
        )
    return tuple(found)
