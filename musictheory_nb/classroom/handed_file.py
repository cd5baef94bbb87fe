"""Records and notebooks among what was handed in: found in folders, folders in them, and zips, and read where they lie."""

import importlib.machinery
from collections.abc import Collection, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Final, Protocol

from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.student_folder import MAX_ENTRIES, Entry, StudentFolder, open_student_folder
from musictheory_nb.classroom.zip_folder import MAX_ZIP_BYTES, ZipFolder, open_zip
from musictheory_nb.errors import SubmissionError

RECORD_ENDING: Final = ".jsonl"
NOTEBOOK_ENDING: Final = ".ipynb"
ZIP_ENDING: Final = ".zip"
#: Folders in folders, and zips in zips, that are looked into.
MAX_DEPTH: Final = 3
MAX_ZIP_DEPTH: Final = 1

#: Files in a zip with the work of a whole class.
MAX_GATHERED: Final = 200_000

#: Endings of files that Python imports.
_IMPORTABLE: Final = (*importlib.machinery.all_suffixes(), ".pth", ".pyw", ".egg")
#: Other endings -> what is said of such a file.
_OTHER: Final = (
    ((".tar", ".gz", ".tgz", ".7z", ".rar", ".bz2", ".xz"), "was not unpacked; have a zip or the files handed in"),
    ((".manifest.json", ".sqlite"), "was not believed; the teacher's lies elsewhere"),
)
#: What the tools leave behind, which no teacher needs to hear of.
TRACES: Final = (".ipynb_checkpoints", ".git", ".gitignore", ".gitkeep", ".DS_Store", "Thumbs.db", "desktop.ini")


class Place(Protocol):
    """A folder or a zip, open for reading."""

    def entries(self) -> tuple[tuple[Entry, ...], bool]:
        """Return what lies in it, and whether there is more."""

    def read(self, name: str, limit: int) -> bytes | None:
        """Return the content of one file, or None; raises SubmissionError."""


@dataclass(frozen=True, slots=True)
class HandedFile:
    """A record or notebook: the folders and zips on the way to it, and its name (in a zip, its path there)."""

    steps: tuple[str, ...]
    name: str

    @property
    def shown(self) -> str:
        """How lines call it."""
        return plain_line("/".join((*self.steps, self.name)), 80)

    @property
    def is_record(self) -> bool:
        """Whether it is a record, and no notebook."""
        return self.name.lower().endswith(RECORD_ENDING)


def _shown(steps: tuple[str, ...], name: str) -> str:
    return plain_line("/".join((*steps, name)), 60)


def _is_trace(name: str) -> bool:
    return any(part in TRACES for part in name.split("/"))


def lying_beside(entry: Entry, steps: tuple[str, ...] = ()) -> str:
    """Return the line about something that has no business beside a notebook; empty for what needs none.

    Examples
    --------
    >>> lying_beside(Entry("music21.py", "file")), lying_beside(Entry("notes.pdf", "file"))
    ('music21.py lies beside the notebook; it was neither run nor imported', '')
    """
    name, ending = _shown(steps, entry.name), entry.name.lower()
    if entry.kind == "link":
        return f"{name} is a link; it was not followed"
    if entry.kind == "other":
        return f"{name} is neither file nor folder; it was not opened"
    if entry.kind == "folder":
        return f"the folder {name} lies beside the notebook; nothing in it was read"
    if ending.endswith(_IMPORTABLE):
        return f"{name} lies beside the notebook; it was neither run nor imported"
    return next((f"{name} {words}" for endings, words in _OTHER if ending.endswith(endings)), "")


@dataclass
class Listing:
    """What was found so far: files to read, and lines about the rest."""

    files: list[HandedFile] = field(default_factory=list)
    told: list[str] = field(default_factory=list)


def list_zip(
    place: Place, name: str, found: Listing, *, steps: tuple[str, ...] = (), zips: int = 0, most: int = MAX_ENTRIES
) -> None:
    """List the records and notebooks in a zip that lies in a place; what is wrong with it is a line.

    Parameters
    ----------
    place, name
        Where it lies, open, and its name there.
    found, steps, zips, most
        As for `list_place`.
    """
    shown = _shown(steps, name)
    if zips > MAX_ZIP_DEPTH:
        found.told.append(f"{shown} is a zip in a zip; it was not opened")
        return
    try:
        with ExitStack() as stack:
            inside = _entered(place, name, shown, most, stack)
            list_place(inside, (*steps, name), found, zips=zips + 1, most=most)
            found.told += inside.told if isinstance(inside, ZipFolder) else []
    except SubmissionError as error:
        found.told.append(str(error))


