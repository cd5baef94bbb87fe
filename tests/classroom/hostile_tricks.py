"""What a student may do to a hand-in: each trick with what the report says of it, and what it costs.

A trick is done to work that was honestly answered. None may raise the mark; most leave it as it is.
"""

import json
import os
import socket
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from zip_tricks import TRICKS as ZIP_TRICKS

from musictheory_nb.practice.answer_record import RecordHeader
from musictheory_nb.practice.embedded_record import ANSWERS_MIME

LESSON = "read-intervals"
#: An answer with a name for the interval that is not among the choices.
WRONG = {"interval": {"choice": "P8"}}
#: Python that would leave a trace, were it ever run; `{place}` is a folder outside the class.
TRACE = "open({place!r} + '/ran', 'w').close()\n"


@dataclass(frozen=True)
class Work:
    """One student's hand-in, and what a trick may use besides: a folder outside the class, and somebody else's hand-in."""

    student: str
    seed: int
    digest: str
    home: Path
    outside: Path
    other: str
    other_record: bytes

    @property
    def record(self) -> Path:
        return self.home / f"{LESSON}.{self.student}.answers.jsonl"

    @property
    def notebook(self) -> Path:
        return self.home / f"{LESSON}.ipynb"

    @property
    def trace(self) -> str:
        return TRACE.format(place=str(self.outside))

    def add_line(self, line: bytes) -> None:
        self.record.write_bytes(self.record.read_bytes() + line + b"\n")

    def add_answer(self, **changes: object) -> None:
        """One more answer, the first of the record with changes."""
        data = {**json.loads(self.record.read_bytes().splitlines()[1]), **changes}
        self.add_line(json.dumps(data).encode())

    def edit(self, change: Callable[[dict], object]) -> None:
        content = json.loads(self.notebook.read_bytes())
        change(content)
        self.notebook.write_text(json.dumps(content), encoding="utf-8")

    def replace_source(self, old: str, new: str) -> None:
        def change(content: dict) -> None:
            for cell in content["cells"]:
                cell["source"] = "".join(cell["source"]).replace(old, new)

        self.edit(change)

    def add_output(self, data: Mapping[str, object]) -> None:
        output = {"output_type": "display_data", "data": data, "metadata": {}}
        self.edit(lambda content: content["cells"][-1]["outputs"].append(output))

    def link(self, place: Path) -> None:
        """A link in the place of a file, to a file outside with answers that would be all right."""
        target = self.outside / f"{self.student}-{place.name}"
        target.write_bytes(self.other_record)
        place.unlink(missing_ok=True)
        place.symlink_to(target)


@dataclass(frozen=True)
class Trick:
    """What is done, a part of the line that tells it, whether it costs the student the answers, and how many lines there are."""

    name: str
    act: Callable[[Work], object]
    told: str
    costs: bool = False
    lines: int = 1


def _file(name: str, told: str) -> Trick:
    return Trick(f"file {name}", lambda work: (work.home / name).write_text(work.trace, encoding="utf-8"), told)


def _line(name: str, line: bytes, told: str = "line ") -> Trick:
    return Trick(f"record line: {name}", lambda work: work.add_line(line), told)


def _field(field: str, value: object, told: str = "") -> Trick:
    return Trick(f"field {field} {value!r:.40}", lambda work: work.add_answer(**{field: value}), told or field)


def _notebook(name: str, data: bytes, told: str) -> Trick:
    return Trick(f"notebook: {name}", lambda work: work.notebook.write_bytes(data), told)


def _source(name: str, old: Callable[[Work], str], new: str, told: str) -> Trick:
    return Trick(f"cells: {name}", lambda work: work.replace_source(old(work), new), told)


def _zip(number: int) -> Trick:
    make, told = ZIP_TRICKS[number]
    return Trick(f"zip {number}", lambda work: (work.home / "hw.zip").write_bytes(make(work.home)), told)


def _package(work: Work) -> None:
    (work.home / "musictheory_nb").mkdir()
    (work.home / "musictheory_nb" / "__init__.py").write_text(work.trace, encoding="utf-8")


def _code_everywhere(work: Work) -> None:
    def change(content: dict) -> None:
        for cell in content["cells"]:
            cell["source"] = work.trace + "".join(cell["source"])

    work.edit(change)


def _markup(work: Work) -> None:
    """HTML and JavaScript where an answer and the output of a cell stand."""
    page = "<script>alert(1)</script><img src=x onerror=alert(1)>"
    work.add_output({"text/html": page, "application/javascript": "alert(1)"})
    work.add_answer(id="d" * 32, exercise="second", index=0, answer={"interval": {"choice": page}})


