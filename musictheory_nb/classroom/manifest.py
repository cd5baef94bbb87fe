"""The manifest that hand-outs wrote before there was a class file: read, so that their copies stay gradable.

Format 1, UTF-8 JSON: ``format``, ``lesson``, ``title``, ``digest`` (of the lesson as it is handed out now),
``class_key``, ``due`` (``utc`` and as ``written``, or null), ``students`` in the order of the roster (``id``, ``name``,
``email``, ``seed``, ``digest`` of the student's copy), and ``lessons``: for each digest of which there are copies, the
lesson notebook as it was then.
"""

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.assignment import SEED_LIMIT, Assignment, HandedOut
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.roster import Student
from musictheory_nb.errors import ManifestError
from musictheory_nb.practice.exercise import is_slug
from musictheory_nb.practice.plain_data import JSON, strict_json

FORMAT: Final = 1
#: Largest manifest that is read, in bytes.
MAX_BYTES: Final = 256 * 1024 * 1024

_KEY: Final = re.compile(r"[0-9a-f]{32,64}")
_DIGEST: Final = re.compile(r"sha256:[0-9a-f]{64}")
_UTC: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", re.ASCII)


def manifest_path(folder: Path, lesson: str) -> Path:
    """Return where the manifest of `lesson` lies in `folder`.

    Examples
    --------
    >>> manifest_path(Path("class"), "hear-the-tritone").name
    'hear-the-tritone.manifest.json'
    """
    return Path(folder) / f"{lesson}.manifest.json"


_FIELDS: Final[Mapping[str, Callable[[JSON], bool]]] = {
    "format": lambda v: v == FORMAT and type(v) is int,
    "lesson": is_slug,
    "title": lambda v: isinstance(v, str),
    "digest": lambda v: isinstance(v, str) and _DIGEST.fullmatch(v) is not None,
    "class_key": lambda v: isinstance(v, str) and _KEY.fullmatch(v) is not None,
    "due": lambda v: v is None or _is_due(v),
    "students": lambda v: isinstance(v, list),
    "lessons": lambda v: isinstance(v, dict) and all(isinstance(content, dict) for content in v.values()),
}
_COPY: Final[Mapping[str, Callable[[JSON], bool]]] = {
    "id": is_slug,
    "name": lambda v: isinstance(v, str),
    "email": lambda v: isinstance(v, str),
    "seed": lambda v: type(v) is int and 0 <= v < SEED_LIMIT,
    "digest": lambda v: isinstance(v, str) and _DIGEST.fullmatch(v) is not None,
}


def _is_due(value: JSON) -> bool:
    return (
        isinstance(value, dict)
        and set(value) == {"utc", "written"}
        and all(isinstance(text, str) for text in value.values())
        and _UTC.fullmatch(value["utc"]) is not None
    )


def manifest_from_data(data: JSON, name: str) -> Assignment:
    """Return the manifest that `data` (JSON values) is.

    Raises
    ------
    ManifestError
        A field is missing, unknown or wrong, or a student stands in it twice.

    Examples
    --------
    >>> manifest_from_data({"format": 2}, "demo.manifest.json")
    Traceback (most recent call last):
    musictheory_nb.errors.ManifestError: 'demo.manifest.json': its fields are format; allowed: exactly format, lesson, title, digest, class_key, due, students, lessons
    """
    if not isinstance(data, dict) or set(data) != set(_FIELDS):
        found = ", ".join(map(str, data)) if isinstance(data, dict) else "none"
        raise ManifestError(f"{name!r}: its fields are {found[:80]}; allowed: exactly {', '.join(_FIELDS)}")
    for field_name, check in _FIELDS.items():
        if not check(data[field_name]):
            raise ManifestError(f"{name!r}: {field_name} {str(data[field_name])[:60]!r} is not what a hand-out writes")
    copies: dict[str, HandedOut] = {}
    for number, row in enumerate(data["students"], start=1):
        if not isinstance(row, dict) or set(row) != set(_COPY) or not all(_COPY[key](row[key]) for key in _COPY):
            raise ManifestError(f"{name!r}: student {number} is not what a hand-out writes")
        if row["id"] in copies:
            raise ManifestError(f"{name!r}: student {row['id']!r} stands in it twice")
        if row["digest"] not in data["lessons"]:
            raise ManifestError(f"{name!r}: the lesson that {row['id']!r} got is not kept in it")
        copies[row["id"]] = HandedOut(Student(row["id"], row["name"], row["email"]), row["seed"], row["digest"])
    due = None if data["due"] is None else DueTime(data["due"]["utc"], data["due"]["written"])
    return Assignment(
        data["lesson"],
        data["title"],
        data["digest"],
        data["class_key"],
        due,
        tuple(copies.values()),
        MappingProxyType(data["lessons"]),
    )


def load_manifest(path: Path) -> Assignment:
    """Read a manifest.

    Raises
    ------
    ManifestError
        It is not there, cannot be opened, or is damaged.

    Examples
    --------
    >>> load_manifest(Path("nowhere.manifest.json"))
    Traceback (most recent call last):
    musictheory_nb.errors.ManifestError: manifest 'nowhere.manifest.json' cannot be opened: No such file or directory; it is written by: musictheory-nb handout
    """
    try:
        with Path(path).open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise ManifestError(
            f"manifest '{path}' cannot be opened: {error.strerror}; it is written by: musictheory-nb handout"
        ) from None
    if len(data) > MAX_BYTES:
        raise ManifestError(f"manifest '{path}' has more than {MAX_BYTES} bytes")
    try:
        parsed = strict_json(data.decode("utf-8-sig"))
    except ValueError as error:
        raise ManifestError(f"'{Path(path).name}': {error}; put back the file that the hand-out wrote") from None
    return manifest_from_data(parsed, Path(path).name)