def _list_folder(
    place: StudentFolder, entry: Entry, steps: tuple[str, ...], depth: int, zips: int, most: int, found: Listing
) -> None:
    inner = Listing()
    try:
        with place.folder(entry.name) as inside:
            list_place(inside, (*steps, entry.name), inner, depth=depth + 1, zips=zips, most=most)
    except SubmissionError as error:
        found.told.append(str(error))
        return
    if inner.files:
        found.files += inner.files
        found.told += inner.told
    else:
        found.told.append(lying_beside(entry, steps))


def list_place(
    place: Place,
    steps: tuple[str, ...],
    found: Listing,
    *,
    depth: int = 0,
    zips: int = 0,
    most: int = MAX_ENTRIES,
    skip: Collection[str] = (),
) -> None:
    """List the records and notebooks in a folder or zip, and in those in it.

    Parameters
    ----------
    place : Place
        Open.
    steps : tuple of str
        The way to it.
    found : Listing
        Is added to.
    depth, zips : int
        Folders and zips on the way.
    most : int
        Most files in one zip.
    skip : collection of str
        Names that are passed over.
    """
    entries, more = place.entries()
    if more:
        found.told.append(f"more than {MAX_ENTRIES} things in the folder; only these were looked at")
    for entry in entries:
        name = entry.name.lower()
        if entry.name in skip or _is_trace(entry.name):
            continue
        if entry.kind == "file" and name.endswith((RECORD_ENDING, NOTEBOOK_ENDING)):
            found.files.append(HandedFile(steps, entry.name))
        elif entry.kind == "file" and name.endswith(ZIP_ENDING):
            list_zip(place, entry.name, found, steps=steps, zips=zips, most=most)
        elif entry.kind == "folder" and depth < MAX_DEPTH and isinstance(place, StudentFolder):
            _list_folder(place, entry, steps, depth, zips, most, found)
        elif line := lying_beside(entry, steps):
            found.told.append(line)


def _entered(place: Place, step: str, shown: str, most: int, stack: ExitStack) -> Place:
    """Open one folder or zip in a place."""
    if isinstance(place, StudentFolder) and not step.lower().endswith(ZIP_ENDING):
        return stack.enter_context(place.folder(step))
    if isinstance(place, StudentFolder):
        file = place.open(step, MAX_ZIP_BYTES if most <= MAX_ENTRIES else MAX_ZIP_BYTES * 64)
        if file is None:
            raise SubmissionError(f"{shown} is gone")
        return open_zip(stack.enter_context(file), shown, most=most)
    data = place.read(step, MAX_ZIP_BYTES)
    if data is None:
        raise SubmissionError(f"{shown} is gone")
    return open_zip(BytesIO(data), shown, most=most)


class Opener(AbstractContextManager["Opener"]):
    """Reads listed files; what lies on the way stays open from one file to the next of the same place."""

    def __init__(self, root: Place, most: int = MAX_ENTRIES) -> None:
        self._root = root
        self._most = most
        self._steps: tuple[str, ...] = ()
        self._place = root
        self._stack = ExitStack()

    def __exit__(self, *error: object) -> None:
        self._stack.close()

    def read(self, file: HandedFile, limit: int) -> bytes | None:
        """Return the content of a listed file; None when it is gone.

        Raises
        ------
        SubmissionError
            It, or what lies on the way to it, cannot be read.
        """
        if file.steps != self._steps:
            self._stack.close()
            self._place, self._steps = self._root, ()
            for at, step in enumerate(file.steps):
                shown = _shown(file.steps[:at], step)
                self._place = _entered(self._place, step, shown, self._most, self._stack)
            self._steps = file.steps
        return self._place.read(file.name, limit)


@contextmanager
def open_root(folder: Path) -> Iterator[Place]:
    """Open what the teacher gathered: a folder, or a zip as a school's system gives one out.

    Raises
    ------
    SubmissionError
        It is a link or neither of them, or cannot be opened.
    """
    path = Path(folder)
    with ExitStack() as stack:
        if path.is_file():
            try:
                file = stack.enter_context(path.open("rb"))
            except OSError as error:
                raise SubmissionError(f"'{folder}' cannot be opened: {error.strerror}") from None
            yield open_zip(file, path.name, most=MAX_GATHERED)
            return
        path = path.resolve()
        opened = stack.enter_context(open_student_folder(path.parent, path.name))
        if opened is None:
            raise SubmissionError(f"folder '{folder}' cannot be opened: there is none")
        yield opened
