"""Every command that the documents give is run as it stands, in the order of the document, in a folder with the lessons.

A block of a document after ``<!-- file: NAME -->`` is written to that file first. `musictheory-nb lab` opens a browser and
stays; only its help is run.
"""

import re
import shlex
import shutil
import sys
import textwrap
from pathlib import Path

import pytest

from musictheory_nb.cli import main

ROOT = Path(__file__).parents[1]
DOCUMENTS = sorted((ROOT / "docs").glob("*.md"))
_BLOCK = re.compile(r"(?:<!-- file: (?P<file>[\w.-]+) -->\s+)?^ *```\w*\n(?P<text>.*?)^ *```", re.MULTILINE | re.DOTALL)
_INLINE = re.compile(r"`(musictheory-nb [^`]+)`")
#: Words in capitals stand for something of the reader's; a command with one is not run.
_BLANK = re.compile(r"(^|\s)[A-Z]{4,}(\s|$)|…|@")
#: The roster that a reader has, where a document gives none.
_ROSTER = "student,name\nines-orta,Ines Orta\ncy-lark,Cy Lark\n"


def steps(text: str) -> list[tuple[str, str]]:
    """Return (file, content) and ('', command), in the order of the document."""
    found: list[tuple[int, str, str]] = []
    for block in _BLOCK.finditer(text):
        if block["file"]:
            found.append((block.start(), block["file"], block["text"]))
        else:
            lines = [line for line in block["text"].splitlines() if line.startswith("musictheory-nb ")]
            found += [(block.start() + at, "", line) for at, line in enumerate(lines)]
    plain = _BLOCK.sub(lambda block: " " * len(block[0]), text)
    found += [(one.start(), "", one[1]) for one in _INLINE.finditer(plain) if not _BLANK.search(one[1])]
    return [(file, what) for _, file, what in sorted(found)]


def test_documents_are_found_and_say_how():
    assert {"teachers-guide", "students-guide", "graders-guide", "glossary"} <= {path.stem for path in DOCUMENTS}
    assert sum(not file for path in DOCUMENTS for file, _ in steps(path.read_text(encoding="utf-8"))) >= 20


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.stem)
def test_each_command_of_a_document_does_what_it_says(path, tmp_path, monkeypatch, capsys):
    for name in ("02_hear_the_tritone.ipynb", "pieces"):
        source, target = ROOT / "lessons" / name, tmp_path / "lessons" / name
        target.parent.mkdir(exist_ok=True)
        shutil.copytree(source, target) if source.is_dir() else shutil.copy(source, target)
    (tmp_path / "class.csv").write_text(_ROSTER, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for file, what in steps(path.read_text(encoding="utf-8")):
        if file:
            (tmp_path / file).write_text(textwrap.dedent(what), encoding="utf-8")
            continue
        words = shlex.split(what)[1:]
        if words[0] == "lab":
            words = ["lab", "--help"]
        monkeypatch.setattr(sys, "argv", ["musictheory-nb", *words])
        with pytest.raises(SystemExit) as ended:
            main()
        assert not ended.value.code, f"{what}\n{capsys.readouterr().err}"