def _copied_record(work: Work) -> None:
    work.record.write_bytes(work.other_record)


def _renamed_copy(work: Work) -> None:
    """Somebody else's record with one's own name in it: answers to other questions, given again later."""
    header, *lines = work.other_record.splitlines()
    named = json.dumps({**json.loads(header), "student": work.student, "digest": "sha256:" + "0" * 64})
    later = [line.replace(b"2026-03-02", b"2026-03-09") for line in lines]
    work.record.write_bytes(work.record.read_bytes() + b"\n".join([named.encode(), *later]) + b"\n")


def _folder_is_a_link(work: Work) -> None:
    work.home.rename(work.outside / work.student)
    work.home.symlink_to(work.outside / work.student, target_is_directory=True)


def _too_large(work: Work) -> None:
    with work.notebook.open("wb") as file:
        file.truncate(64 * 1024 * 1024 + 1)  # a hole: no disk is filled


def _many_files(work: Work) -> None:
    for number in range(1200):
        (work.home / f"m{number}.py").touch()


def _many_lines(work: Work) -> None:
    work.record.write_bytes(work.record.read_bytes() + b"{}\n" * 51_000)


def _terminal_names(work: Work) -> None:
    with open(os.fsencode(work.home) + b"/\x1b[2J\n.py", "wb"):
        pass


def _pipe(work: Work) -> None:
    work.notebook.unlink()
    os.mkfifo(work.notebook)


def _socket(work: Work) -> None:
    work.notebook.unlink()
    here = os.open(work.home, os.O_RDONLY)
    before = os.open(".", os.O_RDONLY)
    try:
        os.fchdir(here)  # the path of a socket may not be long
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(work.notebook.name)
    finally:
        os.fchdir(before)
        os.close(before)
        os.close(here)


def _folder_for_notebook(work: Work) -> None:
    work.notebook.unlink()
    work.notebook.mkdir()


def _edited_answer(work: Work) -> None:
    """In the notebook, the same answer with other content and a later time."""
    line = json.loads(work.record.read_bytes().splitlines()[1])
    values = {"m3", "M3", "P4", "A4", "P5"} - {line["answer"]["interval"]["choice"]}
    line["answer"] = {"interval": {"choice": sorted(values)[0]}}
    header = {"format": 1, "lesson": LESSON, "student": work.student, "digest": work.digest}
    work.add_output({ANSWERS_MIME: {"header": header, "answers": [line]}})


def _answers_of_other(work: Work) -> None:
    header, *lines = map(json.loads, work.other_record.splitlines())
    work.add_output({ANSWERS_MIME: {"header": header, "answers": lines}})


def _other_version(work: Work) -> None:
    header = json.loads(RecordHeader(LESSON, work.student, "sha256:" + "0" * 64).line())
    work.add_output({ANSWERS_MIME: {"header": header, "answers": []}})


TRICKS = (
    Trick("code in every cell", _code_everywhere, "cells missing or changed"),
    _file("music21.py", "music21.py lies beside the notebook; it was neither run nor imported"),
    _file("json.py", "json.py lies beside the notebook"),
    _file("sitecustomize.py", "sitecustomize.py lies beside the notebook"),
    _file("x.pth", "x.pth lies beside the notebook"),
    _file("conftest.py", "conftest.py lies beside the notebook"),
    _file("class.sqlite", "was not believed"),
    _file(f"{LESSON}.manifest.json", "was not believed"),
    _file("work.7z", "was not unpacked"),
    Trick("package named like ours", _package, "the folder musictheory_nb lies beside the notebook"),
    _source("seed", lambda work: f"SEED = {work.seed}", "SEED = 7", "says its seed is 7"),
    _source(
        "seed as an expression", lambda work: "SEED = ", "SEED = __import__('os').getpid() + ", "does not say its seed"
    ),
    _source("student", lambda work: f'"{work.student}"', '"somebody-else"', "says its student is somebody-else"),
    _source("nobody", lambda work: f'STUDENT = "{work.student}"', 'STUDENT = ""', "says its student is nobody"),
    _source("lesson", lambda work: f'LESSON = "{LESSON}"', 'LESSON = "easier"', "says its lesson is easier"),
    _source("digest", lambda work: 'DIGEST = "sha256:', 'DIGEST = "sha256:0', "says its version of the lesson is"),
    _source("fewer items", lambda work: "count=4", "count=1", "cells missing or changed: first"),
    _source("all points", lambda work: "points=1.5", "points=150", "cells missing or changed: second"),
    Trick(
        "no parameters",
        lambda work: work.edit(lambda it: it["cells"].pop(1)),
        "parameters cell is gone or was rewritten",
    ),
    Trick("record of another student", _copied_record, "holds answers that say they are of"),
    Trick(
        "record of another student besides",
        lambda work: (work.home / f"{LESSON}.{work.other}.answers.jsonl").write_bytes(work.other_record),
        "they are left out",
    ),
    Trick("record of another student renamed", _renamed_copy, "line "),
    Trick("answers of another student in the notebook", _answers_of_other, "they are left out"),
    Trick("answers to another version", _other_version, "on another version of the lesson"),
    Trick("edited answer in the notebook", _edited_answer, "differs between the record and the notebook"),
    _line("no UTF-8", b"\xff\xfe\x00"),
    _line("deep lists", b"[" * 60_000),
    _line("deep objects", b'{"a":' * 12_000),
    _line("NaN", b'{"id": NaN}', "NaN is not a JSON value"),
    _line("infinity", b'{"id": 1e999}'),
    _line("a number of thousands of digits", b'{"id": ' + b"9" * 5000 + b"}", "a number of 5000 digits"),
    _line("a name twice", b'{"id": 1, "id": 2}', "the name 'id' stands twice"),
    _line("no object", b'"text"'),
    _line("half a character", b'{"id": "\\ud800"}'),
    _line("too long", b" " * 70_000 + b"1", "70001 bytes; at most 65536"),
    _line("class of Python", b'{"__class__": "os.system"}', "field '__class__'"),
    _line("formula", b'{"=cmd|calc": 1}', "field '=cmd|calc'"),
    Trick(
        "torn line", lambda work: work.record.write_bytes(work.record.read_bytes() + b'{"answer":{"in'), "is incomplete"
    ),
    Trick("51,000 lines", _many_lines, "lines; only the first", lines=21),
    _field("exercise", "=1+1"),
    _field("exercise", "../../../etc/passwd"),
    _field("index", -1),
    _field("index", True),
    _field("attempt", 0),
    _field("ms", -5),
    _field("heard", float("nan"), "NaN"),
    _field("time", "2026-02-30T10:00:00Z"),
    _field("seed", "7"),
    _field("answer", [["interval"]]),
    _field("points", 100),
    _field("score", 1.0),
    Trick(
        "answers from the future",
        lambda work: work.add_answer(id="f" * 32, time="2999-01-01T00:00:00.000Z"),
        "in the future",
    ),
    Trick(
        "answers from long ago",
        lambda work: work.add_answer(id="e" * 32, exercise="second", time="1999-12-31T23:59:59.000Z", answer=WRONG),
        "before 2020",
        lines=2,
    ),
    Trick("markup", _markup, "second item 1: "),
    _notebook("empty", b"", "not JSON"),
    _notebook("no UTF-8", b"\xff", "not UTF-8 text"),
    _notebook("list", b"[]", "not a notebook"),
    _notebook("cells no list", b'{"cells": {}}', "not a notebook"),
    _notebook("deep", b'{"cells": [' + b"[" * 200_000 + b"]" * 200_000 + b"]}", "nested"),
    _notebook("millions of values", b'{"cells": [' + b"[]," * 1_000_000 + b"[]]}", "values; at most"),
    _notebook("a name twice", b'{"cells": [], "cells": []}', "stands twice"),
    _notebook("a huge number", b'{"cells": [' + b"1" * 100_000 + b"]}", "100000 digits"),
    Trick(
        "odd answers in the notebook",
        lambda work: work.add_output({ANSWERS_MIME: {"header": {}, "answers": 3}}),
        LESSON,
    ),
    Trick("a notebook of 64 MB", _too_large, "bytes; at most"),
    Trick("a thousand programs", _many_files, "more than 1000 things in the folder", lines=26),
    Trick("link for the notebook", lambda work: work.link(work.notebook), "is a link;"),
    Trick("link for the record", lambda work: work.link(work.record), "is a link;"),
    Trick("link besides", lambda work: work.link(work.home / "more.jsonl"), "is a link;"),
    Trick("link for the folder", _folder_is_a_link, "the folder is a link", costs=True),
    Trick("pipe", _pipe, "is no file"),
    Trick("socket", _socket, "cannot be opened"),
    Trick("folder for the notebook", _folder_for_notebook, "ipynb is a folder"),
    Trick("name that moves the cursor", _terminal_names, "lies beside the notebook"),
    *(_zip(number) for number in range(len(ZIP_TRICKS))),
)
